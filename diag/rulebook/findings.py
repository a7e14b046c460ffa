"""What a person can find out: signs, the hidden states behind them, and readings at stated points.

A condition compares a reading that the physics predicts with a line; signs and sizing causes hang on such comparisons.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass, field
from typing import Literal

from diag.rulebook.basis import JUDGEMENT, Basis
from diag.support.errors import Place

MetIn = Literal["", "bout", "rest"]  # a reading met a fault that comes and goes, or the time between two bouts
PRESENT = "present"
ABSENT = "absent"
TARGET = "target"  # the pressure that the rail should have with the reference hose off, as a name in comparisons
NOT_KNOWN = "not known"
BOTH = " & "  # between two choices of one sign that hold together, as a hose off at one end and kinked at the other


@dataclass(frozen=True, slots=True)
class Condition:
    """A comparison on a quantity the physics predicts, evaluated inside every draw.

    True when ``reading`` at ``point`` lies on ``side`` of ``base + offset``, and, where ``larger`` and
    ``than`` are given, the quantity ``larger`` also exceeds the quantity ``than`` at the same point; either may be
    "target".
    ``base`` is "zero", "target" (the car's target rail pressure) or another quantity's name. With ``less_point`` it is
    the difference that counts: the reading at ``point`` less the same reading there. ``spread`` is the standard
    deviation of where people draw the line, in the quantity's unit; with 0 the line is sharp.
    """

    reading: str
    point: str
    side: Literal["above", "below"]
    base: str
    offset: float
    larger: str = ""
    than: str = ""
    less_point: str = ""
    spread: float = 0.0


@dataclass(frozen=True, slots=True)
class Answer:
    """One possible answer of a choice sign; ``usual`` is its chance when no cause of the book speaks.

    With ``conditions``, of which ``joined`` "all" or "any" must hold, the physics decides it; ``otherwise`` is the
    answer that is given when none of the others' conditions holds.
    """

    id: str
    words: str
    usual: float
    phrases: tuple[str, ...] = ()
    conditions: tuple[Condition, ...] = ()
    joined: Literal["all", "any"] = "all"
    otherwise: bool = False


@dataclass(frozen=True, slots=True)
class Sign:
    """Something seen, heard, smelled or felt.

    Three kinds: yes/no by noisy-OR (``chance`` is the leak: chance sign or false report), choice (``choices``
    not empty: one categorical row per cause), and yes/no that the physics predicts (``seen_when``, with more
    conditions in ``seen_also``, of which ``joined`` "all" or "any" must hold). Of a choice the physics may decide some
    answers (``graded``) among each other; causes then speak of the others only.
    """

    id: str
    title: str
    ask: str
    means: str
    chance: float
    phrases: tuple[str, ...] = ()
    symptom: bool = False
    choices: tuple[Answer, ...] = ()
    seen_when: Condition | None = None
    seen_also: tuple[Condition, ...] = ()
    joined: Literal["all", "any"] = "all"
    silent: Mapping[str, str] = field(default_factory=dict)  # cause id -> why it does not show it
    judged_right: float = 1.0  # share of graded answers that are as the physics has them, the rest as is usual
    told_right: float = 0.95
    told_wrongly: float = 0.05
    fits: tuple[str, ...] = ()  # what the car must have for the question to make sense
    seen_with: tuple[str, ...] = ()  # tools without which nobody can have seen it, so that nobody is asked
    history: bool = False  # tells of the past or the teller: no repair takes it away and none is proven by it
    comes_and_goes: bool = False  # names a fault that is there in bouts: what is looked at between them is sound
    wet: bool = False  # present means liquid fuel or its smell outside: the safety wall listens to it
    basis: Basis = JUDGEMENT
    place: Place = field(default=Place("?"), compare=False)

    @property
    def possible(self) -> tuple[str, ...]:
        """The answers that say something, in order."""
        return tuple(a.id for a in self.choices) if self.choices else (PRESENT, ABSENT)

    @property
    def conditions(self) -> tuple[Condition, ...]:
        """All conditions by which the physics decides it; empty for a sign that words alone decide."""
        if self.choices:
            return tuple(condition for answer in self.choices for condition in answer.conditions)
        return () if self.seen_when is None else (self.seen_when, *self.seen_also)

    @property
    def graded(self) -> tuple[Answer, ...]:
        """Answers of a choice among which the physics decides."""
        return tuple(a for a in self.choices if a.conditions or a.otherwise)

    def by_physics(self, answers: Collection[str]) -> bool:
        """Whether the physics has a say in these answers."""
        return self.seen_when is not None or (bool(self.graded) and {a.id for a in self.graded}.issuperset(answers))


@dataclass(frozen=True, slots=True)
class State:
    """A hidden condition (running rich) behind signs that are nearly one fact."""

    id: str
    title: str
    chance: float
    seen_as: Mapping[str, float]  # sign id -> chance of the sign while the state is there
    basis: Basis = JUDGEMENT
    place: Place = field(default=Place("?"), compare=False)


@dataclass(frozen=True, slots=True)
class Point:
    """A stated condition at which a reading is taken. Empty text means: as it is on this car."""

    id: str
    title: str
    how_taken: str
    settings: Mapping[str, str | float]  # the names and values that diag.fuelsystem.points documents
    fits: tuple[str, ...] = ()  # what the car must have, and the state it must be in, for a reading there
    place: Place = field(default=Place("?"), compare=False)

    @property
    def gauge(self) -> Literal["main", "second"]:
        """The gauge that is read there: the one at the rail, unless the point asks for a second one."""
        return "second" if self.settings.get("gauge") == "second" else "main"


@dataclass(frozen=True, slots=True)
class ReadingKind:
    """A measurable quantity: unit family, plausible range and instrument error, all SI."""

    id: str
    title: str
    ask: str
    quantity: str  # a kind of diag.quantities, such as "pressure"
    low: float
    high: float
    error: float  # standard deviation of one careful reading besides the shared gauge offset
    offset: float  # standard deviation of the offset shared by readings on the same instrument
    model_error: float
    misread_spread: float
    instrument: str  # readings with the same instrument share their offset
    phrases: tuple[str, ...] = ()  # everyday words that lead to it
    basis: Basis = JUDGEMENT
    place: Place = field(default=Place("?"), compare=False)

    @property
    def on_vacuum_gauge(self) -> bool:
        """Whether it is read on a vacuum and boost gauge, whose scale runs both ways from the atmosphere."""
        return self.instrument == "vacuum gauge"

    def can_be(self, low: float, high: float, bound: str = "") -> bool:
        """Whether some of what was read (SI) lies where this quantity can; ``bound`` is "above", "below" or empty."""
        return (high >= self.low or bound == "above") and (low <= self.high or bound == "below")
