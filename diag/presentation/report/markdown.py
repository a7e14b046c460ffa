"""A job as Markdown. Everything that came from people or files is escaped, so that it cannot become markup."""

from __future__ import annotations

import re
from collections.abc import Sequence

from diag.presentation.figures import percent
from diag.presentation.report.sheet import Sheet
from diag.presentation.report.text import Audience, cautions, found_words, outcome_words
from diag.support.text import one_line

_SPECIAL = re.compile(r"([\\`*_{}\[\]#|~!$^=])")
_LINE_START = re.compile(r"(?:(\d{1,9})(?=[.)](?: |$))|(?=[-+]))([-+.)])")
_ENTITIES = str.maketrans({"&": "&amp;", "<": "&lt;", ">": "&gt;"})


def escape(text: str) -> str:
    """Text as literal Markdown on one line."""
    plain = one_line(text, 4000)
    head = ""
    if found := _LINE_START.match(plain):
        head, plain = f"{found[1] or ''}\\{found[2]}", plain[found.end() :]
    return head + _SPECIAL.sub(r"\\\1", plain).translate(_ENTITIES)


def markdown_report(sheet: Sheet, audience: Audience = "workshop") -> str:
    """The report as Markdown: headings, lists and, for the workshop, tables."""
    out: list[str] = [f"# {escape(sheet.title or sheet.id)}", ""]
    out += [f"Job `{sheet.id}`, opened {escape(sheet.opened[:10])}, {escape(sheet.status)}.", ""]
    for stop in sheet.stops:
        out += [f"> **STOP: {escape(stop.title)}.** {escape(stop.why)}", ">"]
        out += [f"> - {escape(line)}" for line in stop.do_now]
        out += [">", f"> Until: {escape(stop.until)}", ""]
    _list(out, "The car", [f"{line.label}: {line.text}" for line in sheet.car])
    _list(out, "What was told", sheet.complaint)
    _list(out, "What was found", found_words(sheet, audience))
    if audience == "workshop":
        _table(out, "Ranking", ("Chance", "Cause"), [(percent(r.chance), r.title) for r in sheet.ranking])
        _list(out, "Remark", [sheet.surprise] if sheet.surprise else [])
    for work in sheet.remedies:
        lines = list(work.steps) if audience == "workshop" else []
        lines += [f"Parts: {', '.join(work.parts)}"] if work.parts else []
        _list(out, f"{work.stage}: {work.title}", lines or ["See the workshop's copy."])
    if sheet.proof:
        out += ["## Proof", "", *(f"- [{'x' if w.done else ' '}] {escape(w.title)}" for w in sheet.proof), ""]
    _list(out, "Outcome", outcome_words(sheet))
    _list(out, "Take care", [f"{line.label}: {line.text}" for line in cautions(sheet, audience)])
    if audience == "workshop":
        for one in sheet.data_logs:
            _list(out, f"Data log {one.name}", one.lines)
        _list(out, "Next", sheet.advice)
        rows = [
            (str(x.number), x.at.replace("T", " ")[:16], x.who, x.kind, _with_state(x.text, x.state, x.by), x.weight)
            for x in sheet.log
        ]
        _table(out, "Entries", ("No.", "Time (UTC)", "Who", "Kind", "What", "Weight"), rows)
        _list(out, "Problems", sheet.problems)
        out += [f"Rule book {escape(sheet.book)}."]
    return "\n".join(out).rstrip() + "\n"


def _with_state(text: str, state: str, by: int) -> str:
    return f"{text} [{state} by entry {by}]" if state else text


def _list(out: list[str], title: str, lines: Sequence[str]) -> None:
    if lines:
        out += [f"## {escape(title)}", "", *(f"- {escape(line)}" for line in lines), ""]


def _table(out: list[str], title: str, heads: Sequence[str], rows: Sequence[Sequence[str]]) -> None:
    if rows:
        out += [f"## {escape(title)}", "", f"| {' | '.join(heads)} |", f"|{'---|' * len(heads)}"]
        out += [f"| {' | '.join(escape(cell) for cell in row)} |" for row in rows]
        out.append("")
