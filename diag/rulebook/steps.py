"""What a person does: checks, set-ups, remedies and other actions, with the acts that the interlock listens to."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

from diag.rulebook.basis import Basis
from diag.support.errors import Place

Person = Literal["untrained", "hobbyist", "mechanic", "shop"]
PERSONS: tuple[Person, ...] = ("untrained", "hobbyist", "mechanic", "shop")

Act = Literal[
    "key on",  # primes the pump on most cars, so it counts as running it
    "runs pump",
    "runs engine",
    "cranks engine",
    "drives car",
    "loads engine",  # full load or boost: a hard pull, on rollers or on the road
    "opens system",  # a fuel joint is opened, fuel will come out
    "pinches hose",
    "loads spring",  # a bonnet with the set spring behind it comes off
    "applies air",
    "disturbs joint",  # a fuel joint is moved or remade, so an earlier dry look no longer counts
    "sparks",  # meter leads, relays, battery terminals, lamps near fuel
]
ACTS: tuple[Act, ...] = (
    "key on",
    "runs pump",
    "runs engine",
    "cranks engine",
    "drives car",
    "loads engine",
    "opens system",
    "pinches hose",
    "loads spring",
    "applies air",
    "disturbs joint",
    "sparks",
)


@dataclass(frozen=True, slots=True)
class Yield:
    """What a check gives: a sign, or a reading at a point."""

    sign: str = ""
    reading: str = ""
    at: str = ""


@dataclass(frozen=True, slots=True)
class Step:
    """What check, setup, remedy and action have in common: something a person does, as the wall sees it."""

    id: str
    title: str
    why: str
    steps: tuple[str, ...]
    aloud: tuple[str, ...]
    minutes: float
    tools: tuple[str, ...]
    hazards: tuple[str, ...]
    does: tuple[Act, ...]
    needs: tuple[str, ...]  # setup ids that must be in place
    undoes: tuple[str, ...]  # setup ids that are no longer in place afterwards
    person: Person  # least training that may do it
    by_phone: bool  # may be asked of a caller of that training
    for_leaks: bool  # made for wet fuel: pump off, nothing opened
    risk_minutes: float
    place: Place = field(default=Place("?"), compare=False)
    fits: tuple[str, ...] = ()  # what the car must have, and the state it must be in
    look_again: tuple[str, ...] = ()  # wet signs to look for again after it; empty after an opened joint means all


@dataclass(frozen=True, slots=True)
class PassFigure:
    """What a sound car shows in a check, in words with its figure, and where the figure comes from."""

    words: str
    basis: Basis


@dataclass(frozen=True, slots=True)
class Check(Step):
    """Something a person does to learn something."""

    yields: tuple[Yield, ...] = ()
    look_over: bool = False  # answers whether there is wet fuel
    passes: tuple[PassFigure, ...] = ()  # what a sound car shows
    from_log: bool = False  # read off an earlier log: nothing is run for it, whatever its point says
    teaches: str = ""  # what a trainee should take from it
    phrases: tuple[str, ...] = ()  # what people call it


@dataclass(frozen=True, slots=True)
class Setup(Step):
    """An enabling step: pressure released, gauge fitted, engine warm. Costs minutes once."""

    group: str = ""  # setups of one group exclude each other (hose on, hose off)
    releases_pressure: bool = False
    raises_pressure: bool = False
    stands_for: tuple[str, ...] = ()  # setups that count as in place as well: another way to the same thing


@dataclass(frozen=True, slots=True)
class Remedy(Step):
    """What cures a cause. ``redraws`` names the parameters that are new afterwards."""

    parts: tuple[str, ...] = ()
    proof: tuple[str, ...] = ()  # check ids
    redraws: tuple[str, ...] = ()
    botch: float = 0.05
    keeps_car: bool = True  # False: hand the car on
    looks_first: tuple[str, ...] = ()  # checks that must have been tried before it, since it wipes out what they see
    measured_first: tuple[str, ...] = ()  # "READING", "READING at POINT" or a check: one must have been taken before


@dataclass(frozen=True, slots=True)
class Action(Step):
    """A deed that is no cure but changes what later readings mean (screw turned, hose refitted)."""

    redraws: tuple[str, ...] = ()
