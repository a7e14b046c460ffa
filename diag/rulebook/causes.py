"""The causes of a rule book: faults, wrong settings, unfit parts and honest non-faults."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

from diag.rulebook.basis import Basis
from diag.rulebook.findings import Condition
from diag.support.errors import Place

Kind = Literal["damage", "sizing", "setting", "instrument", "outside", "exit"]
KINDS: tuple[Kind, ...] = ("damage", "sizing", "setting", "instrument", "outside", "exit")


@dataclass(frozen=True, slots=True)
class Frequency:
    """Share of jobs with exactly one fault in which it is this one; scaled over the book when compiled."""

    share: float
    words: str
    basis: Basis


@dataclass(frozen=True, slots=True)
class Effect:
    """What a damage does to one named parameter of the fuel system: times, add or set, low to high (SI)."""

    parameter: str
    how: Literal["times", "add", "set"]
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class Cause:
    """A fault, a wrong setting, an unfit part or an honest non-fault."""

    id: str
    title: str
    area: str
    kind: Kind
    in_words: str
    how_often: Frequency
    remedies: tuple[str, ...]
    confirmed_by: tuple[str, ...] = ()
    more_likely_when: Mapping[str, float] = field(default_factory=dict)  # context id -> factor on the odds
    leads_to: Mapping[str, float] = field(default_factory=dict)  # cause id -> factor on the odds of both together
    acts_on: tuple[Effect, ...] = ()
    is_when: Condition | None = None
    shows: Mapping[str, float] = field(default_factory=dict)  # sign or state id -> chance that it alone shows it
    answers: Mapping[str, Mapping[str, float]] = field(default_factory=dict)  # choice sign -> answer -> probability
    hides: Mapping[str, float] = field(default_factory=dict)  # sign or state id -> chance that it suppresses it
    mistaken_for: tuple[str, ...] = ()
    phrases: tuple[str, ...] = ()  # everyday words that lead to it
    tell_apart: str = ""
    source: str = ""
    fits: tuple[str, ...] = ()  # what the car must have for it to be possible, see diag.rulebook.built
    place: Place = field(default=Place("?"), compare=False)

    @property
    def is_physical(self) -> bool:
        """Whether the fuel-system model can see this cause."""
        return bool(self.acts_on) or self.is_when is not None
