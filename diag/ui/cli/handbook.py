"""``diag handbook``: the whole rule book to read and print."""

from __future__ import annotations

from pathlib import Path

from diag.presentation.handbook.chapters import handbook
from diag.presentation.handbook.markdown import handbook_markdown
from diag.presentation.handbook.page import handbook_page
from diag.support.errors import ExitCode, UserError
from diag.ui.cli.arguments import Arguments
from diag.ui.cli.inputs import book_of
from diag.ui.cli.output import deliver

FORMS = {".html": "html", ".htm": "html", ".md": "markdown", ".markdown": "markdown"}


def parser() -> Arguments:
    """The options."""
    found = Arguments("handbook", "Write the whole rule book as one handbook, to read offline and to print.")
    found.add_argument("--as", dest="form", choices=("html", "markdown"), help="the form (default: by the file's end)")
    found.add_argument("-o", "--output", type=Path, metavar="FILE", help="write to a file")
    return found.with_rules()


def run(arguments: list[str]) -> int:
    """Write it."""
    options = parser().parse_args(arguments)
    form = options.form or (FORMS.get(options.output.suffix.casefold(), "") if options.output else "markdown")
    if not form:
        raise UserError(
            "The file's end names no form.", "End it in .html or .md, or say --as html.", str(options.output)
        )

    book = handbook(book_of(options))
    if form == "html":
        deliver(handbook_page(book), options.output)
    else:
        deliver(handbook_markdown(book), options.output)
    return ExitCode.DONE
