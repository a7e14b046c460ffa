"""What chance and the book's tables come to in one hidden car."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from diag.inference.fault_sets import Floats


def picked(answers: Sequence[str], chances: Floats, at: float) -> str:
    """The answer in whose share of one a number in [0, 1) lies."""
    return answers[min(int(np.searchsorted(np.cumsum(chances), at, side="right")), len(answers) - 1)]


def linked(off: Floats, left: Floats) -> Sequence[int]:
    """Numbers of the causes that show or hide a sign: chances not to show it and to leave it (C,), 1 for neither."""
    return np.flatnonzero((off < 1.0) | (left < 1.0)).tolist()
