"""Robust lines and their uncertainty: Theil-Sen, repeated medians, and a bootstrap over groups of readings.

Theil (1950) and Sen (1968): the slope is the median of the slopes of all pairs of points. Siegel (1982): the median
over points of the median slope to all others; half of the points may be wrong. tests/reference holds both against a
statistics library.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from diag.datalog.numbers import Floats

TWO_SIDED_95 = 1.959964  # standard normal, 97.5 %
DRAWS = 240  # bootstrap draws; the standard deviation is then known to about 5 %
SEED = 20_160_529
MOST_POINTS = 700  # pairs of so many points still fit the cache


@dataclass(frozen=True, slots=True)
class Estimate:
    """A figure with its standard error, SI; ``low`` and ``high`` hold the truth in 95 of 100 cases."""

    value: float
    error: float

    @property
    def low(self) -> float:
        """Lower end of the 95 % interval."""
        return self.value - TWO_SIDED_95 * self.error

    @property
    def high(self) -> float:
        """Upper end of the 95 % interval."""
        return self.value + TWO_SIDED_95 * self.error


@dataclass(frozen=True, slots=True)
class Line:
    """y = at_zero + slope x, each with its standard error; ``scatter`` is the robust scatter of points around it."""

    slope: Estimate
    at_zero: Estimate
    scatter: float
    points: int

    def at(self, x: Floats) -> Floats:
        """Values of the line, same shape."""
        return self.at_zero.value + self.slope.value * x


def spread(values: Floats) -> float:
    """Robust standard deviation: 1.4826 times the median distance from the median; 0 for fewer than two values."""
    if values.size < 2:
        return 0.0
    return float(1.4826 * np.median(np.abs(values - np.median(values))))


def repeated_medians(x: Floats, y: Floats) -> tuple[float, float]:
    """Slope and value at nothing by Siegel's repeated medians. Shapes (n,)."""
    dx = x[:, None] - x[None, :]
    dy = y[:, None] - y[None, :]
    with np.errstate(divide="ignore", invalid="ignore"):
        slopes = np.where(dx != 0.0, dy / dx, np.nan)
    each = np.nanmedian(slopes[~np.isnan(slopes).all(axis=1)], axis=1)
    slope = float(np.median(each)) if each.size else 0.0
    return slope, float(np.median(y - slope * x))


def _pairs(x: Floats, y: Floats) -> tuple[Floats, tuple[np.ndarray, np.ndarray]]:
    i, j = np.triu_indices(len(x), 1)
    dx = x[j] - x[i]
    apart = dx != 0.0
    return (y[j] - y[i])[apart] / dx[apart], (i[apart], j[apart])


def robust_line(x: Floats, y: Floats, clusters: np.ndarray | None = None) -> Line:
    """The Theil-Sen line with bootstrap errors.

    Args:
        x, y: points (n,), at most ``MOST_POINTS``; further ones are thinned evenly.
        clusters: points with one number are drawn together (n,); None: every point by itself.
    """
    if len(x) > MOST_POINTS:
        pick = np.linspace(0, len(x) - 1, MOST_POINTS).astype(int)
        x, y, clusters = x[pick], y[pick], None if clusters is None else clusters[pick]
    middle = float(np.median(x))  # errors of the value at the middle and of the slope hardly depend on each other
    slopes, (i, j) = _pairs(x, y)
    if not slopes.size:
        return Line(Estimate(0.0, np.inf), Estimate(float(np.median(y)), np.inf), spread(y), len(x))
    order = np.argsort(slopes)
    slopes, i, j = slopes[order], i[order], j[order]
    slope = float(np.median(slopes))
    at_zero = float(np.median(y - slope * x))
    drawn = []
    for weights in _weights(len(x), clusters):
        both = np.cumsum(weights[i] * weights[j])
        if both[-1] <= 0.0:
            continue
        s = float(slopes[np.searchsorted(both, 0.5 * both[-1])])
        drawn.append((s, _weighted_median(y - s * (x - middle), weights)))
    ends = np.array(drawn)
    centred = ends[:, 1] - ends[:, 0] * middle
    # A bootstrap of n points is too narrow by the root of (n - 1) / n, and a line has used up two of them.
    wider = float(np.sqrt(len(x) / max(len(x) - 2.0, 1.0)))
    errors = ends[:, 0].std() * wider, centred.std() * wider
    scatter = spread(y - at_zero - slope * x)
    return Line(Estimate(slope, float(errors[0])), Estimate(at_zero, float(errors[1])), scatter, len(x))


def _weights(count: int, clusters: np.ndarray | None) -> list[Floats]:
    rng = np.random.default_rng(SEED)
    if clusters is None:
        return [rng.multinomial(count, np.full(count, 1.0 / count)).astype(float) for _ in range(DRAWS)]
    _, number = np.unique(clusters, return_inverse=True)
    groups = int(number.max()) + 1
    share = np.full(groups, 1.0 / groups)
    return [rng.multinomial(groups, share).astype(float)[number] for _ in range(DRAWS)]


def _weighted_median(values: Floats, weights: Floats) -> float:
    order = np.argsort(values)
    total = np.cumsum(weights[order])
    return float(values[order][np.searchsorted(total, 0.5 * total[-1])])


def middle_half(values: Floats) -> float:
    """The mean of the middle half: a quarter of wrong readings at each end do nothing, and small steps average out."""
    ordered = np.sort(values)
    cut = max(len(ordered) // 4, int(len(ordered) > 2))
    return float(ordered[cut : len(ordered) - cut].mean())


def middle_of(values: Floats, step: float = 0.0, clusters: int = 12) -> Estimate:
    """The middle of readings in the order of time, with an error that knows neighbouring readings are alike.

    The readings are cut into ``clusters`` stretches; how far the middles of stretches differ gives the error.
    ``step`` is the smallest step the channel shows: readings that scatter less than it do not average it out.
    """
    there = values[np.isfinite(values)]
    if there.size == 0:
        return Estimate(np.nan, np.inf)
    value = middle_half(there)
    hidden = step / 12.0**0.5 * max(0.0, 1.0 - spread(there) / step) if step > 0.0 else 0.0
    parts = [p for p in np.array_split(there, min(clusters, max(there.size // 2, 1))) if p.size]
    middles = np.array([middle_half(p) for p in parts])
    if len(middles) < 3:
        return Estimate(value, float(np.hypot(max(spread(there), float(np.ptp(there)) / 4.0), hidden)))
    # Student's t for so few stretches, as a normal distribution's width: 2.2 for 1.96 at twelve.
    wider = 1.0 + 1.4 / len(middles)
    error = wider * middles.std(ddof=1) / np.sqrt(len(middles))
    return Estimate(value, float(np.hypot(error, hidden)))
