"""A log on a coarser, even footing: about ten readings a second, on which phases and slow relations are found."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from diag.datalog import channels as c
from diag.datalog.log import Log
from diag.datalog.numbers import Floats
from diag.datalog.timing import Ints

COARSE = 0.1  # s


@dataclass(frozen=True, slots=True)
class Frame:
    """Averages over about a tenth of a second, SI, all of shape (n,); ``step`` is seconds from one to the next.

    ``resolution`` is the smallest step that the logged rail pressure shows, Pa.
    """

    seconds: Floats
    stretch: Ints
    values: Mapping[str, Floats]
    step: float
    air: float
    resolution: float = 0.0

    def get(self, name: str) -> Floats | None:
        """A channel, or None when the log has none."""
        return self.values.get(name)

    @property
    def rail(self) -> Floats:
        """Rail pressure."""
        return self.values[c.RAIL]

    @property
    def manifold(self) -> Floats:
        """Manifold pressure above the air; all NaN when it was not logged."""
        found = self.values.get(c.MANIFOLD)
        return np.full(len(self.seconds), np.nan) if found is None else found

    def wide(self, seconds: float) -> int:
        """How many readings make up this time, at least one."""
        return max(1, round(seconds / self.step))


def frame_of(log: Log) -> Frame:
    """The log averaged over blocks that never reach across a gap."""
    block = max(1, round(COARSE / log.step)) if log.step > 0.0 else 1
    first = np.concatenate([[True], np.diff(log.stretch) != 0])
    begins = np.flatnonzero(first)
    within = np.arange(len(log.seconds)) - np.repeat(begins, np.diff(np.concatenate([begins, [len(log.seconds)]])))
    starts = np.flatnonzero(within % block == 0)
    stretch = log.stretch[starts]
    values = {name: filled(_averaged(array, starts), stretch) for name, array in log.values.items()}
    return Frame(
        _averaged(log.seconds, starts), stretch, values, log.step * block, log.air, resolution_of(log.values[c.RAIL])
    )


def resolution_of(values: Floats) -> float:
    """The smallest step between different readings."""
    there = np.unique(values[np.isfinite(values)])[:200_000]
    steps = np.diff(there)
    steps = steps[steps > 1e-6 * (abs(there[-1]) + 1.0)] if there.size else steps
    return float(np.percentile(steps, 10.0)) if steps.size else 0.0


def _averaged(values: Floats, starts: Ints) -> Floats:
    there = np.isfinite(values)
    total = np.add.reduceat(np.where(there, values, 0.0), starts)
    count = np.add.reduceat(there.astype(float), starts)
    return np.where(count > 0, total / np.maximum(count, 1.0), np.nan)


def filled(values: Floats, stretch: Ints) -> Floats:
    """Channels that are logged more slowly than others hold their last value, inside a stretch without gaps."""
    there = np.isfinite(values)
    if there.all() or not there.any():
        return values
    at = np.where(there, np.arange(len(values)), -1)
    last = np.maximum.accumulate(at)
    good = (last >= 0) & (stretch[np.maximum(last, 0)] == stretch)
    return np.where(good, values[np.maximum(last, 0)], np.nan)
