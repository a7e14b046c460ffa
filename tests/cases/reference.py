"""Rankings of the worked cases with many more imagined cars than the program takes, kept in reference.yaml.

Written anew with:  python -m tests.cases.reference
Some cases only, the rest as stored:  python -m tests.cases.reference NAME ...
"""

from __future__ import annotations

import sys
from functools import lru_cache
from pathlib import Path

import yaml

from diag.inference.model import compile_model
from diag.inference.posterior import belief
from tests.cases.expectations import book, last, worked

FILE = Path(__file__).parent / "reference.yaml"
MANY = 4096
KEPT = 0.005  # chances below this are not written down


def ranking(name: str, draws: int) -> dict[str, float]:
    """The chance of every cause at the end of the case, with so many imagined cars per hypothesis."""
    at_end = last(name)
    model = compile_model(book(), at_end.car, draws)
    return dict(belief(model, at_end.evidence).ranked())


@lru_cache(maxsize=1)
def stored() -> dict:
    """What the file holds: fingerprint of the rule book, number of draws, and the rankings by case."""
    return yaml.safe_load(FILE.read_text(encoding="utf-8"))


def main(names: list[str]) -> None:
    """Work these cases, or every one, with many draws and write the file."""
    cases = dict(stored()["cases"]) if names else {}
    for name in names or worked():
        cases[name] = {c: round(p, 4) for c, p in ranking(name, MANY).items() if p >= KEPT}
        print(f"{name}: {next(iter(cases[name]), 'nothing above ' + str(KEPT))}")
    # The fingerprint says for which rules all of it was worked; with some cases only, that stays the older one.
    whole = {"rule book": stored()["rule book"] if names else book().fingerprint, "draws": MANY, "cases": cases}
    head = "# Written by: python -m tests.cases.reference\n"
    FILE.write_text(head + yaml.safe_dump(whole, sort_keys=False, width=110), encoding="utf-8")


if __name__ == "__main__":
    main(sys.argv[1:])
