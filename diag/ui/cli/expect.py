"""``diag expect``: written cases held against what the trade expects of them."""

from __future__ import annotations

from argparse import Namespace
from pathlib import Path

from diag.casework.casefile import read_case
from diag.casework.replay import ModelCache
from diag.evaluation.expectations import unmet
from diag.simulation.expected import Worked, read_expectations
from diag.support.disk.files import read_text
from diag.support.errors import ExitCode, UnknownNameError, UserError
from diag.ui.cli.arguments import Arguments
from diag.ui.cli.inputs import book_of
from diag.ui.cli.output import deliver

CASES, EXPECTED = Path("cases"), Path("tests/cases/expected.yaml")
EPILOG = "exit codes: 0 everything is as expected, 2 something is not, or an expectation names what is not there\n"


def parser() -> Arguments:
    """The options."""
    found = Arguments("expect", "Hold written cases against what the trade expects of them.", EPILOG)
    found.add_argument("names", nargs="*", metavar="NAME", help="only these cases (default: all)")
    found.add_argument("--cases", type=Path, default=CASES, metavar="FOLDER", help=f"the cases (default ./{CASES})")
    found.add_argument("--expected", type=Path, default=EXPECTED, metavar="FILE",
                       help=f"what is expected of them (default ./{EXPECTED})")  # fmt: skip
    found.add_argument("-o", "--output", type=Path, metavar="FILE", help="write to a file")
    return found.with_rules()


def expectations_of(options: Namespace) -> dict[str, Worked]:
    """The expectations asked for.

    Raises:
        UserError, SourceError: the file or a case is not there, or cannot be used.
    """
    if not options.expected.is_file():
        raise UserError(f"There is no {options.expected} here.", "Say --expected FILE.")
    every = read_expectations(read_text(options.expected), options.expected.name)
    for name in options.names:
        if name not in every:
            raise UnknownNameError("expectation for a case", name, every)
    return {name: worked for name, worked in every.items() if not options.names or name in options.names}


def run(arguments: list[str]) -> int:
    """Check them."""
    options = parser().parse_args(arguments)
    wanted = expectations_of(options)

    book, lines, wrong = book_of(options), [], 0
    cache: ModelCache = {}
    for name, worked in wanted.items():
        path = options.cases / f"{name}.yaml"
        case = read_case(read_text(path), path.name).whole()
        found = unmet(worked, case, book, cache)
        wrong += bool(found)
        lines += [f"{name}: {'as expected' if not found else 'NOT as expected'}", *(f"  {line}" for line in found)]
    lines.append(f"{len(wanted) - wrong} of {len(wanted)} cases are as expected.")
    deliver("\n".join(lines), options.output)
    return ExitCode.BAD_INPUT if wrong else ExitCode.DONE
