"""Answers between yes and no: which questions take them, and how far each leans.

"Partly" and its like are for signs of degree. What the safety rules listen to is never half answered: wet fuel, and
every sign that a stop rule names, is there or not, and in doubt it is there.
"""

from __future__ import annotations

from diag.rulebook.built import named
from diag.rulebook.findings import BOTH, Sign
from diag.rulebook.model import RuleBook

ALWAYS = ("partly", "sometimes")
"""What any question of degree takes; "only hot" and its like are for complaints, which are met in every state."""


def words_between(sign: Sign, book: RuleBook) -> tuple[str, ...]:
    """The answers between yes and no that a question takes; none for a choice or what a safety rule listens to."""
    heard_by_stops = any(f"sign:{sign.id}" in rule.when for rule in book.stops.values())
    if sign.choices or sign.wet or heard_by_stops or is_built(sign, book):
        return ()
    return tuple(word for word in book.knobs.in_between if sign.symptom or word in ALWAYS)


def is_built(sign: Sign, book: RuleBook) -> bool:
    """Whether it asks what the car has, which is there or not."""
    return any(sign.id == named(asked) for context in book.contexts.values() for asked in context.asked_by)


def possible_answers(sign: Sign, book: RuleBook) -> tuple[str, ...]:
    """Every answer that says something, plain ones first; pairs of choices are checked by ``is_answer``."""
    return (*sign.possible, *words_between(sign, book))


def is_answer(answer: str, sign: Sign, book: RuleBook) -> bool:
    """Whether this answer is one to this question: plain, in between, or two different choices that hold together."""
    if answer in possible_answers(sign, book):
        return True
    both = answer.split(BOTH)
    return len(sign.choices) > 2 and len(both) == 2 and len(set(both)) == 2 and set(both) <= set(sign.possible)


def leaning(answer: str, book: RuleBook) -> float | None:
    """How far an answer in between leans to "present"; None for a plain one."""
    return book.knobs.in_between.get(answer)
