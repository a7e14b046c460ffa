"""``diag jobs``: find jobs again."""

from __future__ import annotations

from datetime import date

from diag.casework.query import Query
from diag.support.errors import ExitCode, UserError
from diag.support.text import one_line
from diag.ui.cli.arguments import Arguments
from diag.ui.cli.inputs import store_of
from diag.ui.cli.output import json_text, remark, say, table

SCHEMA_VERSION = 1
STATUS = {"open": "open", "waiting": "waiting for part", "closed": "closed"}


def parser() -> Arguments:
    """The options."""
    found = Arguments("jobs", "List, filter and search jobs, last changed first.")
    found.add_argument("words", nargs="*", metavar="WORD", help="all of these words occur somewhere in the job")
    found.add_argument("--status", choices=tuple(STATUS), help="only jobs of this status")
    found.add_argument("--car", default="", metavar="WORDS", help="words in the title or in the facts of the car")
    found.add_argument("--cause", default="", metavar="NAME", help="the cause named at the end")
    found.add_argument("--since", default="", metavar="DATE", help="changed on this day (2026-11-25) or later")
    found.add_argument("--until", default="", metavar="DATE", help="changed on this day or earlier")
    found.add_argument("--most", type=int, default=50, metavar="N", help="at most this many (default 50)")
    found.add_argument("--json", action="store_true", help="as JSON")
    return found.with_folder()


def run(arguments: list[str]) -> int:
    """Print the list."""
    options = parser().parse_args(arguments)
    if options.most < 1:
        raise UserError(f"--most {options.most} would show nothing.", "Give a number from 1 up.")
    store = store_of(options)
    query = Query(
        status=STATUS.get(options.status or "", ""),
        car=options.car,
        cause=options.cause,
        text=" ".join(options.words),
        since=_day(options.since),
        until=_day(options.until),
        limit=options.most,
    )
    found = store.search(query)
    counts = store.counts()
    for line in store.news():
        remark(line)
    if options.json:
        jobs = [
            {"id": f.id, "title": one_line(f.title), "status": f.status, "opened": f.opened, "changed": f.changed,
             "result": f.result, "proven": f.proven, "causes": list(f.causes), "problem": one_line(f.problem, 600)}
            for f in found
        ]  # fmt: skip
        say(json_text({"schema": SCHEMA_VERSION, "kind": "jobs", "folder": store.words, "jobs": jobs}))
        return ExitCode.DONE
    rows = [(f.id, f.status, f.changed.replace("T", " ")[:16], f.result + (" (proven)" if f.proven else ""), f.title)
            for f in found]  # fmt: skip
    if rows:
        say("\n".join(table(("job", "status", "changed", "result", "title"), rows)))
    total = ", ".join(f"{n} {status}" for status, n in counts.items())
    say(f"{len(rows)} shown; in all: {total}. {store.words}")
    for f in found:
        if f.problem:
            say(f"Damaged: {f.problem}")
    return ExitCode.DONE


def _day(text: str) -> str:
    """A date as given, checked."""
    if not text:
        return ""
    try:
        return date.fromisoformat(text).isoformat()
    except ValueError:
        raise UserError(f"{one_line(text, 40)!r} is no date.", "Write it as 2026-11-25.") from None
