"""What was heard: plain data between the listening and the one who takes, corrects or drops it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

ItemKind = Literal["sign", "reading", "fact"]
Sureness = Literal["sure", "unsure"]
Whose = Literal["own eyes", "second hand"]


@dataclass(frozen=True, slots=True)
class Item:
    """One thing that may be written down.

    Args:
        kind: a sign with its answer, a reading at its point with the value as typed, or a fact of the car.
        id: the sign, the reading or the field.
        answer: present, absent or a choice; the value as typed; or the field's value.
        point: where a reading was taken, empty otherwise.
        title: what is shown to the person before it is written down.
        confidence: from 0 to 1, how well it fits what was said; good for comparing only.
    """

    kind: ItemKind
    id: str
    answer: str
    point: str = ""
    title: str = ""
    confidence: float = 0.0

    @property
    def key(self) -> tuple[str, str, str]:
        """What it is about: two items with one key cannot both be taken."""
        return (self.kind, self.id, self.point)


@dataclass(frozen=True, slots=True)
class Heard:
    """One piece of what was said.

    Args:
        words: the person's own words of this piece.
        items: what it may mean, best first; never empty.
        ticked: whether the best one is taken unless the person says otherwise.
        ask: whether the readings of it differ so little that the person is asked which one is meant.
    """

    words: str
    items: tuple[Item, ...]
    ticked: bool
    ask: bool = False
    sure: Sureness = "sure"
    source: Whose = "own eyes"

    @property
    def best(self) -> Item:
        """What it most likely means."""
        return self.items[0]


@dataclass(frozen=True, slots=True)
class Hearing:
    """Everything that was understood of one telling, and the words that could not be placed."""

    text: str
    heard: tuple[Heard, ...] = ()
    unplaced: tuple[str, ...] = ()

    @property
    def ticked(self) -> tuple[Heard, ...]:
        """The pieces that are taken unless the person says otherwise."""
        return tuple(piece for piece in self.heard if piece.ticked)


@dataclass(frozen=True, slots=True)
class Setting:
    """What is known already while somebody speaks.

    Args:
        unit_pressure: the unit of a pressure told without one.
        likely: sign id -> how often it is there in such jobs, from 0 to 1; see ``diag.hearing.likely``.
        target: the target rail pressure, Pa; None when nobody told it.
    """

    unit_pressure: str = "psi"
    likely: Mapping[str, float] = field(default_factory=dict)
    target: float | None = None
