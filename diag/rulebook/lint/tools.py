"""Small helpers that lint rules share."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping

from diag.rulebook.built import decided_by, every_need, named
from diag.rulebook.causes import Cause
from diag.rulebook.desk import Problem
from diag.rulebook.findings import ABSENT, PRESENT, Sign
from diag.rulebook.load import Draft
from diag.rulebook.model import RuleBook
from diag.rulebook.steps import Step
from diag.support.errors import Place


def error(rule: str, place: Place, what: str, hint: str = "") -> Problem:
    """A finding that must be put right."""
    return Problem(rule, what, hint, place)


def advice(rule: str, place: Place, what: str, hint: str = "") -> Problem:
    """A finding a person should look at."""
    return Problem(rule, what, hint, place, advice=True)


def steps_of(book: RuleBook) -> Iterator[tuple[str, Step]]:
    """(section, step) of every check, setup, remedy and action."""
    sections: tuple[tuple[str, Mapping[str, Step]], ...] = (
        ("checks", book.checks),
        ("setups", book.setups),
        ("remedies", book.remedies),
        ("actions", book.actions),
    )
    for section, steps in sections:
        for step in steps.values():
            yield section, step


def sentences_of(step: Step) -> Iterator[tuple[str, str]]:
    """(field, sentence) of everything a step tells people to do, in order."""
    for field, words in (("steps", step.steps), ("aloud", step.aloud)):
        for line in words:
            for sentence in re.split(r"(?<=[.?!])\s+", line):
                yield field, sentence


def needed_setups(book: RuleBook, step: Step) -> set[str]:
    """The setups a step needs, and what those need in turn."""
    found: set[str] = set()
    waiting = list(step.needs)
    while waiting:
        name = waiting.pop()
        if name in found or name not in book.setups:
            continue
        found.add(name)
        waiting.extend(book.setups[name].needs)
    return found


def answered_signs(draft: Draft) -> set[str]:
    """Signs that some check answers."""
    return {y.sign for check in draft.book.checks.values() for y in check.yields if y.sign}


def signs_that_stop(book: RuleBook) -> set[str]:
    """Signs that a stop rule listens to, or on which a step depends; they matter even where no cause speaks of them."""
    needed = {s for need in every_need(book) for s in decided_by(book.contexts[named(need)])}
    facts = (fact.split(":", 1)[1].partition("=")[0].strip() for stop in book.stops.values() for fact in stop.when)
    return {fact for fact in facts if fact in book.signs} | needed


def signs_touched(book: RuleBook, cause: Cause) -> set[str]:
    """Signs whose chance this cause moves through words: directly, through a state, as a choice, by hiding, or by need.

    A cause that needs a part makes the sign certain that asks whether the car has it.
    """
    touched: set[str] = set(cause.answers)
    for need in cause.fits:
        touched.update(decided_by(book.contexts[named(need)]))
    for name in (*cause.shows, *cause.hides):
        touched.add(name)
        if name in book.states:
            touched.update(book.states[name].seen_as)
    return touched & set(book.signs)


def chances(book: RuleBook, cause: Cause, sign: Sign) -> dict[str, float]:
    """Answer -> probability when this cause alone is there (noisy-OR over the leak, the cause and its states)."""
    if sign.choices:
        row = cause.answers.get(sign.id)
        return dict(row) if row else {a.id: a.usual for a in sign.choices}
    silent = 1.0 - sign.chance
    silent *= 1.0 - cause.shows.get(sign.id, 0.0)
    for state in book.states.values():
        if sign.id in state.seen_as:
            there = 1.0 - (1.0 - state.chance) * (1.0 - cause.shows.get(state.id, 0.0))
            there *= 1.0 - cause.hides.get(state.id, 0.0)
            silent *= 1.0 - there * state.seen_as[sign.id]
    present = (1.0 - silent) * (1.0 - cause.hides.get(sign.id, 0.0))
    return {PRESENT: present, ABSENT: 1.0 - present}
