"""An outcome table for word-only books, written plainly, so that the choice can be tested without the physics."""

from __future__ import annotations

import numpy as np

from diag.inference.evidence import Evidence
from diag.inference.model import Model
from diag.inference.posterior import Belief
from diag.rulebook.findings import ABSENT, PRESENT
from diag.rulebook.steps import Yield


def plain_table(
    model: Model, evidence: Evidence, belief: Belief, rows: np.ndarray, yield_: Yield
) -> tuple[tuple[str, ...], np.ndarray]:
    """P(present), P(absent) by noisy-OR for each row number; the last row of the belief is not in the book."""
    sign = model.book.signs[yield_.sign]
    present = []
    for number in rows:
        if number == len(belief.weights) - 1:
            present.append(0.5 * sign.chance + 0.15)
            continue
        absent = 1 - sign.chance
        for c in belief.rows[number]:
            if c < len(belief.causes):
                absent *= 1 - model.book.causes[belief.causes[c]].shows.get(sign.id, 0.0)
        present.append(1 - absent)
    p = np.array(present)
    return (PRESENT, ABSENT), np.stack([p, 1 - p], axis=1)
