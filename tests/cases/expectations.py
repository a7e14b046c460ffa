"""The worked cases with what the trade expects of them, read from cases/ and tests/cases/expected.yaml."""

from __future__ import annotations

from dataclasses import replace
from functools import cache, lru_cache
from pathlib import Path

from diag.casework.casefile import read_case
from diag.casework.entries import Case
from diag.casework.replay import ModelCache, Standing, standing
from diag.rulebook.load import load_book
from diag.rulebook.model import RuleBook
from diag.rulebook.where import cases_folder, rules_folder
from diag.simulation.expected import Worked, read_expectations

HERE = Path(__file__).parent


@lru_cache(maxsize=1)
def worked() -> dict[str, Worked]:
    """Every worked case by its name."""
    return read_expectations((HERE / "expected.yaml").read_text(encoding="utf-8"), "expected.yaml")


@lru_cache(maxsize=1)
def book() -> RuleBook:
    """The shipped rule book."""
    return load_book(rules_folder())


@cache
def case_of(name: str) -> Case:
    """The case as its file says; a file with problems fails here."""
    path = cases_folder() / f"{name}.yaml"
    return read_case(path.read_text(encoding="utf-8"), path.name).whole()


_CACHE: ModelCache = {}


@lru_cache(maxsize=128)  # of a few cases: the tests of one case stand together
def after(name: str, number: int) -> Standing:
    """Where the job stood after this entry."""
    case = case_of(name)
    entries = tuple(entry for entry in case.entries if entry.number <= number)
    return standing(replace(case, entries=entries), book(), _CACHE)


def last(name: str) -> Standing:
    """Where the job stands at its end."""
    return after(name, case_of(name).entries[-1].number)
