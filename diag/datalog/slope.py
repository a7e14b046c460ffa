"""Rail pressure over manifold pressure: slope, base, straightness, hysteresis, lag and where the rail stops rising."""

from __future__ import annotations

import itertools
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from diag.datalog import channels as c
from diag.datalog.frame import Frame
from diag.datalog.numbers import Floats
from diag.datalog.phases import Flags, Phases, change
from diag.datalog.robust import Estimate, Line, middle_half, middle_of, repeated_medians, robust_line, spread

BIN = 3_000.0  # Pa of manifold pressure that are taken together
EACH = 8  # points a bin gives, so that long idling does not outweigh everything
LEAST_SPAN = 20_000.0  # Pa of manifold pressure without which there is no slope; judgement
SIDE_SPAN = 15_000.0  # Pa below or above the air without which that side has none
SHORT = 7_000.0  # Pa below the line from which the rail counts as falling short: 1 psi, judgement
VAGUE = 0.3  # standard error from which the slope of one side says nothing
WORTH = 3.0  # times the scatter that a shortfall must reach


@dataclass(frozen=True, slots=True)
class Points:
    """Condensed readings: manifold and rail, Pa, the moment, and the bin they came from, all (n,)."""

    x: Floats
    y: Floats
    seconds: Floats
    bin: NDArray[np.intp]


@dataclass(frozen=True, slots=True)
class Ceiling:
    """The rail stops following above a manifold pressure: where, and the highest the rail gets, Pa."""

    above: float
    rail: Estimate
    short: float  # Pa missing at the highest manifold pressure
    flat: bool  # the rail stays at one figure there; else it falls away with flow


@dataclass(frozen=True, slots=True)
class Follow:
    """How the rail follows the manifold. ``None`` where the log cannot say."""

    line: Line
    vacuum_side: Estimate | None
    boost_side: Estimate | None
    bent: Estimate  # slope in boost less slope in vacuum, or nought with an infinite error
    off_line: float  # Pa by which the bins' medians stray from the line at most, ceiling left out
    ceiling: Ceiling | None
    points: Points
    used: Flags  # points that the line rests on


def condensed(x: Floats, y: Floats, seconds: Floats, width: float, each: int = EACH) -> Points:
    """Middles of neighbouring readings: at most ``each`` for every ``width`` of x, so that all of x counts alike."""
    good = np.flatnonzero(np.isfinite(x) & np.isfinite(y))
    bins = np.floor(x[good] / width).astype(np.intp)
    order = np.lexsort((seconds[good], bins))
    good, bins = good[order], bins[order]
    cuts = np.concatenate([[0], np.flatnonzero(np.diff(bins)) + 1, [len(good)]])
    parts = []
    numbers = []
    for first, last in itertools.pairwise(cuts):
        for part in np.array_split(good[first:last], min(each, max((last - first) // 3, 1))):
            if part.size:
                parts.append((middle_half(x[part]), middle_half(y[part]), np.median(seconds[part])))
                numbers.append(bins[first])
    table = np.array(parts).reshape(-1, 3)
    return Points(table[:, 0], table[:, 1], table[:, 2], np.array(numbers, dtype=np.intp))


def aligned(frame: Frame, lag: Lag | None) -> Frame:
    """The frame with the rail moved back by its lag, so that what belongs together stands side by side."""
    if lag is None or lag.seconds.value <= 0.0:
        return frame
    there = np.isfinite(frame.rail)
    later = np.interp(frame.seconds + lag.seconds.value, frame.seconds[there], frame.rail[there])
    moved = np.where(there, later, np.nan)
    return replace(frame, values={**frame.values, c.RAIL: moved})


def follow(frame: Frame, phases: Phases) -> Follow | None:
    """The line and what strays from it; None when the log has too narrow a range of manifold pressures."""
    good = phases.running & phases.steady
    points = condensed(frame.manifold[good], frame.rail[good], frame.seconds[good], BIN)
    if len(points.x) < 6 or float(np.ptp(points.x)) < LEAST_SPAN:
        return None
    x, y = _bin_medians(points)
    used = np.ones(len(points.x), dtype=bool)
    ceiling = None
    if len(x) >= 5:
        limit, rough = _stops_following(x, y)
        if limit is not None:
            used = points.x < limit
            ceiling = _ceiling(points, used, rough)
            used = used if ceiling is not None else np.ones(len(points.x), dtype=bool)
    if float(np.ptp(points.x[used])) < LEAST_SPAN:
        used, ceiling = np.ones(len(points.x), dtype=bool), None
    line = _with_doubt(robust_line(points.x[used], points.y[used]), points, used)
    low, high = _side(points, used, -1.0), _side(points, used, 1.0)
    bent = Estimate(0.0, np.inf)
    if low is not None and high is not None:
        bent = Estimate(high.value - low.value, float(np.hypot(low.error, high.error)))
    return Follow(line, low, high, bent, _off_line(points, used, line), ceiling, points, used)


def _with_doubt(line: Line, points: Points, used: Flags) -> Line:
    """The line with errors that also hold half the difference to another robust line, through the bins' medians.

    What no bootstrap sees (a law that is not quite straight, what is left of a lag) shows in that difference.
    """
    x, y = _bin_medians(Points(points.x[used], points.y[used], points.seconds[used], points.bin[used]))
    slope, at_zero = repeated_medians(x, y)
    apart = 0.5 * (slope - line.slope.value), 0.5 * (at_zero - line.at_zero.value)
    return replace(
        line,
        slope=Estimate(line.slope.value, float(np.hypot(line.slope.error, apart[0]))),
        at_zero=Estimate(line.at_zero.value, float(np.hypot(line.at_zero.error, apart[1]))),
    )


def _bin_medians(points: Points) -> tuple[Floats, Floats]:
    bins = np.unique(points.bin)
    x = np.array([np.median(points.x[points.bin == b]) for b in bins])
    y = np.array([np.median(points.y[points.bin == b]) for b in bins])
    return x, y


def _stops_following(x: Floats, y: Floats) -> tuple[float | None, tuple[float, float]]:
    """The manifold pressure from which on every bin falls short, and the line of the others: slope, value at nought."""
    count = len(x)
    line = repeated_medians(x, y)
    for _ in range(4):
        short = (y - line[1] - line[0] * x) < -max(SHORT, WORTH * _noise(x, y, line))
        first = count
        while first > 0 and short[first - 1]:
            first -= 1
        if first == count or first < 3:
            break
        refined = repeated_medians(x[:first], y[:first])
        if abs(refined[0] - line[0]) < 1e-4:
            break
        line = refined
    # A line through bins that already bend is too flat; try the lower bins alone as well.
    for share in (0.7, 0.5):
        part = max(4, int(share * count))
        if np.ptp(x[:part]) < LEAST_SPAN:
            continue
        lower = repeated_medians(x[:part], y[:part])
        gap = y - lower[1] - lower[0] * x
        short = gap < -max(SHORT, WORTH * _noise(x[:part], y[:part], lower))
        first = count
        while first > 0 and short[first - 1]:
            first -= 1
        if first < count and first >= 3:
            return float(x[first]) - 0.5 * BIN, lower
    return None, line


def _noise(x: Floats, y: Floats, line: tuple[float, float]) -> float:
    return spread(y - line[1] - line[0] * x)


def _ceiling(points: Points, used: Flags, line: tuple[float, float]) -> Ceiling | None:
    beyond = ~used
    if beyond.sum() < 2:
        return None
    y, x = points.y[beyond], points.x[beyond]
    top = x >= x.max() - 2.0 * BIN
    short = float(line[1] + line[0] * np.median(x[top]) - np.median(y[top]))
    if short < SHORT:
        return None
    flat = bool(spread(y) < 0.35 * abs(line[0]) * max(float(np.ptp(x)), BIN) and float(np.ptp(x)) > BIN)
    level = float(np.median(y))
    # Where the line reaches that level, when it is one level; else the first place that falls clearly short.
    above = (level - line[1]) / line[0] if flat and abs(line[0]) > 0.1 else float(x.min())
    return Ceiling(min(above, float(x.min())), middle_of(y[np.argsort(points.seconds[beyond])]), short, flat)


def _side(points: Points, used: Flags, sign: float) -> Estimate | None:
    """The slope on the side below (-1) or above (1) the air's pressure."""
    there = used & (sign * points.x > -1_000.0)
    if there.sum() < 6 or float(np.ptp(points.x[there])) < SIDE_SPAN:
        return None
    slope = robust_line(points.x[there], points.y[there]).slope
    return slope if slope.error < VAGUE else None


def _off_line(points: Points, used: Flags, line: Line) -> float:
    gaps = points.y - line.at(points.x)
    worst = 0.0
    for b in np.unique(points.bin[used]):
        here = used & (points.bin == b)
        if here.sum() >= 3:
            worst = max(worst, abs(float(np.median(gaps[here]))))
    return worst


# ------------------------------------------------------------------ what happens in changes


@dataclass(frozen=True, slots=True)
class Lag:
    """Seconds by which the rail runs behind the manifold; Pa between falling and rising once that is allowed for."""

    seconds: Estimate
    hysteresis: Estimate


QUICK = 8_000.0  # Pa within a second that make a change to time the rail by; judgement
LONGEST_LAG = 3.0  # s
RAMP = 0.3  # share of the lag by which ramps and steps may differ: 1 - ln 2 for a first-order lag


def lag_of(frame: Frame, phases: Phases, line: Line) -> Lag | None:
    """How late the rail follows; None without quick changes, or with rows too far apart to see it."""
    running = phases.running & np.isfinite(frame.manifold) & np.isfinite(frame.rail)
    wide = frame.wide(0.5)
    moves = np.abs(change(frame.manifold, wide)) > QUICK
    near = np.convolve(moves & running, np.ones(2 * frame.wide(3.0) + 1), mode="same") > 0
    use = near & running
    if line.slope.value < 0.3 or use.sum() < 4 * frame.wide(2.0) or frame.step > 0.35:
        return None
    parts = np.array_split(np.flatnonzero(use), 6)
    found = np.array([_best_shift(frame, part, line) for part in parts if len(part) > frame.wide(2.0)])
    found = found[np.isfinite(found)]
    if len(found) < 3:
        return None
    middle = float(np.median(found))
    error = float(np.hypot(1.25 * found.std(ddof=1) / np.sqrt(len(found)), frame.step / 3.5))
    late = Estimate(middle, error)
    return Lag(late, _hysteresis(frame, running, line, late))


def _best_shift(frame: Frame, part: NDArray[np.intp], line: Line) -> float:
    """The shift, s, at which manifold and rail agree best in these moments, between steps by a parabola."""
    most = round(LONGEST_LAG / frame.step)
    part = part[part >= most]
    if len(part) < 10:
        return float("nan")
    left = []
    for shift in range(most + 1):
        gap = frame.rail[part] - line.slope.value * frame.manifold[part - shift]
        # Distances, not their squares: for a slow rise that is least at the delay of half height.
        left.append(float(np.abs(gap - np.median(gap)).mean()))
    at = int(np.argmin(left))
    if 0 < at < most:
        a, b, d = left[at - 1], left[at], left[at + 1]
        below = a - 2.0 * b + d
        return (at + (0.5 * (a - d) / below if below > 0.0 else 0.0)) * frame.step
    return at * frame.step


def _hysteresis(frame: Frame, running: Flags, line: Line, late: Estimate) -> Estimate:
    """How much higher the rail stands while the manifold falls than while it rises, lag allowed for."""
    shift = round(max(late.value, 0.0) / frame.step)
    manifold = np.roll(frame.manifold, shift)
    slope = np.roll(change(frame.manifold, frame.wide(0.5)), shift)
    gap = frame.rail - line.at(manifold)
    good = running.copy()
    good[:shift] = False
    slow = good & (np.abs(slope) > 0.1 * QUICK) & (np.abs(slope) < 3.0 * QUICK)
    rising, falling = gap[slow & (slope > 0.0)], gap[slow & (slope < 0.0)]
    if len(rising) < 12 or len(falling) < 12:
        return Estimate(float("nan"), float("inf"))
    up, down = middle_of(rising), middle_of(falling)
    # A lag that is a little off looks like hysteresis: twice the rate of change times what is not known of it. A slow
    # ramp comes through a hose later than the steps that the lag is mostly told from, by up to about a third.
    rate = float(np.median(np.abs(slope[slow])))
    unsure = 2.0 * abs(line.slope.value) * rate * float(np.hypot(late.error, RAMP * late.value))
    return Estimate(down.value - up.value, float(np.sqrt(up.error**2 + down.error**2 + unsure**2)))
