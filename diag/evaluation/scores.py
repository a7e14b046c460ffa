"""How good stated chances are: general functions on plain arrays, with the published worked examples as tests.

Sources: quadratic score (Brier 1950), expected calibration error in equal bins (Naeini and others 2015), percentile
bootstrap (Efron 1979).
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]

BINS = 15
RESAMPLES = 1000


def brier(chances: ArrayLike, happened: ArrayLike) -> float:
    """Mean squared gap between chances and what happened (0 or 1); 0 best."""
    p, y = np.asarray(chances, dtype=float), np.asarray(happened, dtype=float)
    return float(np.mean((p - y) ** 2))


@dataclass(frozen=True, slots=True)
class Bin:
    """Chances in (low, high]: how many, what they said on average, and how often they came true."""

    low: float
    high: float
    count: int
    said: float
    was: float


def reliability(chances: ArrayLike, happened: ArrayLike, bins: int = BINS) -> tuple[Bin, ...]:
    """The table of equal bins (low, high]; empty bins are left out, a chance of zero belongs to the first."""
    p, y = np.asarray(chances, dtype=float), np.asarray(happened, dtype=float)
    at = np.clip(np.ceil(p * bins - 1e-12).astype(int) - 1, 0, bins - 1)
    found = []
    for b in range(bins):
        here = at == b
        if here.any():
            found.append(Bin(b / bins, (b + 1) / bins, int(here.sum()), float(p[here].mean()), float(y[here].mean())))
    return tuple(found)


def calibration_error(chances: ArrayLike, happened: ArrayLike, bins: int = BINS) -> float:
    """Expected calibration error: gap between said and true share of every bin, weighted by its size."""
    table = reliability(chances, happened, bins)
    total = sum(b.count for b in table)
    return float(sum(b.count * abs(b.said - b.was) for b in table) / total) if total else 0.0


@dataclass(frozen=True, slots=True)
class Estimate:
    """A figure with its 95 % interval."""

    value: float
    low: float
    high: float

    def __str__(self) -> str:
        return f"{self.value:.3f} ({self.low:.3f} to {self.high:.3f})"


def bootstrap(
    rows: int, statistic: Callable[[NDArray[np.intp]], float], seed: int = 1, resamples: int = RESAMPLES
) -> Estimate:
    """A statistic of row numbers, with the middle 95 % of what it is for rows drawn again with replacement."""
    every = np.arange(rows)
    if rows == 0:
        return Estimate(float("nan"), float("nan"), float("nan"))
    rng = np.random.default_rng(seed)
    again = [statistic(rng.integers(0, rows, rows)) for _ in range(resamples)]
    low, high = np.nanpercentile(again, [2.5, 97.5])
    return Estimate(float(statistic(every)), float(low), float(high))


def mean_of(values: ArrayLike, seed: int = 1) -> Estimate:
    """The mean with its bootstrap interval."""
    found = np.asarray(values, dtype=float)
    return bootstrap(len(found), lambda rows: float(found[rows].mean()), seed)


def median_of(values: ArrayLike, seed: int = 1) -> Estimate:
    """The median with its bootstrap interval."""
    found = np.asarray(values, dtype=float)
    return bootstrap(len(found), lambda rows: float(np.median(found[rows])), seed)
