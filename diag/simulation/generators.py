"""Where simulated jobs come from: hidden causes drawn from the prior, a car told in part, a person with some tools.

*Own book*: the world follows the book to the letter, so the figures show what the engine makes of it, no more.
*Stressed*: the world differs from the book while the engine still reads the book as written. One answer in ten is
wrong, whoever gives it; every link is off by a factor of two on its odds; a third of the links that the book has are
not there; in one job of twenty the fault is none of the book's. Neither is proof about real cars; the third are
hand-written cases (``diag.simulation.written``).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

import numpy as np

from diag.casework.witnesses import witness_of
from diag.inference.model import Model
from diag.inference.posterior import NOT_IN_BOOK
from diag.inference.prior import Prior, prior_of
from diag.inference.readings.damage import seed_of
from diag.rulebook.causes import Cause
from diag.rulebook.findings import PRESENT
from diag.rulebook.model import RuleBook
from diag.rulebook.steps import Person
from diag.simulation.hidden_car import HiddenCar
from diag.simulation.scenario import Generator, Kit, Scenario

PROFILES: tuple[Mapping[str, str], ...] = (
    {},
    {"fuel": "petrol", "target-pressure": "43.5", "target-hose": "off"},
    {"target-pressure": "3 bar", "pumps": "one", "pump-place": "in tank", "pump-flow": "190 L/h",
     "pump-pressure": "3 bar", "pump-volts": "12"},
    {"target-pressure": "43.5", "pump-flow": "340 L/h", "pump-pressure": "40 psi", "pump-volts": "13.5",
     "return-bore": "8 mm", "return-length": "4 m", "feed-bore": "8 mm"},
    {"fuel": "E85", "target-pressure": "58", "pumps": "one", "pump-flow": "450 L/h", "boost": "14 psi",
     "engine-power": "450 hp", "regulator-low": "40", "regulator-high": "75"},
    {"target-pressure": "50", "pump-place": "outside", "pump-flow": "255 L/h", "return-bore": "6 mm",
     "regulator-low": "36", "regulator-high": "72", "idle-vacuum": "17 inHg"},
)  # fmt: skip
"""What is told of the car, from nothing to plenty; every field may be unknown."""

MOST_CARS = 8  # cars with a fault tried until one of them gives somebody a reason to complain. Judgement
ALWAYS_SO = 0.1  # chance that an owner complains of something that was there before the fault. Judgement
CONTEXT_TOLD = 0.1  # chance that each yes/no fact about the car holds and is told
LEAN_TOOLS = frozenset({"pressure-gauge", "hand-tools", "torch", "helper", "stopwatch", "container"})

STRANGER_SHARE = 0.05
WRONG_ANSWERS = 0.10
LINK_FACTOR = 2.0  # on the odds of a link, up or down
LINKS_MISSING = 1.0 / 3.0  # share of the book's links that the stressed world does not have


def rng_of(*names: object) -> np.random.Generator:
    """A stream that depends on these names alone."""
    return np.random.default_rng(seed_of(*map(str, names)))


def contexts_for(number: int, book: RuleBook, seed: int) -> tuple[str, ...]:
    """The yes/no facts told about the car of this job; those that follow from a field are left to the car."""
    rng = rng_of(seed, number, "contexts")
    asked = [c.id for c in book.contexts.values() if not c.when_car]
    return tuple(c for c, u in zip(asked, rng.random(len(asked)), strict=True) if u < CONTEXT_TOLD)


def draw_truth(prior: Prior, causes: tuple[str, ...], rng: np.random.Generator) -> tuple[str, ...]:
    """A set of causes from the prior: nothing, one, two, or one that is not in the book."""
    lone = np.exp(prior.log_some + prior.log_odds)
    i, j = np.triu_indices(len(causes), 1)
    both = np.exp(prior.log_some + prior.log_odds[i] + prior.log_odds[j] + prior.pair_weights(i, j))
    every = np.concatenate([[np.exp(prior.log_none), np.exp(prior.log_out)], lone, both])
    at = int(rng.choice(len(every), p=every / every.sum()))
    if at < 2:
        return () if at == 0 else (NOT_IN_BOOK,)
    at -= 2
    if at < len(causes):
        return (causes[at],)
    at -= len(causes)
    return causes[i[at]], causes[j[at]]


def kit_of(number: int, kits: str) -> tuple[Kit, Person, bool, frozenset[str] | None]:
    """Who works the job: with "mixed" every other job has full tools, the rest are lean or on the phone."""
    if kits == "full" or (kits == "mixed" and number % 2 == 0):
        return "full", "shop", False, None
    if kits == "lean" or (kits == "mixed" and number % 4 == 1):
        return "lean", "mechanic", False, LEAN_TOOLS
    return "phone", "untrained" if number % 8 == 3 else "hobbyist", True, frozenset({"torch", "helper"})


def scenario(
    number: int, generator: Generator, kits: str, seed: int, world: Model, texts: Mapping[str, str]
) -> Scenario:
    """Job ``number`` of a trial.

    Args:
        world: the compiled book the hidden car follows (for the stressed generator a shifted one).
        texts: what is told of the car.
    """
    rng = rng_of(seed, number, generator)
    book = world.book
    contexts = contexts_for(number, book, seed)
    prior = prior_of(book.causes, book.knobs, world.contexts(dict.fromkeys(contexts, True)), world.sizing)
    truth = draw_truth(prior, world.causes, rng)
    stressed = generator == "stressed"
    if stressed and rng.random() < STRANGER_SHARE:
        truth = (NOT_IN_BOOK,)
    hidden, told = _brought(world, truth, rng, stressed)
    kit, person, by_phone, tools = kit_of(number, kits)
    wrong = WRONG_ANSWERS if stressed else _slip(person, by_phone, rng_of(seed, number, "witness"), book)
    return Scenario(
        number, generator, kit, truth, texts, contexts, told, person, by_phone, tools,
        wrong, hidden, invents=1.0 if stressed else book.knobs.witness_invents,
    )  # fmt: skip


def _brought(
    world: Model, truth: tuple[str, ...], rng: np.random.Generator, several: bool
) -> tuple[HiddenCar, tuple[tuple[str, str], ...]]:
    """A car with this fault that is brought, and what is said of it: a fault that nobody notices makes no job."""
    for _ in range(MOST_CARS):
        hidden = HiddenCar(world, truth, int(rng.integers(2**62)))
        if not truth or noticed(hidden)[0]:
            break
    return hidden, complaints(hidden, rng, several)


def _slip(person: Person, by_phone: bool, rng: np.random.Generator, book: RuleBook) -> float:
    """The chance of a wrong answer of whoever answers in this job, drawn as the book has it."""
    if not book.knobs.witness_slips:
        return book.knobs.sure_wrong
    witness = witness_of(person, by_phone, book.knobs)
    return float(rng.choice(witness.slips, p=witness.shares))


def noticed(hidden: HiddenCar) -> tuple[list[str], list[str]]:
    """The symptoms that are there because of the fault, and those that its twin without the fault shows as well."""
    twin = replace(hidden, causes=(), _known={})
    new: list[str] = []
    old: list[str] = []
    for sign in hidden.model.book.signs.values():
        if sign.symptom and not sign.choices and hidden.sign(sign.id) == PRESENT:
            (old if twin.sign(sign.id) == PRESENT else new).append(sign.id)
    return new, old


def complaints(hidden: HiddenCar, rng: np.random.Generator, several: bool) -> tuple[tuple[str, str], ...]:
    """What the owner came with: one of the symptoms that are there, or up to three.

    A car is mostly brought for what the fault does, that is for what its twin without the fault would not show.
    """
    new, old = noticed(hidden)
    rng.shuffle(new)
    rng.shuffle(old)
    told: list[str] = []
    for _ in range(int(rng.integers(1, 4)) if several else 1):
        first, second = (old, new) if rng.random() < ALWAYS_SO else (new, old)
        if first or second:
            told.append((first or second).pop())
    return tuple((sign, PRESENT) for sign in told)


# ------------------------------------------------------------------ a world that is not as the book says


def _shifted(chance: float, *names: str) -> float:
    odds = chance / (1.0 - chance) * (LINK_FACTOR if seed_of("shift", *names) % 2 else 1.0 / LINK_FACTOR)
    return odds / (1.0 + odds)


def _missing(*names: str) -> bool:
    return bool(rng_of("missing", *names).random() < LINKS_MISSING)


def stressed_book(book: RuleBook) -> RuleBook:
    """The book with a third of its links gone and the others moved up or down, the same way in every job.

    A link is one cause showing or hiding one sign or state, or one cause's row of a choice. What the fuel system
    does stays as it is: readings, and the signs that follow from it, are no links.
    """

    def moved(cause: Cause) -> Cause:
        return replace(
            cause,
            shows={
                name: _shifted(q, cause.id, name) for name, q in cause.shows.items() if not _missing(cause.id, name)
            },
            hides={name: q for name, q in cause.hides.items() if not _missing(cause.id, "hides", name)},
            answers={
                sign: _even({a: _shifted(p, cause.id, sign, a) for a, p in row.items()}, sum(row.values()))
                for sign, row in cause.answers.items()
                if not _missing(cause.id, sign)
            },
        )

    return replace(
        book, causes={c.id: moved(c) for c in book.causes.values()}, fingerprint=f"{book.fingerprint} stressed"
    )


def _even(row: dict[str, float], total: float) -> dict[str, float]:
    whole = sum(row.values())
    return {a: p * total / whole for a, p in row.items()}
