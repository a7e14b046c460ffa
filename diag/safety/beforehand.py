"""What a step waits for beside set-ups: a trace to be read, a figure to be taken, a second pair of hands. Pure."""

from __future__ import annotations

from collections.abc import Collection

from diag.rulebook.derived import derived
from diag.rulebook.model import RuleBook
from diag.rulebook.steps import Check, Remedy, Step
from diag.safety.situation import HELPER, LOG, Situation, Verdict, Wet, refused

AT = " at "  # between a reading and the point at which it is wanted


def untraced(situation: Situation, step: Step) -> tuple[str, ...]:
    """The checks that must be tried before this step, because it wipes out the traces they look at."""
    wanted = step.looks_first if isinstance(step, Remedy) else ()
    return tuple(check for check in wanted if check not in situation.tried)


def trace_rule(situation: Situation, step: Step, book: RuleBook) -> Verdict | None:
    """No wiping before the trace was read."""
    missing = [book.checks[name].title for name in untraced(situation, step) if name in book.checks]
    if not missing or situation.wet is Wet.REPAIRED:
        return None
    why = "Wiping takes away the trace that leads to the leak, and nobody has read it yet."
    return refused(why, f"this was tried: {'; '.join(missing)}", tuple(step.does))


def measures(book: RuleBook) -> frozenset[str]:
    """All figures and checks that some remedy of the book waits for, as the remedies write them."""
    return derived(book, _measures)


def _measures(book: RuleBook) -> frozenset[str]:
    return frozenset(name for remedy in book.remedies.values() for name in remedy.measured_first)


def unmeasured(situation: Situation, step: Step) -> tuple[str, ...]:
    """The measurements one of which must have been taken before this step; empty when one was, or none is needed."""
    wanted = step.measured_first if isinstance(step, Remedy) else ()
    return () if situation.measured.intersection(wanted) else wanted


def measures_any(check: Check, wanted: Collection[str]) -> bool:
    """Whether a check takes one of these measurements."""
    taken = {name for y in check.yields if y.reading for name in (y.reading, f"{y.reading}{AT}{y.at}")}
    return check.id in wanted or not taken.isdisjoint(wanted)


def measured_rule(situation: Situation, step: Step, book: RuleBook) -> Verdict | None:
    """No part is condemned and nothing is set on a guess, nor on a figure that says nothing about it."""
    wanted = unmeasured(situation, step)
    if not wanted:
        return None
    kinds = dict.fromkeys(title_of(name, book) for name in wanted)
    why = "This is done on a measurement, and none was taken yet that could tell whether it is needed."
    return refused(why, f"one of these was measured: {'; '.join(kinds)}", tuple(step.does))


def title_of(name: str, book: RuleBook) -> str:
    """A measurement as the book calls it: "Rail pressure, pump on, engine off", or the title of a check."""
    if name in book.checks:
        return book.checks[name].title
    reading, _, point = name.partition(AT)
    title = book.readings[reading].title if reading in book.readings else reading
    return f"{title} ({book.points[point].title})" if point in book.points else title


def hands_rule(situation: Situation, step: Step, book: RuleBook) -> Verdict | None:
    """No step for two where it was told that there is only one: a tool can be borrowed, a pair of eyes cannot."""
    if HELPER not in step.tools or not situation.alone:
        return None
    why = "This takes two people, one at the switch and one watching, and there is nobody to help."
    return refused(why, "a second person is there", tuple(step.does))


def log_rule(situation: Situation, step: Step, book: RuleBook) -> Verdict | None:
    """No look into a log that was told not to be there: one made earlier can be neither borrowed nor made now."""
    read_off = isinstance(step, Check) and step.from_log
    if not read_off or situation.tools is None or LOG in situation.tools:
        return None
    return refused("There is no earlier log to look into.", "a log turns up", tuple(step.does))
