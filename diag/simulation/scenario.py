"""What a simulated job is before it begins: drawn from the book, or one written case with what is true of it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

from diag.casework.entries import Case, Entry, PersonTold, ReadingTaken, SignAnswer
from diag.fuelsystem.car import Car
from diag.inference.posterior import NOTHING_WRONG
from diag.rulebook.findings import PRESENT
from diag.rulebook.steps import Person
from diag.simulation.hidden_car import HiddenCar

Generator = Literal["own", "stressed", "written"]
Kit = Literal["full", "lean", "phone"]

Steps = tuple[str, ...]
Answer = SignAnswer | ReadingTaken


@dataclass(frozen=True)
class Script:
    """A written case as a play: who says what, by itself or when asked, and how the car is.

    ``answers`` are by the repairs done so far, then by sign ("", sign) or by reading and point. ``faults`` are
    parameter values, SI, each with the repair after which they hold ("" for from the start). ``cured`` are causes
    whose repair worked as the case goes.
    """

    desk: tuple[Entry, ...] = ()
    asides: tuple[tuple[str, Entry], ...] = ()  # the step after which it is told, and what
    answers: Mapping[Steps, Mapping[tuple[str, str], tuple[Answer, ...]]] = field(default_factory=dict)
    faults: tuple[tuple[str, Mapping[str, float]], ...] = ()
    cured: frozenset[str] = frozenset()

    @property
    def person(self) -> PersonTold:
        """Who is at the car when the job begins."""
        told = [e for e in self.desk if isinstance(e, PersonTold)]
        return told[-1] if told else PersonTold(1, "", "", "mechanic")


@dataclass(frozen=True)
class WrittenCase:
    """One written case, ready to be worked.

    ``truths`` are the sets of causes of which one is there, ``known_at`` is the entry by which the trade should know,
    ``apart`` and ``decisive`` are as in ``diag.simulation.expected``.
    """

    name: str
    case: Case
    script: Script
    car: Car
    truths: tuple[tuple[str, ...], ...]
    stops: bool
    known_at: int
    apart: bool = False
    decisive: tuple[str, ...] = ()

    @property
    def accepted(self) -> tuple[str, ...]:
        """The names that a ranking may lead with."""
        return tuple(dict.fromkeys(c for truth in self.truths for c in (truth or (NOTHING_WRONG,))))


@dataclass(frozen=True)
class Scenario:
    """One job before it begins: what is really wrong and everything told at the desk."""

    number: int
    generator: Generator
    kit: Kit
    truth: tuple[str, ...]
    car_texts: Mapping[str, str]
    contexts: tuple[str, ...]
    complaints: tuple[tuple[str, str], ...]
    person: Person
    by_phone: bool
    tools: frozenset[str] | None
    wrong: float
    hidden: HiddenCar
    written: WrittenCase | None = None
    by_the_sheet: bool = False  # where the case is silent nobody answers: see ``diag.simulation.written``
    invents: float = 1.0  # share of ``wrong`` with which "present" is said of what is absent

    @property
    def case(self) -> str:
        """The written case it comes from; empty for a drawn job."""
        return self.written.name if self.written is not None else ""

    @property
    def right_names(self) -> frozenset[str]:
        """What a ranking should name: the causes, "nothing-wrong" when there are none, or what a writer accepts."""
        if self.written is not None and self.written.accepted:
            return frozenset(self.written.accepted)
        return truth_names(self.truth)


def truth_names(truth: tuple[str, ...]) -> frozenset[str]:
    """What a ranking should name: the causes, or "nothing-wrong" when there are none."""
    return frozenset(truth) or frozenset({NOTHING_WRONG})


def still_shown(hidden: HiddenCar, case: Case) -> bool:
    """Whether a symptom told of the car is truly there still; with no fault left it comes from outside the book."""
    told = {entry.sign: entry.answer for entry in case.entries if isinstance(entry, SignAnswer)}
    signs = hidden.model.book.signs
    return any(
        answer == PRESENT and sign in signs and signs[sign].symptom and hidden.sign(sign) == PRESENT
        for sign, answer in told.items()
    )
