"""The steady balance for many kinds of cars at once, where kinds that do not differ here are solved once.

A fault that only shows hot, in boost or while cranking, one in a gauge and one in the spark leave the fuel system at
most conditions as it is: their rows of coefficients are equal, number by number, and so is the answer.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from diag.fuelsystem.balance import EXACT, NAMES, FlowState, balance

Array = NDArray[np.float64]

_WEIGHTS = np.random.default_rng(20).uniform(0.5, 1.5, 1 << 16)
"""What the numbers of a row are weighted with; longer rows are never joined."""


def balance_all(several: Sequence[Mapping[str, Array]], within: float = EXACT) -> list[FlowState]:
    """As ``balance`` for several conditions or lots of cars; coefficients (kinds, n) or smaller.

    Equal rows are solved once and share the answer's numbers. Lots are solved end to end, since small ones cost much
    more one by one.
    """
    lots = [_lot(coefficients) for coefficients in several]
    solved = [balance(lots[0].few, within)] if len(lots) == 1 else _together(lots, within)
    return [lot.spread(state) for lot, state in zip(lots, solved, strict=True)]


def row_by_row(work: Callable[..., Array], *arrays: Array) -> Array:
    """What an element by element formula gives for arrays (kinds, n) or smaller; equal rows are worked out once."""
    lot = _lot({str(at): array for at, array in enumerate(arrays)})
    found = work(*lot.few.values())
    return found if lot.place is None else np.broadcast_to(found, lot.shape)[lot.place]


@dataclass(slots=True)
class _Lot:
    """What is to be solved of one condition: the rows that differ, and where each row's answer is among them."""

    few: Mapping[str, Array]
    shape: tuple[int, ...]  # of ``few``
    place: NDArray[np.intp] | None

    def spread(self, found: FlowState) -> FlowState:
        if self.place is None:
            return found
        fields = (getattr(found, name) for name in FlowState.__slots__)
        return FlowState(*(np.broadcast_to(field, self.shape)[self.place] for field in fields))


def _lot(coefficients: Mapping[str, Array]) -> _Lot:
    shape = np.broadcast_shapes(*(a.shape for a in coefficients.values()))
    tables = [a for a in coefficients.values() if a.ndim == 2 and len(a) > 1]
    if len(shape) != 2 or not tables or shape[1] > len(_WEIGHTS):
        return _Lot(coefficients, shape, None)
    rows, place = _different(tables)
    if len(rows) == shape[0]:
        return _Lot(coefficients, shape, None)
    few = {name: (a[rows] if a.ndim == 2 and len(a) > 1 else a) for name, a in coefficients.items()}
    return _Lot(few, (len(rows), shape[1]), place)


def _together(lots: Sequence[_Lot], within: float) -> list[FlowState]:
    """All lots end to end in one solution; what is one number in all of them stays one number."""
    joined: dict[str, Array] = {}
    for name in NAMES:
        parts = [np.asarray(lot.few[name], dtype=float) for lot in lots]
        first = parts[0]
        if all(part.size == 1 and part.item() == first.item() for part in parts):
            joined[name] = first.reshape(())
        else:
            every = (np.broadcast_to(part, lot.shape).ravel() for part, lot in zip(parts, lots, strict=True))
            joined[name] = np.concatenate(list(every))
    ends = np.cumsum([int(np.prod(lot.shape, dtype=int)) for lot in lots])
    found = balance(joined, within)
    whole = {name: np.broadcast_to(getattr(found, name), (int(ends[-1]),)) for name in FlowState.__slots__}
    starts = [0, *ends[:-1].tolist()]
    return [
        FlowState(*(whole[name][start:end].reshape(lot.shape) for name in FlowState.__slots__))
        for lot, start, end in zip(lots, starts, ends.tolist(), strict=True)
    ]


def _different(tables: list[Array]) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """The rows that differ, and for every row the place among them that is equal to it.

    Rows are compared by a weighted sum of their numbers: equal rows have equal sums, and other rows share one only
    when they differ by less than rounding.
    """
    sums = np.stack([(table * _WEIGHTS[: table.shape[1]]).sum(axis=1) for table in tables], axis=1)
    _, rows, place = np.unique(sums, axis=0, return_index=True, return_inverse=True)
    return np.asarray(rows, dtype=np.intp), np.asarray(place.ravel(), dtype=np.intp)
