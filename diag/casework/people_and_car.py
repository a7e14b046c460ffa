"""What is told of the people, of a change of hands, and of the car, as far as the safety wall listens to it. Pure."""

from __future__ import annotations

from dataclasses import replace

from diag.casework.entries import CarFact, PersonTold
from diag.fuelsystem.car import read_field
from diag.rulebook.model import RuleBook
from diag.safety.situation import Pressure, Situation
from diag.support.errors import UserError

BOOSTED = "boosted"  # the context that says so in words


def with_person(state: Situation, told: PersonTold) -> Situation:
    """Who is at the car, with what."""
    return replace(
        state,
        person=told.person,
        by_phone=told.by_phone,
        second_person=told.second_person,
        ventilated=told.ventilated,
        tools=None if told.tools is None else frozenset(told.tools),
    )


def in_other_hands(state: Situation, book: RuleBook) -> Situation:
    """After a hand-over nobody knows what is in place, and what one person refused another may do."""
    return replace(
        state,
        pressure=Pressure.UNKNOWN,
        fuse_out=False,
        second_person=False,
        setups=frozenset(),
        done=frozenset(d for d in state.done if d not in book.remedies),
        refused=frozenset(),
        later=frozenset(),
    )


def with_car_fact(state: Situation, told: CarFact, unit: str, book: RuleBook) -> Situation:
    """Fuel and boost are what the wall listens to; what cannot be read says nothing."""
    if told.field not in ("fuel", "boost", BOOSTED):
        return state
    try:
        value = read_field(told.field, told.text, unit, book.contexts)
    except UserError:
        return state
    if told.field == "fuel":
        return replace(state, fuel=str(value) if value is not None else "")
    if told.field == "boost":
        known = isinstance(value, float)
        return replace(state, boost=("yes" if value else "no") if known else "unknown")
    return replace(state, boost="yes" if value == "yes" else "no") if value is not None else state
