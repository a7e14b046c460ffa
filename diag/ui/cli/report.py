"""``diag report``: a case as something to hand over."""

from __future__ import annotations

import argparse
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Literal

from diag.casework.replay import standing
from diag.presentation.report.build import sheet_of
from diag.presentation.report.html import html_report
from diag.presentation.report.json_report import json_report
from diag.presentation.report.markdown import markdown_report
from diag.presentation.report.note_pages import as_html, as_markdown
from diag.presentation.report.sheet import DataLog, Sheet
from diag.presentation.report.suspect_part import suspect_part_form
from diag.presentation.report.text import closing_summary, hand_over_note, text_report
from diag.support.errors import ExitCode, UserError
from diag.ui.cli.arguments import Arguments
from diag.ui.cli.inputs import book_of, case_of, leave_numbers, take_over_numbers
from diag.ui.cli.output import deliver, remark

Audience = Literal["customer", "workshop"]
ENDINGS = {".txt": "text", ".md": "markdown", ".html": "html", ".htm": "html", ".json": "json"}


def parser() -> Arguments:
    """The options."""
    found = Arguments("report", "Write a case as text, Markdown, HTML with pictures, or JSON.")
    found.with_case().with_rules()
    found.add_argument(
        "--as",
        dest="form",
        choices=("text", "markdown", "html", "json"),
        help="default: as the file's ending, else text",
    )
    found.add_argument(
        "--for", dest="audience", choices=("customer", "workshop"), default="workshop",
        help="customer: without the workings (default workshop)",
    )  # fmt: skip
    found.add_argument("--log", action="append", default=[], type=Path, metavar="FILE",
                       help="a data log, whose results and pictures go into the workshop's report")  # fmt: skip
    kind = found.add_mutually_exclusive_group()
    kind.add_argument("--suspect-part", action="store_true", help="the form for reporting a suspect part, as Markdown")
    kind.add_argument("--hand-over", action="store_true", help="the note for whoever takes the job over")
    kind.add_argument("--summary", action="store_true", help="what to read back before closing")
    found.add_argument("-o", "--output", type=Path, metavar="FILE", help="write to a file")
    return found


def run(arguments: list[str]) -> int:
    """Write one report."""
    options = parser().parse_args(arguments)
    special = options.suspect_part or options.hand_over or options.summary
    if special and options.form:
        raise UserError("These notes have one form only.", "Leave --as out.")
    output: Path | None = options.output
    form = options.form or ENDINGS.get(output.suffix.lower() if output else "", "text")
    given = case_of(options)
    book = book_of(options)
    take_over_numbers(options, book)
    # The customer's page shows no workings, and they take most of the time.
    now = standing(given.case, book)  # lives to the end, since what it worked out is left for the next run
    sheet = sheet_of(given.case, book, now, not special and options.audience == "workshop")
    if options.log and not special:
        sheet = replace(sheet, data_logs=tuple(_logged(path, given.case.unit_pressure) for path in options.log))
    for text in given.remarks(book):
        remark(text)
    if special:
        deliver(_note(options, sheet, form), output)
    else:
        deliver(_writer(form)(sheet, options.audience), output)
    leave_numbers(options, book)
    return ExitCode.DONE


def _note(options: argparse.Namespace, sheet: Sheet, form: str) -> str:
    """One of the notes, in the form that the file's ending asks for."""
    if form == "json":
        raise UserError("A note cannot be written as JSON.", "Use .txt, .md or .html, or a report without the note.")
    if options.suspect_part:
        text, own_form = suspect_part_form(sheet), "markdown"
    else:
        text, own_form = hand_over_note(sheet) if options.hand_over else closing_summary(sheet), "text"
    if form in (own_form, "text"):
        return text

    return as_html(sheet.title or sheet.id, text) if form == "html" else as_markdown(text)


def _logged(path: Path, unit: str) -> DataLog:
    """A data log for the report; its columns must have been confirmed.

    Raises:
        UserError: they were not.
    """
    # only with --log
    from diag.datalog.analysis import analysed
    from diag.datalog.log import read_log
    from diag.presentation.log_pictures import log_svgs
    from diag.presentation.log_text import report_part
    from diag.session.log_columns import kept_layouts

    log = read_log(path, kept_layouts())
    if not log.layout.sure:
        raise UserError("Nobody has confirmed the columns of this log yet.", "Look at them first: diag log", log.name)
    found = analysed(log)
    return report_part(found, unit, log_svgs(found, unit).values())


def _writer(form: str) -> Callable[[Sheet, Audience], str]:
    """The writer of a form; imported only when it is asked for."""
    if form == "html":
        return html_report
    if form == "markdown":
        return markdown_report
    if form == "json":
        return lambda sheet, _: json_report(sheet)

    return text_report
