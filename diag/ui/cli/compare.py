"""``diag compare``: two versions of a rule book over the same cases."""

from __future__ import annotations

from argparse import Namespace
from pathlib import Path

from diag.casework.casefile import read_case
from diag.evaluation.two_books import Piece, compare_books, difference_data, difference_text
from diag.rulebook.where import cases_folder, rules_folder
from diag.simulation.expected import read_expectations
from diag.support.disk.files import read_text
from diag.support.errors import ExitCode, StorageError
from diag.ui.cli.arguments import Arguments
from diag.ui.cli.output import Progress, deliver, json_text

EPILOG = "Says what moved and never judges by its exit code: 0 compared, 2 a book or a case cannot be used.\n"


def parser() -> Arguments:
    """The options."""
    found = Arguments("compare", "Set two versions of a rule book side by side over the same cases.", EPILOG)
    found.add_argument("old", type=Path, metavar="OLD", help="folder of the earlier rules")
    found.add_argument("new", type=Path, nargs="?", metavar="NEW", help="folder of the later rules (default: in use)")
    found.add_argument("--cases", type=Path, metavar="FOLDER", help="the cases (default: those of the program)")
    found.add_argument("--expected", type=Path, metavar="FILE",
                       help="what the trade expects of them, to tell better from worse")  # fmt: skip
    found.add_argument("--workers", type=int, default=0, metavar="N", help="processes (default: one per core)")
    found.add_argument("--within", type=float, metavar="SECONDS",
                       help="begin no case after that; those that the changes concern come first")  # fmt: skip
    found.add_argument("--json", action="store_true", help="as JSON")
    found.add_argument("-o", "--output", type=Path, metavar="FILE", help="write to a file")
    return found


def _pieces(options: Namespace) -> list[Piece]:
    """The cases with the causes that may lead at their end, where somebody wrote down what the trade expects."""
    told = options.expected
    expected = read_expectations(read_text(told), told.name) if told is not None else {}
    pieces = []
    for path in sorted((options.cases or cases_folder()).glob("*.yaml")):
        case = read_case(read_text(path), path.name).best()
        if case is not None and case.entries:
            last = expected[path.stem].expect[-1] if path.stem in expected else None
            pieces.append(Piece(case, frozenset(last.lead or last.all) if last is not None else frozenset()))
    if not pieces:
        raise StorageError("There are no cases to compare with.", "Say --cases FOLDER.", str(options.cases or ""))
    return pieces


def run(arguments: list[str]) -> int:
    """Compare them."""
    options = parser().parse_args(arguments)

    for folder in (options.old, *([options.new] if options.new else [])):
        if not folder.is_dir():
            raise StorageError(f"There is no folder {str(folder)!r}.", "Name a folder of rules.")
    found = compare_books(
        options.old,
        options.new or rules_folder(),
        _pieces(options),
        options.workers or None,
        Progress(),
        options.within,
    )
    deliver(json_text(difference_data(found)) if options.json else difference_text(found), options.output)
    return ExitCode.DONE
