"""The bins of a reading's outcomes: a continuous answer cut into a few of about equal chance, for weighing checks."""

from __future__ import annotations

from itertools import pairwise

import numpy as np

from diag.fuelsystem.normal import normal_below
from diag.inference.fault_sets import Floats
from diag.quantities import span_words
from diag.rulebook.findings import ReadingKind

BINS = 6


def bin_edges(values: Floats, weights: Floats, spread: float) -> Floats:
    """Inner edges that cut the weighted mixture into about equal shares, at least one ``spread`` apart."""
    flat = values.ravel()
    order = np.argsort(flat, kind="stable")
    mass = np.cumsum(weights.ravel()[order])
    places = np.searchsorted(mass, mass[-1] * np.arange(1, BINS) / BINS)
    edges: list[float] = []
    for cut in flat[order][places]:
        if not edges or cut - edges[-1] >= spread:
            edges.append(float(cut))
    return np.array(edges)


def bin_chances(values: Floats, weights: Floats, edges: Floats, spread: float, misread: tuple[float, float]) -> Floats:
    """P(bin | set) over weighted draws, with the instrument's error and misreads: (sets, n) to (sets, bins).

    Args:
        misread: extra standard deviation of a misread value, and its chance.
    """
    below = np.zeros((len(values), len(edges) + 2))
    below[:, -1] = 1.0
    wide, chance = float(np.hypot(spread, misread[0])), misread[1]
    gap = edges[:, None, None] - values
    both = (1.0 - chance) * normal_below(gap / spread) + chance * normal_below(gap / wide)
    below[:, 1:-1] = (both * weights).sum(axis=2).T
    return np.maximum(np.diff(below, axis=1), 1e-9)


def even_chances(edges: Floats, kind: ReadingKind) -> Floats:
    """Chance of every bin when any plausible value is as likely as any other: (bins,)."""
    limits = np.clip(np.concatenate([[kind.low], edges, [kind.high]]), kind.low, kind.high)
    return np.asarray(np.diff(limits) / (kind.high - kind.low))


def bin_labels(edges: Floats, kind: ReadingKind) -> tuple[str, ...]:
    """The bins in words, in the usual unit."""
    if not len(edges):
        return ("any value",)
    ends = (-np.inf, *map(float, edges), np.inf)
    return tuple(span_words(low, high, kind.quantity, kind.on_vacuum_gauge) for low, high in pairwise(ends))
