"""Lint from the shell: ``python -m diag.rulebook.lint [--deep] [--errors] [--rules] FOLDER``."""

from __future__ import annotations

import argparse
import sys
import time
from pathlib import Path

from diag.rulebook.desk import Problem
from diag.rulebook.lint.run import RULES, lint_folder
from diag.rulebook.where import rules_folder
from diag.support.errors import UserError


def line_of(problem: Problem) -> str:
    """A finding on one line: place, level, rule, what is wrong, what to do."""
    level = "advice" if problem.advice else "error"
    place = f"{problem.place}: " if problem.place else ""
    return f"{place}{level}: {problem.rule}: {problem.what} {problem.hint}".rstrip()


def main(arguments: list[str] | None = None) -> int:
    """Print every finding; 0 when there is no error, 2 otherwise."""
    parser = argparse.ArgumentParser(prog="python -m diag.rulebook.lint", description="Check the rule book.")
    parser.add_argument("folder", nargs="?", type=Path, help="folder with rule files (default: the ones in use)")
    parser.add_argument("--deep", action="store_true", help="also run the slow rules that ask the physics")
    parser.add_argument("--errors", action="store_true", help="leave advice out")
    parser.add_argument("--rules", action="store_true", help="list the rules with what they look for, and end")
    options = parser.parse_args(arguments)
    if options.rules:
        for rule in RULES:
            print(f"{rule.name}{' (only with --deep)' if rule.deep else ''}\n    " + rule.about.replace("\n", "\n    "))
        return 0
    start = time.perf_counter()
    try:
        found = lint_folder(options.folder or rules_folder(), options.deep)
    except UserError as error:
        print(error.one_line(), file=sys.stderr)
        return int(error.exit_code)
    shown = [p for p in found if not (options.errors and p.advice)]
    for problem in shown:
        print(line_of(problem))
    errors = sum(not p.advice for p in found)
    print(f"{errors} errors, {len(found) - errors} pieces of advice in {time.perf_counter() - start:.2f} s")
    return 2 if errors else 0


if __name__ == "__main__":
    sys.exit(main())
