"""What was predicted of sets of causes at every condition: what is missing is solved for all conditions at once."""

from __future__ import annotations

import weakref
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from diag.inference.fault_sets import Floats
from diag.inference.kept import array_bytes
from diag.inference.readings.plant import Plant
from diag.support.shelf import Place

OUTLOOK = 64  # up to so many draws all sets are solved in one go
TOGETHER = 16_384  # cars at a condition that are solved in one go; more would only take room

Frozen = tuple[tuple[str, "str | float"], ...]
Redraws = tuple[frozenset[str], ...]
Key = tuple[Redraws, frozenset[int], tuple[tuple[int, int], ...]]  # redraws, sizing, effects
Parameters = Callable[[Redraws, Sequence[Key], slice], dict[str, Floats]]
Earlier = Callable[[Frozen], "Table | None"]


class GivenUp(Exception):
    """Whoever wanted a prediction wants it no more."""


class Table(dict[Key, dict[str, Floats]]):
    """Predictions at a condition: for some causes quantity to values in the first draws; and its size."""

    bytes = 0

    def put(self, key: Key, name: str, values: Floats) -> None:
        """Keep what is predicted of one quantity, in place of fewer draws of it."""
        kept = self.setdefault(key, {})
        self.bytes += array_bytes(values) - (array_bytes(kept[name]) if name in kept else 0)
        kept[name] = values


@dataclass(frozen=True, slots=True)
class Wish:
    """One quantity at a condition for some sets; ``beside`` are all quantities to solve for if it is not there."""

    settings: Frozen
    quantity: str
    beside: frozenset[str]
    keys: Sequence[Key]


@dataclass(frozen=True, slots=True)
class _Lot:
    """Sets that are solved together: those at one condition of which the same draws are missing."""

    settings: Frozen
    quantities: Sequence[str]
    redraws: Redraws
    keys: tuple[Key, ...]
    part: slice

    @property
    def size(self) -> int:
        draws: int = self.part.stop - self.part.start
        return len(self.keys) * draws


class Predictions:
    """The tables of one car."""

    def __init__(self, plant: Plant, place: Place, parameters: Parameters, earlier: Earlier) -> None:
        """``earlier`` gives what an earlier run predicted at a condition, if anything."""
        self._plant = plant
        self._place = place
        self._parameters = weakref.WeakMethod(parameters)  # its owner is ours, as that of the next one
        self._earlier = weakref.WeakMethod(earlier)
        self._used: dict[Frozen, None] = {}  # conditions in the order of use
        self.solved = 0  # cars at a condition
        self.stopped: Callable[[], bool] | None = None  # asked between two batches whether to give up

    def fetched(self, wishes: Sequence[Wish], count: int) -> dict[Frozen, Table]:
        """Tables by condition, with at least ``count`` draws of everything wished for."""
        tables: dict[Frozen, Table] = {}
        missing: dict[Frozen, set[Key]] = {}
        beside: dict[Frozen, frozenset[str]] = {}
        for wish in wishes:
            if wish.settings not in tables:
                tables[wish.settings] = self._table(wish.settings)
            table, name = tables[wish.settings], wish.quantity
            lacking = {key for key in wish.keys if key not in table or len(table[key].get(name, ())) < count}
            if lacking:
                missing.setdefault(wish.settings, set()).update(lacking)
                beside[wish.settings] = beside.get(wish.settings, frozenset()) | wish.beside
        lots = [
            lot
            for settings, keys in missing.items()
            for lot in _lots(tables[settings], keys, settings, sorted(beside[settings]), count)
        ]
        try:
            for several in _batches(lots):
                if self.stopped is not None and self.stopped():
                    raise GivenUp
                self._solve(several, tables)
        finally:
            for settings in missing:
                self._place.keep(("table", settings), tables[settings], tables[settings].bytes)
        return tables

    def _table(self, settings: Frozen) -> Table:
        """What is known at a condition, from this run or from an earlier one."""
        self._used.pop(settings, None)
        self._used[settings] = None
        table: Table | None = self._place.find(("table", settings))
        if table is None:
            earlier = self._earlier()
            assert earlier is not None
            table = earlier(settings)
            if table is not None:
                self._place.keep(("table", settings), table, table.bytes)
        return Table() if table is None else table

    def known(self) -> Iterator[tuple[Frozen, Table]]:
        """Every condition with what is known there, that used last first."""
        for settings in list(self._used)[::-1]:
            table = self._place.find(("table", settings))
            if table:
                yield settings, table

    def _solve(self, lots: Sequence[_Lot], tables: dict[Frozen, Table]) -> None:
        parameters = self._parameters()
        assert parameters is not None
        self.solved += sum(lot.size for lot in lots)
        questions = [(parameters(o.redraws, o.keys, o.part), dict(o.settings), o.quantities) for o in lots]
        for lot, values in zip(lots, self._plant.solve_all(questions), strict=True):
            table, known = tables[lot.settings], lot.part.start
            for name in lot.quantities:
                rows = np.broadcast_to(values[name], (len(lot.keys), lot.part.stop - known))
                for row, key in enumerate(lot.keys):
                    table.put(key, name, np.concatenate([table[key][name][:known], rows[row]]) if known else rows[row])


def _lots(table: Table, keys: set[Key], settings: Frozen, quantities: Sequence[str], count: int) -> Iterator[_Lot]:
    # Sets without sizing causes share their draws, so most parameters need one row for all of them; for few draws
    # a second solution would cost more than that saves.
    apart = count > OUTLOOK
    missing: dict[tuple[Redraws, int, bool], list[Key]] = {}
    for key in keys:
        kept = table.get(key, {})
        known = min((len(kept.get(name, ())) for name in quantities), default=0)
        if known < count:
            missing.setdefault((key[0], known, apart and bool(key[1])), []).append(key)
    for (redraws, known, _), several in missing.items():
        several.sort(key=lambda k: (sorted(k[1]), k[2]))
        yield _Lot(settings, quantities, redraws, tuple(several), slice(known, count))


def _batches(lots: Sequence[_Lot]) -> Iterator[Sequence[_Lot]]:
    """Lots of the same cars one after the other, since their parameters are built once, in batches of some size."""
    alike: dict[tuple[Redraws, tuple[Key, ...], int, int], list[_Lot]] = {}
    for lot in lots:
        alike.setdefault((lot.redraws, lot.keys, lot.part.start, lot.part.stop), []).append(lot)
    batch: list[_Lot] = []
    for lot in (lot for same in alike.values() for lot in same):
        if batch and sum(one.size for one in batch) + lot.size > TOGETHER:
            yield batch
            batch = []
        batch.append(lot)
    if batch:
        yield batch
