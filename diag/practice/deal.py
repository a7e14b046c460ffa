"""Dealing a practice car: level and seed in, a car with a hidden fault and its owner's story out. Pure.

The same book, level and seed always deal the same car. A car is dealt again with the next number when its fault would
not be noticed by anybody: no owner brings a car that shows nothing.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

import numpy as np

from diag.casework.replay import ModelCache, model_for
from diag.fuelsystem.car import car_from_texts
from diag.inference.readings.damage import seed_of
from diag.practice.cars import ALWAYS, CARS, PAPERS, PracticeCar, paper, written
from diag.practice.levels import Level
from diag.rulebook.causes import Cause
from diag.rulebook.findings import PRESENT, Sign
from diag.rulebook.model import RuleBook
from diag.simulation.hidden_car import HiddenCar
from diag.support.errors import UserError

ATTEMPTS = 60
NEVER_TOLD = frozenset({"fire-or-smoke"})  # no car for practice
LOUD_SHARE = 0.009  # "occasional" or more often
LOUD_LINK = 0.6
HYDRAULIC = frozenset({"regulator", "reference", "return", "feed", "pump", "electrics", "tank"})
TELLING = 3.0  # factor from which a circumstance of the car is worth a word in the story


@dataclass(frozen=True, slots=True)
class WrongFact:
    """A figure that the owner tells wrongly: the field, what is told, and what is so."""

    field: str
    told: str
    true: str


@dataclass(frozen=True, slots=True)
class Deal:
    """A practice car as it rolls in. ``car``, ``causes``, ``misread_at`` and ``wrong_fact`` are hidden until the end.

    ``facts`` and ``contexts`` are told by the owner, as typed; ``complaints`` are signs that the owner reports;
    ``misread_at`` counts the pressure readings of the job from 1, 0 means none is misread.
    """

    level: Level
    seed: int
    club_car: PracticeCar
    facts: Mapping[str, str]
    contexts: Mapping[str, str]
    complaints: tuple[str, ...]
    tools: tuple[str, ...]
    causes: tuple[str, ...]
    car: HiddenCar
    built: Mapping[str, float]
    misread_at: int = 0
    wrong_fact: WrongFact | None = None
    attempt: int = field(default=0, compare=False)


def deal(book: RuleBook, level: Level, seed: int, cache: ModelCache | None = None) -> Deal:
    """The practice car of this level and number.

    Raises:
        UserError: this rule book has no fault that suits the level.
    """
    pool = suitable(book, level)
    if len(pool) < level.faults:
        raise UserError(
            f"This rule book has no faults for the level {level.title!r}.", "Choose another level or rule book."
        )
    for attempt in range(ATTEMPTS):
        found = _try(book, level, seed, attempt, pool, cache)
        if found is not None:
            return found
    raise UserError(
        f"No fault of this rule book shows itself to an owner on the level {level.title!r}.",
        "Choose another level, or add symptoms to the causes.",
    )


def suitable(book: RuleBook, level: Level) -> tuple[Cause, ...]:
    """The causes that may be hidden on a level."""
    return tuple(cause for cause in book.causes.values() if cause.remedies and _suits(cause, level, book))


def _suits(cause: Cause, level: Level, book: RuleBook) -> bool:
    if cause.kind == "exit":
        return False
    if level.missing or level.misread or level.wrong_fact:
        return cause.is_physical and cause.area in HYDRAULIC and not _plain_to_see(cause, book)
    if level.faults > 1:
        return cause.kind in ("damage", "sizing", "setting") and cause.area in HYDRAULIC
    if level.loud:
        shown = max((_link(cause, sign, book) for sign in book.signs.values() if sign.symptom), default=0.0)
        frequent = cause.how_often.share >= LOUD_SHARE
        clear = cause.is_physical or shown >= LOUD_LINK  # what the physics shows is looked at on the car itself
        return frequent and clear and cause.kind in ("damage", "setting") and cause.area in HYDRAULIC
    return True


_DRIVES = frozenset({"pump supply", "pump flow factor", "cranking supply", "running supply"})
"""Without any of these no engine runs."""


def _plain_to_see(cause: Cause, book: RuleBook) -> bool:
    """Leaks and dead engines, where neither a pressure reading nor the papers decide anything."""
    wet = any(strength >= 0.5 and name in book.signs and book.signs[name].wet for name, strength in cause.shows.items())
    dead = any(e.parameter in _DRIVES and e.how == "set" and e.high < 0.1 for e in cause.acts_on)
    return wet or dead


def _try(
    book: RuleBook, level: Level, seed: int, attempt: int, pool: tuple[Cause, ...], cache: ModelCache | None
) -> Deal | None:
    number = seed_of("practice", level.id, str(seed), str(attempt))
    rng = np.random.default_rng(number)
    club_car = CARS[int(rng.integers(len(CARS)))]
    causes = _causes(pool, level, rng)
    if len(causes) < level.faults:
        return None
    base = dict(club_car.facts)
    hidden = HiddenCar(model_for(book, car_from_texts(base), cache), tuple(c.id for c in causes), number % 2**31)
    complaints = _complaints(causes, hidden, book, most=2)
    if not complaints:
        return None
    built = hidden.as_built() if hidden.model.physics is not None else {}
    papers = _papers(level, built, rng)
    wrong = _wrong_fact(causes[0], papers, rng) if level.wrong_fact else None
    if level.wrong_fact and wrong is None:
        return None
    facts = {**base, **papers, **({wrong.field: wrong.told} if wrong else {})}
    if _impossible(facts):
        return None
    tools = tuple(t for t in book.tools if t not in level.missing)
    misread_at = int(rng.integers(1, 4)) if level.misread else 0
    contexts = _contexts(causes, complaints, book, rng)
    return Deal(
        level, seed, club_car, facts, contexts, complaints, tools, hidden.causes, hidden, built, misread_at, wrong,
        attempt,
    )  # fmt: skip


def _causes(pool: tuple[Cause, ...], level: Level, rng: np.random.Generator) -> tuple[Cause, ...]:
    """Faults by the square root of their frequency, so that rare ones come up too; two from different areas."""
    chosen: list[Cause] = []
    left = list(pool)
    for _ in range(level.faults):
        if not left:
            break
        weights = np.sqrt([c.how_often.share for c in left])
        cause = left[int(rng.choice(len(left), p=weights / weights.sum()))]
        chosen.append(cause)
        left = [c for c in left if c.area != cause.area and not set(c.remedies) & set(cause.remedies)]
    return tuple(chosen)


# ------------------------------------------------------------------ the owner's story


def _link(cause: Cause, sign: Sign, book: RuleBook) -> float:
    """How strongly a cause shows a sign, by itself or through a state."""
    direct = cause.shows.get(sign.id, 0.0)
    states = (cause.shows.get(s.id, 0.0) * s.seen_as[sign.id] for s in book.states.values() if sign.id in s.seen_as)
    return max(direct, *states, 0.0)


def _complaints(causes: Iterable[Cause], car: HiddenCar, book: RuleBook, most: int) -> tuple[str, ...]:
    """What the owner noticed: the strongest symptoms that are there, at least one of every fault."""
    found: list[str] = []
    for cause in causes:
        linked = [
            (strength, sign.id)
            for sign in book.signs.values()
            if sign.symptom and not sign.choices and sign.id not in NEVER_TOLD
            for strength in (_strength(cause, sign, book),)
            if strength >= 0.3 and sign.id not in found
        ]
        there = [name for _, name in sorted(linked, key=lambda x: (-x[0], x[1])) if car.sign(name) == PRESENT]
        felt = [name for name in there if not _read_off(book.signs[name], book)]
        there = felt or there
        if not there:
            return ()
        found += there[: max(1, most // len(tuple(causes)))]
    return tuple(found)


def _read_off(sign: Sign, book: RuleBook) -> bool:
    """Whether it takes a gauge: what the physics decides by a reading of the book alone."""
    return bool(sign.conditions) and all(condition.reading in book.readings for condition in sign.conditions)


def _strength(cause: Cause, sign: Sign, book: RuleBook) -> float:
    if sign.conditions:  # an owner with a gauge is weaker than anything felt while driving
        return 0.0 if not cause.is_physical else 0.3 if _read_off(sign, book) else 0.6
    return _link(cause, sign, book)


def _contexts(
    causes: Iterable[Cause], complaints: Iterable[str], book: RuleBook, rng: np.random.Generator
) -> dict[str, str]:
    """Circumstances the owner mentions: those that make the fault likelier, more often the more they do."""
    told: dict[str, str] = {}
    for context in book.contexts.values():
        factor = float(np.prod([c.more_likely_when.get(context.id, 1.0) for c in causes]))
        u = float(rng.random())
        if context.when_car:
            continue
        if factor >= TELLING and u < factor / (factor + TELLING):
            told[context.id] = "yes"
        elif factor < 1.0:
            told[context.id] = "no"
    if "no-start" in complaints and "running-now" in book.contexts:
        told["running-now"] = "no"
    return told


def _papers(level: Level, built: Mapping[str, float], rng: np.random.Generator) -> dict[str, str]:
    papers = {}
    for name, parameter in PAPERS.items():
        has = rng.random() < level.told or name in ALWAYS
        text = paper(name, built) if has and parameter in built else ""
        if text:
            papers[name] = text
    return papers


# Field by area of the fault, and the factor between what is so and what is told: parts mistaken for the next size.
_MISTAKES: dict[str, tuple[tuple[str, float], ...]] = {
    "return": (("return-bore", 1.35), ("pump-flow", 0.6)),
    "regulator": (("return-bore", 0.7), ("regulator-low", 0.6)),
    "reference": (("idle-vacuum", 1.35), ("return-bore", 0.7)),
    "feed": (("pump-flow", 1.6), ("feed-bore", 1.35)),
    "pump": (("pump-flow", 1.6), ("feed-bore", 0.7)),
    "tank": (("pump-flow", 1.6), ("return-bore", 0.7)),
    "electrics": (("pump-flow", 0.6), ("feed-bore", 0.7)),
}


def _wrong_fact(cause: Cause, papers: Mapping[str, str], rng: np.random.Generator) -> WrongFact | None:
    """One figure of the papers, mistaken for another part's."""
    possible = [(name, factor) for name, factor in _MISTAKES.get(cause.area, ()) if name in papers]
    if not possible:
        return None
    name, factor = possible[int(rng.integers(len(possible)))]
    value = car_from_texts({name: papers[name]}).number(name)
    told = written(name, value * factor) if value is not None else ""
    return WrongFact(name, told, papers[name]) if told else None


def _impossible(facts: Mapping[str, str]) -> bool:
    return bool(car_from_texts(facts).impossible())
