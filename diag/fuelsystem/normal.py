"""The normal distribution and its inverse, without scipy at run time."""

from __future__ import annotations

from statistics import NormalDist

import numpy as np
from numpy.typing import ArrayLike, NDArray

_TABLE_AT = np.linspace(-6.0, 6.0, 4801)
_TABLE = np.array([NormalDist().cdf(x) for x in _TABLE_AT])


def inverse_normal(share: ArrayLike) -> NDArray[np.float64]:
    """Standard normal value below which ``share`` of the probability lies; error below 1e-4. Any shape."""
    return np.asarray(np.interp(np.asarray(share, dtype=float), _TABLE, _TABLE_AT))


def normal_below(z: ArrayLike) -> NDArray[np.float64]:
    """The standard normal distribution function (Abramowitz & Stegun 26.2.17, error below 7.5e-8). Any shape."""
    z = np.asarray(z, dtype=float)
    x = np.abs(z)
    t = 1.0 / (1.0 + 0.2316419 * x)
    series = t * (0.319381530 + t * (-0.356563782 + t * (1.781477937 + t * (-1.821255978 + t * 1.330274429))))
    tail = np.exp(-0.5 * x * x) / np.sqrt(2.0 * np.pi) * series
    return np.asarray(np.where(z >= 0.0, 1.0 - tail, tail))
