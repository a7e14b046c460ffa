"""``diag demo``: the worked cases that come with the program."""

from __future__ import annotations

from pathlib import Path

from diag.casework.casefile import read_case
from diag.casework.keeping import WholeJob
from diag.casework.summary import status_of
from diag.rulebook.where import cases_folder
from diag.support.disk.files import read_text
from diag.support.errors import ExitCode, UserError
from diag.ui.cli.arguments import Arguments
from diag.ui.cli.inputs import demo_path, store_of
from diag.ui.cli.output import deliver, remark, say, table


def parser() -> Arguments:
    """The options."""
    found = Arguments("demo", "List, print or copy the worked cases that come with the program.")
    found.add_argument("name", nargs="?", metavar="NAME", help="print this case")
    found.add_argument("--list", action="store_true", help="list them (also what plain `diag demo` does)")
    found.add_argument("--copy", action="store_true", help="copy the case into the folder of jobs, to work on it")
    found.add_argument("-o", "--output", type=Path, metavar="FILE", help="write the case to a file")
    return found.with_folder()


def run(arguments: list[str]) -> int:
    """List, print or copy."""
    options = parser().parse_args(arguments)
    if options.list or not options.name:
        if options.copy or options.output:
            raise UserError("No case was named.", "Give its name: diag demo NAME --copy")
        say("\n".join(_list()))
        return ExitCode.DONE
    path = demo_path(options.name)
    text = read_text(path)
    if not options.copy:
        deliver(text, options.output)
        return ExitCode.DONE
    store_of(options).bring_in(WholeJob(path.stem, text.encode()))
    remark(f"Copied. Work on it: diag work {path.stem}")
    return ExitCode.DONE


def _list() -> list[str]:
    rows = []
    for path in sorted(cases_folder().glob("*.yaml")):
        case = read_case(read_text(path), path.name).best()
        if case is not None:
            rows.append((path.stem, status_of(case), f"{len(case.entries)}", case.title))
    if not rows:
        raise UserError("No cases came with this program.", "Install it again.", str(cases_folder()))
    return table(("name", "status", "entries", "about"), rows)
