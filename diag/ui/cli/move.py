"""``diag move``: jobs from a folder into a team's server and back, byte for byte."""

from __future__ import annotations

from collections import Counter
from pathlib import Path
from typing import TYPE_CHECKING

from diag.desk.address import is_address
from diag.desk.carrying import carry
from diag.support.errors import ExitCode, StorageError, UserError
from diag.support.text import one_line
from diag.ui.cli.arguments import Arguments
from diag.ui.cli.inputs import store_at
from diag.ui.cli.output import remark, say

if TYPE_CHECKING:
    from diag.casework.keeping import JobStore


def parser() -> Arguments:
    """The options."""
    found = Arguments(
        "move",
        "Carry all jobs from one store to another, byte for byte; each is read back and compared.",
        "A store is a folder or postgresql://HOST/NAME. The jobs stay where they were as well: remove them yourself\n"
        "once you have seen the others. Let nobody work on them meanwhile.",
    )
    found.add_argument("source", metavar="FROM", help="where the jobs are")
    found.add_argument("target", metavar="TO", help="where they are to be; a folder is made when it is not there")
    found.add_argument("--only", default="", metavar="WORDS", help="only jobs whose names contain this")
    return found


def run(arguments: list[str]) -> int:
    """Carry them and say what became of each that was not carried."""
    options = parser().parse_args(arguments)

    source, target = _store(options.source, True), _store(options.target, False)
    if source.words == target.words:
        raise UserError("Both are the same store.", "Name two different ones.")
    names = [name for name in source.ids() if options.only in name]
    counted: Counter[str] = Counter()
    for done in carry(source, target, names):
        counted[done.outcome] += 1
        if done.outcome == "differs":
            remark(f"{done.id}: another job of this name is there; both are left as they are.")
        elif done.why:
            remark(f"{done.id}: {one_line(done.why, 600)}")
    say(f"{counted['carried']} of {len(names)} jobs carried from {source.words} to {target.words}; "
        f"{counted['there already']} were there already.")  # fmt: skip
    left = counted["differs"] + counted["not carried"]
    if left:
        say(f"{left} not carried, see above.")
    return ExitCode.STORAGE if left else ExitCode.DONE


def _store(where: str, must_exist: bool) -> JobStore:
    if must_exist and not is_address(where) and not Path(where).expanduser().is_dir():
        raise StorageError(f"There is no folder {one_line(where, 200)!r}.", "Give a folder that exists.")
    return store_at(where)
