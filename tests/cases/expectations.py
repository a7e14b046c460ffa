"""The worked cases with what the trade expects of them, read from cases/ and tests/cases/expected.yaml."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cache, lru_cache
from pathlib import Path

import yaml

from diag.casework.casefile import read_case
from diag.casework.entries import Case
from diag.casework.replay import ModelCache, Standing, standing
from diag.rulebook.load import load_book
from diag.rulebook.model import RuleBook
from diag.rulebook.where import cases_folder, rules_folder

HERE = Path(__file__).parent


@dataclass(frozen=True)
class Expect:
    """What is expected of the standing after one entry; what is left empty is not asked."""

    at: int
    lead: tuple[str, ...] = ()  # one of these leads
    first: int = 0
    all: tuple[str, ...] = ()  # all of these are among the first so many
    some: tuple[str, ...] = ()  # one of these is
    below: Mapping[str, float] = field(default_factory=dict)  # chances not reached
    proposes: str = ""  # the kind of the next step
    odd: int = 0  # the entry that fits least


@dataclass(frozen=True)
class Walled:
    """Steps that the wall forbids after each of these entries."""

    first: int
    last: int
    steps: tuple[str, ...]


@dataclass(frozen=True)
class Worked:
    """One worked case and what is expected of it."""

    name: str
    why: str
    car: Mapping[str, str]  # what is true of the car though nobody told it
    faults: Sequence[tuple[int, Mapping[str, str]]]  # from which entry on, parameter: value with its unit
    misread: frozenset[int]
    expect: tuple[Expect, ...]
    walled: tuple[Walled, ...]
    unwise: tuple[tuple[int, tuple[str, ...]], ...]


@lru_cache(maxsize=1)
def worked() -> dict[str, Worked]:
    """Every worked case by its name."""
    told = yaml.safe_load((HERE / "expected.yaml").read_text(encoding="utf-8"))
    return {name: _worked(name, item) for name, item in told.items()}


def _worked(name: str, item: Mapping) -> Worked:
    unknown = set(item) - {"why", "car", "faults", "misread", "expect", "walled", "unwise"}
    if unknown:
        raise ValueError(f"{name}: nobody reads {sorted(unknown)}")
    return Worked(
        name,
        item["why"],
        item.get("car", {}),
        [(f["from"], f["are"]) for f in item.get("faults", ())],
        frozenset(item.get("misread", ())),
        tuple(Expect(**{k: tuple(v) if isinstance(v, list) else v for k, v in e.items()}) for e in item["expect"]),
        tuple(Walled(w["from"], w["to"], tuple(w["steps"])) for w in item.get("walled", ())),
        tuple((u["at"], tuple(u["steps"])) for u in item.get("unwise", ())),
    )


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


@lru_cache(maxsize=2048)
def after(name: str, number: int) -> Standing:
    """Where the job stood after this entry."""
    case = case_of(name)
    entries = tuple(entry for entry in case.entries if entry.number <= number)
    return standing(replace(case, entries=entries), book(), _CACHE)


def last(name: str) -> Standing:
    """Where the job stands at its end."""
    return after(name, case_of(name).entries[-1].number)
