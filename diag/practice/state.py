"""The state of a practice session and its log: frozen data."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta
from functools import cached_property
from typing import Literal

from diag.casework.entries import Case
from diag.casework.situation_of import situation_of
from diag.practice.deal import Deal
from diag.practice.moves import Claim, Move
from diag.rulebook.model import RuleBook
from diag.safety.situation import Situation
from diag.session.clock import stamp
from diag.simulation.hidden_car import HiddenCar

OPENED = datetime(2026, 1, 1, 8, 0, tzinfo=UTC)
WHO = "trainee"

Kind = Literal["done", "unsafe", "not ready", "no tool", "name first", "said"]


@dataclass(frozen=True, slots=True)
class Refusal:
    """Why a step was not done: the wall's reason, until when, and the steps that would open a safe way."""

    kind: Kind
    why: str
    until: str = ""
    way: tuple[str, ...] = ()
    tools: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Revealed:
    """One thing that came out: the case entry it became, and what it says."""

    entry: int
    text: str


@dataclass(frozen=True, slots=True)
class Turn:
    """One line of the session's log.

    ``before`` and ``after`` count the entries of the case, so that the case as it stood can be had again.
    """

    number: int
    kind: Kind
    title: str
    step: str = ""
    minutes: float = 0.0
    risk: float = 0.0
    told: tuple[Revealed, ...] = ()
    refusal: Refusal | None = None
    before: int = 0
    after: int = 0
    names: tuple[str, ...] = ()  # causes committed to


@dataclass(frozen=True)
class Session:
    """A session after some moves. ``named`` are the causes committed to; ``claim`` is how the trainee ended it."""

    book: RuleBook
    deal: Deal
    case: Case
    car: HiddenCar
    turns: tuple[Turn, ...] = ()
    moves: tuple[Move, ...] = ()
    minutes: float = 0.0
    risk: float = 0.0
    named: tuple[str, ...] = ()
    hints: int = 0
    claim: Claim | None = None

    @cached_property
    def situation(self) -> Situation:
        """Where the job stands for the wall."""
        return situation_of(self.case, self.book)

    @property
    def finished(self) -> bool:
        """Whether the trainee ended it."""
        return self.claim is not None

    @property
    def last(self) -> Turn | None:
        """The newest line of the log."""
        return self.turns[-1] if self.turns else None

    def case_at(self, entries: int) -> Case:
        """The case as it stood after so many entries."""
        return replace(self.case, entries=self.case.entries[:entries])

    def count(self, kind: Kind) -> int:
        """Turns of a kind."""
        return sum(turn.kind == kind for turn in self.turns)


def logged(
    session: Session,
    kind: Kind,
    title: str,
    *,
    step: str = "",
    cost: tuple[float, float] = (0.0, 0.0),
    told: tuple[Revealed, ...] = (),
    refused: Refusal | None = None,
    before: int | None = None,
    names: tuple[str, ...] = (),
) -> Session:
    """The session with one more line in its log."""
    here = len(session.case.entries)
    turn = Turn(
        len(session.turns) + 1, kind, title, step,
        *cost,
        told, refused, here if before is None else before, here, names,
    )  # fmt: skip
    return replace(session, turns=(*session.turns, turn))


def time_at(minutes: float) -> str:
    """The time so many minutes after the car rolled in, as cases store it."""
    return stamp(OPENED + timedelta(minutes=minutes))
