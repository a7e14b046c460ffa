"""Where on the car the fault is: the chance that something of an area of the rule book is wrong."""

from __future__ import annotations

import numpy as np

from diag.inference.posterior import Belief
from diag.rulebook.model import RuleBook


def area_chances(belief: Belief, book: RuleBook) -> dict[str, float]:
    """P(at least one cause of the area is present now), by area id; sets of causes are counted once.

    The sum over the posterior's rows (sets of causes) that hold any cause of the area.
    """
    names = list(book.areas)
    of_cause = np.array([names.index(book.causes[c].area) for c in belief.causes] + [len(names)], dtype=np.intp)
    there = of_cause[belief.rows]  # (R, 3); the padding index has an area of its own
    return {
        name: float(belief.weights[(there == at).any(axis=1)].sum()) for at, name in enumerate(names) if name != "exit"
    }
