"""Quick and slow movement of the rail while nothing else moves: ripple, its rate, swing and creep."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from diag.datalog import channels as c
from diag.datalog.frame import Frame, resolution_of
from diag.datalog.log import Log
from diag.datalog.numbers import Floats
from diag.datalog.phases import CRUISE, IDLE, Phases
from diag.datalog.robust import Estimate, spread

SLOWEST_RATE = 8.0  # rows a second below which quick movement cannot be seen
WINDOW = 1.0  # s
MOST_WINDOWS = 400
LEAST_IDLE = 5.0  # s of idle without which there is no swing or creep
STANDS_OUT = 8.0  # times the usual strength at which a rate counts as one


@dataclass(frozen=True, slots=True)
class Ripple:
    """Standard deviation of the quick movement, Pa; the rate it repeats with, Hz, and that rate in crank turns.

    ``resolution`` is the smallest step the channel shows, Pa; ``rate`` rows a second.
    """

    quick: Estimate
    hertz: float | None
    order: float | None
    resolution: float
    rate: float


@dataclass(frozen=True, slots=True)
class Movement:
    """At a steady idle or with the pump alone: Pa from trough to crest of slow swings, Pa a minute of creep."""

    swing: float
    creep: float
    seconds: float


def ripple_of(log: Log, frame: Frame, phases: Phases) -> Ripple | None:
    """Quick movement in steady idling and cruising; None when the rows are too far apart to show it."""
    if log.fine <= 0.0 or 1.0 / log.fine < SLOWEST_RATE:
        return None
    windows = _windows(log, frame, phases)
    if len(windows) < 4:
        return None
    rail = log.values[c.RAIL]
    rows = np.array([rail[a:b] for a, b in windows])
    rows = rows[np.isfinite(rows).all(axis=1)]
    if len(rows) < 4:
        return None
    flat = rows - _trend(rows)
    # Wrong readings are cut to what the wave itself reaches; the spread of a wave is no normal distribution's.
    limit = 4.0 * np.median(np.abs(flat), axis=1)[:, None]
    sizes = np.clip(flat, -limit, limit).std(axis=1)
    sizes = np.hypot(sizes, np.median(log.scatter[[a for a, _ in windows]]))
    quick = Estimate(float(np.median(sizes)), float(1.25 * sizes.std(ddof=1) / np.sqrt(len(sizes))))
    hertz = _rate(flat, log.step)
    return Ripple(quick, hertz, _order(hertz, frame, phases), resolution_of(rail), 1.0 / log.fine)


def _windows(log: Log, frame: Frame, phases: Phases) -> list[tuple[int, int]]:
    """Places of whole seconds of rows in which the car idled or cruised steadily."""
    good = phases.mask(IDLE, CRUISE) & phases.steady
    row_good = good[np.clip(np.searchsorted(frame.seconds, log.seconds), 0, len(good) - 1)]
    size = max(int(WINDOW / log.step), 8)
    starts = np.arange(0, len(log.seconds) - size, size)
    total = np.concatenate([[0], np.cumsum(row_good)])
    whole = total[starts + size] - total[starts] == size
    kept = starts[whole & (log.stretch[starts] == log.stretch[starts + size - 1])]
    if len(kept) > MOST_WINDOWS:
        kept = kept[np.linspace(0, len(kept) - 1, MOST_WINDOWS).astype(int)]
    return [(int(a), int(a) + size) for a in kept]


def _trend(rows: Floats) -> Floats:
    """Straight lines through each row: (windows, n)."""
    x = np.arange(rows.shape[1]) - 0.5 * (rows.shape[1] - 1)
    slope = (rows * x).sum(axis=1) / (x**2).sum()
    return np.asarray(rows.mean(axis=1)[:, None] + slope[:, None] * x)


def _rate(flat: Floats, step: float) -> float | None:
    """The rate that stands out of the others, Hz."""
    strength = np.median(np.abs(np.fft.rfft(flat * np.hanning(flat.shape[1]), axis=1)) ** 2, axis=0)[2:]
    if strength.size < 4:
        return None
    top = int(np.argmax(strength))
    if strength[top] < STANDS_OUT * float(np.median(strength)):
        return None
    return float((top + 2) / (flat.shape[1] * step))


def _order(hertz: float | None, frame: Frame, phases: Phases) -> float | None:
    rpm = frame.get(c.RPM)
    if hertz is None or rpm is None:
        return None
    there = rpm[phases.mask(IDLE, CRUISE) & phases.steady]
    turns = float(np.nanmedian(there)) / 60.0
    return hertz / turns if turns > 0.0 and spread(there) < 0.1 * float(np.nanmedian(there)) else None


def movement_of(frame: Frame, phases: Phases) -> Movement | None:
    """Slow swings and creep in the longest steady idle, the manifold's own movement taken out one to one."""
    spans = [s for s in phases.spans if s.phase == IDLE and s.last - s.first >= max(frame.wide(8.0), 6)]
    if not spans:
        return None
    span = max(spans, key=lambda s: s.last - s.first)
    here = np.arange(span.first, span.last)[np.isfinite(frame.rail[span.first : span.last])]
    if len(here) < 6 or float(np.ptp(frame.seconds[here])) < LEAST_IDLE:
        return None
    rail, manifold = frame.rail[here], np.nan_to_num(frame.manifold[here])
    level = _smooth(rail - (manifold - np.median(manifold)), frame.wide(0.4))
    seconds = frame.seconds[here]
    x = seconds - seconds.mean()
    thirds = np.array_split(level, 3)
    creep = float(np.median(thirds[2]) - np.median(thirds[0])) / (float(np.ptp(seconds)) * 2.0 / 3.0) * 60.0
    rest = level - creep / 60.0 * x
    low, high = (float(v) for v in np.percentile(rest, (4.0, 96.0)))
    return Movement(high - low, creep, float(np.ptp(seconds)))


def _smooth(values: Floats, width: int) -> Floats:
    """Running medians over ``width`` readings, same shape."""
    if width < 3 or len(values) < width:
        return values
    padded = np.pad(values, (width // 2, width - 1 - width // 2), mode="edge")
    return np.asarray(np.median(np.lib.stride_tricks.sliding_window_view(padded, width), axis=1))
