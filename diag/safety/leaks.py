"""Which remedies of a book mend a leak; only these lead back from fuel outside the system."""

from __future__ import annotations

from diag.rulebook.derived import derived
from diag.rulebook.model import RuleBook
from diag.rulebook.steps import Remedy, Step

SHOWN = 0.1  # chance of a wet place from which a cause counts as a leak: judgement


def mends_leak(step: Step, book: RuleBook) -> bool:
    """Whether a remedy cures a cause that lets fuel or its smell out, or is made for leaks."""
    return isinstance(step, Remedy) and (step.for_leaks or step.id in leak_remedies(book))


def leak_remedies(book: RuleBook) -> frozenset[str]:
    """The names of all remedies of causes that show a wet place or a smell."""
    return derived(book, _leak_remedies)


def _leak_remedies(book: RuleBook) -> frozenset[str]:
    wet = {sign.id for sign in book.signs.values() if sign.wet}
    leaks = [c for c in book.causes.values() if any(c.shows.get(sign, 0.0) >= SHOWN for sign in wet)]
    return frozenset(name for cause in leaks for name in cause.remedies)
