"""The steady balance for many kinds of cars at once, where kinds that do not differ here are solved once.

A fault that only shows hot, in boost or while cranking, one in a gauge and one in the spark leave the fuel system at
most conditions as it is: their rows of coefficients are equal, number by number, and so is the answer.
"""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from diag.fuelsystem.balance import EXACT, FlowState, balance

Array = NDArray[np.float64]

_WEIGHTS = np.random.default_rng(20).uniform(0.5, 1.5, 1 << 16)
"""What the numbers of a row are weighted with; longer rows are never joined."""


def balance_rows(coefficients: Mapping[str, Array], within: float = EXACT) -> FlowState:
    """As ``balance``; coefficients (kinds, n) or smaller. Equal rows are solved once and share the answer's numbers."""
    shape = np.broadcast_shapes(*(a.shape for a in coefficients.values()))
    tables = [a for a in coefficients.values() if a.ndim == 2 and len(a) > 1]
    if len(shape) != 2 or not tables or shape[1] > len(_WEIGHTS):
        return balance(coefficients, within)
    rows, place = _different(tables)
    if len(rows) == shape[0]:
        return balance(coefficients, within)
    few = {name: (a[rows] if a.ndim == 2 and len(a) > 1 else a) for name, a in coefficients.items()}
    found = balance(few, within)
    fields = (getattr(found, name) for name in FlowState.__slots__)
    return FlowState(*(np.broadcast_to(field, (len(rows), shape[1]))[place] for field in fields))


def _different(tables: list[Array]) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """The rows that differ, and for every row the place among them that is equal to it.

    Rows are compared by a weighted sum of their numbers: equal rows have equal sums, and other rows share one only
    when they differ by less than rounding.
    """
    sums = np.stack([(table * _WEIGHTS[: table.shape[1]]).sum(axis=1) for table in tables], axis=1)
    _, rows, place = np.unique(sums, axis=0, return_index=True, return_inverse=True)
    return np.asarray(rows, dtype=np.intp), np.asarray(place.ravel(), dtype=np.intp)
