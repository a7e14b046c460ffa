"""The car as built and the state it is in: what causes, signs and steps need of it, and what was told of it.

A *need* is the name of a context ("surge-pot-fitted"), or "not" and its name. A context is decided by what was told
of the car, by a car field it follows from, or by signs: ``asked_by`` decides both ways, ``shown_by`` and
``denied_by`` only when the sign is there. A context that ``lapses`` is a state of the car (it starts, it runs) and
has to be told again after every repair; the others are how the car is built.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping

from diag.rulebook.causes import Cause
from diag.rulebook.findings import ABSENT, PRESENT, Point, Sign
from diag.rulebook.model import Context, RuleBook
from diag.rulebook.steps import Check, Step, Yield

NOT = "not "
TOOL = "tool "  # before the name of a tool that is not at hand, among what is lacking


def named(need: str) -> str:
    """The context that a need speaks of."""
    return need.removeprefix(NOT)


def lacks_of(facts: Mapping[str, bool]) -> frozenset[str]:
    """The needs that contexts told to hold or not to hold exclude."""
    return frozenset(NOT + name if told else name for name, told in facts.items())


def denied(needs: Iterable[str], lacks: Collection[str]) -> tuple[str, ...]:
    """The needs that what was told excludes."""
    return tuple(need for need in needs if need in lacks)


def undecided(needs: Iterable[str], facts: Mapping[str, bool]) -> tuple[str, ...]:
    """The contexts that some need speaks of and nothing was told about, each once."""
    return tuple(dict.fromkeys(named(need) for need in needs if named(need) not in facts))


def sign_says(context: Context, sign: str, answer: str) -> bool | None:
    """What the answer to a sign says of a context; None when it says nothing."""
    for asked in context.asked_by:
        if named(asked) == sign and answer in (PRESENT, ABSENT):
            return (answer == PRESENT) is not asked.startswith(NOT)
    if answer == PRESENT and sign in context.shown_by:
        return True
    return False if answer == PRESENT and sign in context.denied_by else None


def decided_by(context: Context) -> frozenset[str]:
    """The signs that say something of a context."""
    return frozenset((*map(named, context.asked_by), *context.shown_by, *context.denied_by))


def every_need(book: RuleBook) -> frozenset[str]:
    """Every need that a cause, sign, point or step of the book has."""
    parts: tuple[Iterable[Cause | Sign | Point | Step], ...] = (
        book.causes.values(), book.signs.values(), book.points.values(), book.checks.values(),
        book.setups.values(), book.remedies.values(), book.actions.values(),
    )  # fmt: skip
    return frozenset(need for part in parts for thing in part for need in thing.fits)


def decides_only(sign: str, book: RuleBook) -> bool:
    """Whether a sign does nothing but decide how the car is built, so that its answer is no finding of its own."""
    return any(named(asked) == sign for c in book.contexts.values() if not c.lapses for asked in c.asked_by)


def needs_of_yield(item: Yield, book: RuleBook) -> tuple[str, ...]:
    """What a sign or a point of reading needs of the car."""
    if item.sign:
        sign: Sign | None = book.signs.get(item.sign)
        return sign.fits if sign is not None else ()
    point = book.points.get(item.at)
    return point.fits if point is not None else ()


def tools_of_yield(item: Yield, book: RuleBook) -> tuple[str, ...]:
    """The tools without which nobody can have seen a sign, as they stand among what is lacking."""
    sign = book.signs.get(item.sign)
    return tuple(f"{TOOL}{tool}" for tool in sign.seen_with) if sign is not None else ()


def tools_lacking(tools: Collection[str] | None, book: RuleBook) -> frozenset[str]:
    """The tools that are not at hand, as they stand among what is lacking; none where nothing was told of tools."""
    return frozenset() if tools is None else frozenset(f"{TOOL}{tool}" for tool in book.tools if tool not in tools)


def _shut_out(item: Yield, book: RuleBook, lacks: Collection[str]) -> tuple[str, ...]:
    return denied((*needs_of_yield(item, book), *tools_of_yield(item, book)), lacks)


def fitting(check: Check, book: RuleBook, lacks: Collection[str]) -> tuple[Yield, ...]:
    """The questions of a check that make sense on this car and with the tools at hand, in order."""
    return tuple(y for y in check.yields if not _shut_out(y, book, lacks))


def unfit(step: Step, book: RuleBook, lacks: Collection[str]) -> str:
    """The need that keeps a step from this car: its own, or that of all its questions; empty when it suits."""
    if not lacks:
        return ""
    own = denied(step.fits, lacks)
    if own:
        return own[0]
    if isinstance(step, Check) and step.yields and not fitting(step, book, lacks):
        return _shut_out(step.yields[0], book, lacks)[0]
    return ""
