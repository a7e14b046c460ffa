"""Checks and remedies by everyday words: by their own titles, by what a check yields, by what a remedy is for.

Somebody who says "is the fuse any good" or "blocked return" looks for the step that answers it, whose title need not
hold one of these words. What the words mean is found first (``search.find``); a check stands for the signs and readings
it yields, a remedy for the causes it cures.
"""

from __future__ import annotations

from diag.hearing.search import find, words_of
from diag.rulebook.model import RuleBook
from diag.rulebook.steps import Step

MOST_MEANINGS = 40
TITLE, CURES = 1.0, 0.9  # judgement: a title says most, a remedy stands behind the check that proves it needed
LEAST = 0.55  # of the best meaning; what fits less is noise


def find_steps(book: RuleBook, text: str, limit: int = 12) -> list[Step]:
    """The checks and remedies that some words may mean, best first; empty when none fits."""
    fits: dict[tuple[str, str], float] = {}
    best_of: dict[bool, float] = {}  # causes have scores of their own: people speak of signs
    for f in find(book, text, MOST_MEANINGS):
        fits[f.kind, f.id] = f.score / best_of.setdefault(f.kind == "cause", f.score)
    told = set(words_of(text))
    scores: dict[str, float] = {}
    steps: dict[str, Step] = {}
    for check in book.checks.values():
        yields = [("sign", one.sign) if one.sign else ("reading", one.reading) for one in check.yields]
        steps[check.id] = check
        scores[check.id] = max([_titled(told, check), *(fits.get(one, 0.0) for one in yields)])
    for remedy in book.remedies.values():
        cures = [fits.get(("cause", c.id), 0.0) for c in book.causes.values() if remedy.id in c.remedies]
        steps[remedy.id] = remedy
        scores[remedy.id] = max([_titled(told, remedy), *(CURES * fit for fit in cures)])
    best = sorted((name for name, score in scores.items() if score >= LEAST), key=lambda n: (-scores[n], n))
    return [steps[name] for name in best[:limit]]


def _titled(told: set[str], step: Step) -> float:
    """The share of what was said that stands in a step's title."""
    return TITLE * len(told & set(words_of(step.title))) / len(told) if told else 0.0
