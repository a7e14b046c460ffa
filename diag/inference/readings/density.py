"""How likely a set of readings is when the true values are known: instruments, misreads, intervals and limits.

One reading: normal with the instrument's error and the model's error together; with a small chance it was misread
and is much wider. Readings on one instrument share its unknown offset, which is integrated exactly: their
covariance is diagonal plus rank one, so every misread pattern needs three weighted sums. Patterns with up to two
misreads are enumerated; three misreads on one gauge would be one in forty thousand jobs.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np

from diag.fuelsystem.normal import normal_below
from diag.inference.fault_sets import Floats

LOG_2PI = float(np.log(2.0 * np.pi))


@dataclass(frozen=True, slots=True)
class Measured:
    """One reading as the density sees it, SI. ``group`` marks readings that share an offset of spread ``offset``."""

    value: float
    spread: float  # standard deviation of instrument and model together, widened by an interval's width
    misread: float  # extra standard deviation when misread
    offset: float
    bound: str  # "" a value, "above" or "below" a limit the gauge could not pass
    group: tuple[str, str, int]


def log_density(predicted: Floats, measured: Sequence[Measured], chance: float) -> Floats:
    """Log density of all readings given each row of predicted true values: (..., k) to (...).

    Args:
        chance: that any one reading was misread.
    """
    result = np.zeros(predicted.shape[:-1])
    for members in gauges(measured):
        first = members[0]
        if measured[first].bound:
            result += np.log(_beyond(predicted[..., first], measured[first], chance))
        else:
            result += _group(predicted, [measured[m] for m in members], members, chance)
    return result


def gauges(measured: Sequence[Measured]) -> list[tuple[int, ...]]:
    """Places of the readings whose densities multiply: every limit alone, then those that share an offset together."""
    groups: dict[tuple[str, str, int], list[int]] = {}
    for at, one in enumerate(measured):
        if not one.bound:
            groups.setdefault(one.group, []).append(at)
    return [*((at,) for at, one in enumerate(measured) if one.bound), *map(tuple, groups.values())]


def log_single(predicted: Floats, one: Measured, chance: float) -> Floats:
    """Log density of one reading by itself: (...) to (...)."""
    if one.bound:
        return np.log(_beyond(predicted, one, chance))
    square = (one.value - predicted) ** 2
    total = one.offset**2 + one.spread**2
    wide = total + one.misread**2
    good = (1.0 - chance) / np.sqrt(total) * np.exp(-0.5 * square / total)
    return np.asarray(np.log(good + chance / np.sqrt(wide) * np.exp(-0.5 * square / wide) + 1e-300) - 0.5 * LOG_2PI)


def _beyond(predicted: Floats, one: Measured, chance: float) -> Floats:
    """P(the gauge shows only a limit | predicted); a misread limit says nothing."""
    sign = 1.0 if one.bound == "above" else -1.0
    z = sign * (predicted - one.value) / np.hypot(one.spread, one.offset)
    return (1.0 - chance) * normal_below(z) + 0.5 * chance


def _group(predicted: Floats, measured: Sequence[Measured], members: Sequence[int], chance: float) -> Floats:
    """Readings with one shared offset: log of the sum over misread patterns."""
    gaps = [one.value - predicted[..., m] for one, m in zip(measured, members, strict=True)]
    variance = np.array([one.spread**2 for one in measured])
    wide = variance + np.array([one.misread**2 for one in measured])
    offset = max(one.offset for one in measured) ** 2
    count = len(measured)
    # Weighted sums of 1, gap and gap squared, with all readings good; a misread changes its own three shares.
    s0 = float((1.0 / variance).sum())
    s1 = sum(g / v for g, v in zip(gaps, variance, strict=True))
    s2 = sum(g * g / v for g, v in zip(gaps, variance, strict=True))
    less = 1.0 / wide - 1.0 / variance
    d1 = [g * w for g, w in zip(gaps, less, strict=True)]
    d2 = [g * d for g, d in zip(gaps, d1, strict=True)]
    log_good = float(-0.5 * np.log(variance).sum() + count * np.log(1.0 - chance))
    swap = -0.5 * np.log(wide / variance) + np.log(chance / (1.0 - chance)) if chance > 0.0 else None
    most = min(2, count) if swap is not None else 0
    logs = []
    for size in range(most + 1):
        for pattern in combinations(range(count), size):
            t0, t1, t2, log = s0, s1, s2, log_good
            for m in pattern:
                t0, t1, t2 = t0 + float(less[m]), t1 + d1[m], t2 + d2[m]
                log += float(swap[m]) if swap is not None else 0.0
            shrink = offset / (1.0 + offset * t0)
            log -= 0.5 * float(np.log1p(offset * t0))
            logs.append(log - 0.5 * (t2 - shrink * (t1 * t1)))
    stacked = np.stack(logs)
    top = stacked.max(axis=0)
    stacked -= top
    np.exp(stacked, out=stacked)
    return np.asarray(top + np.log(stacked.sum(axis=0)) - 0.5 * count * LOG_2PI)
