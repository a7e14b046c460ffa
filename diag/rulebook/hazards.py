"""Dangers with their cautions, and the stop rules."""

from __future__ import annotations

from dataclasses import dataclass, field

from diag.rulebook.basis import Basis
from diag.rulebook.steps import Act
from diag.support.errors import Place


@dataclass(frozen=True, slots=True)
class Hazard:
    """A danger with the cautions shown before a step."""

    id: str
    title: str
    cautions: tuple[str, ...]
    basis: Basis
    place: Place = field(default=Place("?"), compare=False)


@dataclass(frozen=True, slots=True)
class StopRule:
    """What must not be done now, why, and when it becomes allowed again.

    ``when`` lists facts that must all hold:

    - "sign:ID" (present, unsure counts), "sign:ID=ANSWER" of a choice, "untold:ID" (never answered for certain);
    - "wet:WORD", "person:WORD", "fuel:WORD", "boost:yes" (told), "boost:possible" (not told to have none);
    - "reading:KIND above VALUE", "reading:KIND at POINT above VALUE";
    - "likely:CAUSE, CAUSE" (one of them is likely by now), "base:far" (base pressure read far from its target).

    ``bars`` are single steps that must not be done, besides all that do one of the acts in ``forbids``. What was seen
    or read stays in force until one of ``lifted_by`` was done: a step's name, or "new: PARAMETER" for any step that
    renews it. Empty: until the question is answered otherwise. ``asked_again``: after that step the sign must be
    answered dry or absent as well. ``proven_by``: after it one of these checks must be done, or the sign be seen gone.
    """

    id: str
    title: str
    when: tuple[str, ...]
    forbids: tuple[Act, ...]
    why: str
    until: str
    do_now: tuple[str, ...]
    basis: Basis
    place: Place = field(default=Place("?"), compare=False)
    bars: tuple[str, ...] = ()
    lifted_by: tuple[str, ...] = ()
    asked_again: bool = False
    proven_by: tuple[str, ...] = ()
    hands_on: tuple[str, ...] = ()  # what a trained person at the car does besides ``do_now``, which is for everybody
