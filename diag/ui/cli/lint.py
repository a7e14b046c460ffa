"""``diag lint``: what to mend in a rule book, with file, line and column."""

from __future__ import annotations

import time
from pathlib import Path
from typing import TYPE_CHECKING

from diag.rulebook.where import rules_folder
from diag.support.errors import ExitCode
from diag.support.text import one_line
from diag.ui.cli.arguments import Arguments
from diag.ui.cli.output import json_text, remark, say

if TYPE_CHECKING:
    from diag.rulebook.desk import Problem

SCHEMA_VERSION = 1


def parser() -> Arguments:
    """The options."""
    found = Arguments("lint", "Check a rule book and say what to mend.", "exit codes: 0 no error, 2 errors found")
    found.add_argument("folder", nargs="?", type=Path, help="folder with rule files (default: the ones in use)")
    found.add_argument("--deep", action="store_true", help="also run the slow rules that ask the physics")
    found.add_argument("--errors", action="store_true", help="leave advice out")
    found.add_argument("--rules", action="store_true", help="list the lint rules with what they look for, and end")
    about = "count what figures rest on; list the judgements that move the worked cases most"
    found.add_argument("--bases", action="store_true", help=about)
    found.add_argument("--json", action="store_true", help="as JSON")
    return found


def run(arguments: list[str]) -> int:
    """Print every finding."""
    options = parser().parse_args(arguments)
    # arrays and YAML, for which the help does not wait
    from diag.rulebook.lint.__main__ import line_of
    from diag.rulebook.lint.run import RULES, lint_folder

    if options.rules:
        for rule in RULES:
            head = f"{rule.name}{' (only with --deep)' if rule.deep else ''}"
            say(head + "\n    " + rule.about.replace("\n", "\n    "))
        return ExitCode.DONE
    if options.bases:
        return _bases(options.folder or rules_folder())
    start = time.perf_counter()
    found = lint_folder(options.folder or rules_folder(), options.deep)
    shown = [p for p in found if not (options.errors and p.advice)]
    errors = sum(not p.advice for p in found)
    if options.json:
        say(json_text({"schema": SCHEMA_VERSION, "kind": "lint", "errors": errors, "advice": len(found) - errors,
                       "findings": [_plain(p) for p in shown]}))  # fmt: skip
    else:
        for problem in shown:
            say(one_line(line_of(problem), 2000))
        remark(f"{errors} errors, {len(found) - errors} pieces of advice in {time.perf_counter() - start:.2f} s")
    return ExitCode.BAD_INPUT if errors else ExitCode.DONE


def _bases(folder: Path) -> int:
    """What the figures rest on."""
    # weighs every case, only with --bases
    from diag.casework.casefile import read_case
    from diag.evaluation.leverage import counted, leverage_text, levers
    from diag.rulebook.load import load_book
    from diag.rulebook.where import cases_folder
    from diag.support.disk.files import read_text

    book = load_book(folder)
    cases = (read_case(read_text(path), path.name).best() for path in sorted(cases_folder().glob("*.yaml")))
    say(leverage_text(counted(book), levers((case for case in cases if case is not None), book)))
    return ExitCode.DONE


def _plain(problem: Problem) -> dict[str, object]:
    place = problem.place
    return {
        "file": place.file if place else "",
        "line": place.line if place else 0,
        "column": place.column if place else 0,
        "level": "advice" if problem.advice else "error",
        "rule": problem.rule,
        "what": one_line(problem.what, 1000),
        "hint": one_line(problem.hint, 1000),
    }
