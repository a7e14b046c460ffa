"""The time of every row: units, clocks, midnight, resets, repeated rows, coarse stamps and gaps."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from diag.datalog.numbers import DAY, Floats

Ints = NDArray[np.intp]
GAP = 1.0  # s without a row that begin a new stretch, at least ten usual steps
SLOWEST, FASTEST = 0.2, 20_000.0  # rows a second that a log can believably have


@dataclass(frozen=True, slots=True)
class Timing:
    """``keep`` picks rows; ``seconds`` and ``stretch`` belong to the rows kept; stretches count from 0."""

    keep: Ints
    seconds: Floats
    stretch: Ints
    step: float  # usual seconds from row to row
    repeated: int
    resets: int
    gaps: int
    unstamped: int


def factor_of(times: Floats, unit: str, clock: bool) -> tuple[float, str]:
    """Seconds per unit of the time column, and in words why; 0 when it cannot be told.

    A unit in the heading wins. Else steps of whole numbers from 2 up are milliseconds, and steps that would be a
    believable rate in seconds are seconds.
    """
    if clock:
        return 1.0, "a time of day"
    known = {"s": 1.0, "ms": 1e-3, "us": 1e-6, "min": 60.0, "h": 3600.0}
    if unit in known:
        return known[unit], f"the heading says {unit}"
    steps = np.diff(times[np.isfinite(times)])
    steps = steps[steps > 0.0]
    if not steps.size:
        return 0.0, ""
    usual = float(np.median(steps))
    if usual >= 2.0 and bool(np.all(np.abs(steps[:1000] - np.round(steps[:1000])) < 1e-6)):
        return (1e-3, "whole steps, taken as milliseconds") if usual < 5000.0 else (1e-6, "taken as microseconds")
    if 1.0 / FASTEST <= usual <= 1.0 / SLOWEST and usual != 1.0:
        return 1.0, "the steps fit seconds"
    return (1.0, "steps of one, taken as seconds") if usual == 1.0 else (0.0, "")


def timing_of(times: Floats, values: Floats, factor: float, clock: bool) -> Timing:
    """The time of every row that counts.

    Args:
        times: the time column as written (rows,).
        values: the other columns (rows, columns), to tell a repeated row from a coarse stamp.
        factor: seconds per unit of ``times``.
    """
    stamped = np.flatnonzero(np.isfinite(times))
    seconds = times[stamped] * factor
    if clock:
        seconds = _past_midnight(seconds)
    same = np.zeros(len(stamped), dtype=bool)
    if len(stamped) > 1:
        a, b = values[stamped[1:]], values[stamped[:-1]]
        alike = ((a == b) | (np.isnan(a) & np.isnan(b))).all(axis=1)
        same[1:] = (seconds[1:] == seconds[:-1]) & alike
    keep, seconds = stamped[~same], seconds[~same]
    steps = np.diff(seconds)
    ahead = steps[steps > 0.0]
    step = float(np.median(ahead)) if ahead.size else 1.0
    back = steps < 0.0
    # A restarted clock goes on where the old one ended.
    shift = np.concatenate([[0.0], np.cumsum(np.where(back, -steps + max(step, GAP * 2.0), 0.0))])
    seconds = _spread(seconds + shift)
    steps = np.diff(seconds)
    gap = steps > max(GAP, 10.0 * step)
    stretch = np.concatenate([[0], np.cumsum(gap | back)]).astype(np.intp)
    spread_step = float(np.median(steps[steps > 0.0])) if (steps > 0.0).any() else step
    return Timing(keep, seconds, stretch[: len(keep)], spread_step, int(same.sum()), int(back.sum()),
                  int((gap & ~back).sum()), len(times) - len(stamped))  # fmt: skip


def even_timing(count: int, rate: float) -> Timing:
    """The time of rows that carry none, when the rate was told in rows a second."""
    every = np.arange(count, dtype=np.intp)
    return Timing(every, every / rate, np.zeros(count, dtype=np.intp), 1.0 / rate, 0, 0, 0, 0)


def _past_midnight(seconds: Floats) -> Floats:
    """A clock that falls by most of a day has passed midnight."""
    fell = np.diff(seconds) < -0.9 * DAY
    return seconds + DAY * np.concatenate([[0.0], np.cumsum(fell)]) if seconds.size else seconds


def _spread(seconds: Floats) -> Floats:
    """Rows under one coarse stamp spread evenly up to the next stamp."""
    if seconds.size < 3 or not (np.diff(seconds) == 0.0).any():
        return seconds
    starts = np.concatenate([[0], np.flatnonzero(np.diff(seconds) != 0.0) + 1])
    counts = np.diff(np.concatenate([starts, [seconds.size]]))
    stamps = seconds[starts]
    steps = np.diff(stamps)
    usual = float(np.median(steps[steps > 0.0])) if (steps > 0.0).any() else 0.0
    room = np.minimum(np.concatenate([steps, [usual]]), usual if usual > 0.0 else np.inf)
    within = np.arange(seconds.size) - np.repeat(starts, counts)
    return np.asarray(seconds + np.repeat(np.maximum(room, 0.0) / counts, counts) * within)
