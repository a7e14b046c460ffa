"""From causes to what is done about them: the chance that each remedy is needed."""

from __future__ import annotations

import numpy as np

from diag.inference.posterior import NOT_IN_BOOK, NOTHING_WRONG, Belief
from diag.rulebook.model import RuleBook


def remedy_name(cause: str, book: RuleBook) -> str:
    """What is done about a cause: its first remedy; for the two exits their own name."""
    return book.causes[cause].remedies[0] if cause in book.causes and book.causes[cause].remedies else cause


def by_remedy(belief: Belief, book: RuleBook) -> list[tuple[str, float]]:
    """The chance that each remedy is needed, likeliest first."""
    names = [remedy_name(c, book) for c in belief.causes]
    unique = sorted(set(names))
    of = np.array([*(unique.index(n) for n in names), len(unique)])
    groups = of[belief.rows]
    total = np.zeros(len(unique) + 1)
    for slot in range(groups.shape[1]):
        fresh = np.ones(len(groups), dtype=bool)
        for before in range(slot):
            fresh &= groups[:, slot] != groups[:, before]
        np.add.at(total, groups[fresh, slot], belief.weights[fresh])
    found = [*zip(unique, total[:-1].tolist(), strict=True)]
    found += [(NOTHING_WRONG, belief.nothing), (NOT_IN_BOOK, belief.out_of_book)]
    return sorted(found, key=lambda pair: (-round(pair[1], 6), pair[0]))
