"""What was worked out of imagined cars, as bytes that outlive the run, and back: the very same numbers.

The bytes hold, behind an index in JSON, what was found of the base draws and one segment for each condition. A segment
has its own digest and is only looked at when somebody asks for its condition; one that is damaged counts as not there,
and is worked out again. Everything else (which rules, which program, which car) is in the name under which whoever
keeps the bytes finds them.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Iterator, Sequence
from typing import Any, Protocol
from weakref import WeakValueDictionary

import numpy as np

from diag.fuelsystem.car import Car
from diag.inference.fault_sets import Floats
from diag.inference.readings.car_pool import Settled
from diag.inference.readings.pairing import Pairing
from diag.inference.readings.predictions import Frozen, Key, Table
from diag.rulebook.derived import derived
from diag.rulebook.model import RuleBook

MARK = "imagined cars 2"
MOST_BYTES = 40_000_000  # of one car; what was used last comes first
NUMBER, PLACE = np.dtype("<f8"), np.dtype("<i4")
WRONG = (ValueError, TypeError, KeyError, IndexError, RecursionError)

Ask = Callable[[int, int], bytes]  # so many bytes from there, or fewer


def car_name(car: Car, draws: int) -> str:
    """What the imagined copies of a car follow from, besides rules and program."""
    return json.dumps([draws, sorted(car.values.items())])


class CarriedCar:
    """What an earlier run left of one car."""

    def __init__(self, of: str, ask: Ask) -> None:
        """Over bytes that can be asked for piece by piece, and must have been left under the name ``of``.

        Raises:
            ValueError: these are none of ours, or the index is damaged.
        """
        self._ask = ask
        head = ask(0, 200).split(b"\n", 1)[0]
        mark, digest, size = head.decode("ascii", "replace").rsplit(" ", 2)
        if mark != MARK or not size.isdigit():
            raise ValueError("no imagined cars")
        self._begin = len(head) + 1 + int(size)
        text = ask(len(head) + 1, int(size))
        if _digest(text) != digest:
            raise ValueError("damaged")
        try:
            index = json.loads(text)
            if index["of"] != of:
                raise ValueError("those of another car")
            self._keys = [_key(plain) for plain in index["keys"]]
            self._tables = {_frozen(settings): segment for settings, *segment in index["tables"]}
            self._pool = index["pool"]
        except WRONG as error:
            raise ValueError("another layout") from error

    @property
    def conditions(self) -> tuple[Frozen, ...]:
        """The conditions that something was predicted at, what was used last first."""
        return tuple(self._tables)

    def table(self, settings: Frozen) -> Table | None:
        """What was predicted at a condition; None when nothing was, or it is damaged."""
        if settings not in self._tables:
            return None
        try:
            start, size, digest, blocks = self._tables[settings]
            data = self._segment(start, size, digest)
            table, at = Table(), 0
            for name, count, numbers in blocks:
                rows = np.frombuffer(data, NUMBER, len(numbers) * count, at).reshape(len(numbers), count)
                at += rows.nbytes
                for number, row in zip(numbers, rows, strict=True):
                    table.put(self._keys[number], name, row)
        except WRONG:
            return None
        return table

    def settled(self) -> Settled | None:
        """What was found of the base draws."""
        try:
            start, size, digest, count, masks, pairs = self._pool
            data = self._segment(start, size, digest)
            target, at = np.frombuffer(data, NUMBER, count), count * NUMBER.itemsize
            width, found = (count + 7) // 8, {}
            for cause in masks:
                bits = np.frombuffer(data, np.uint8, width, at)
                found[int(cause)] = np.unpackbits(bits, count=count).astype(bool)
                at += width
            judged, matter = {}, {}
            for sizing, length, whole, names in pairs:
                own, rest = np.frombuffer(data, PLACE, 2 * length, at).reshape(2, length).astype(np.intp)
                at += 2 * length * PLACE.itemsize
                judged[frozenset(map(int, sizing))] = Pairing(own, rest, whole=bool(whole))
                if names is not None:
                    matter[frozenset(map(int, sizing))] = frozenset(map(str, names))
        except WRONG:
            return None
        return Settled(target, found, judged, matter)

    def _segment(self, start: int, size: int, digest: str) -> bytes:
        data = self._ask(self._begin + start, size)
        if _digest(data) != digest:
            raise ValueError("damaged")
        return data


def packed(of: str, tables: Sequence[tuple[Frozen, Table]], settled: Settled) -> Iterator[bytes]:
    """The bytes of one car to be left under the name ``of``, from its tables, those used last first.

    Tables beyond the bound are left out.
    """
    keys: dict[Key, int] = {}
    segments: list[bytes] = []
    listed: list[list[Any]] = []
    data, pool = _pool_bytes(settled)
    segments.append(data)
    room = MOST_BYTES - len(data)
    for settings, table in tables:
        data, blocks = _table_bytes(table, keys)
        if len(data) > room:
            continue
        room -= len(data)
        listed.append([list(settings), sum(map(len, segments)), len(data), _digest(data), blocks])
        segments.append(data)
    index = {
        "of": of,
        "keys": [[[sorted(names) for names in redraws], sorted(sizing), effects] for redraws, sizing, effects in keys],
        "tables": listed,
        "pool": [0, len(segments[0]), _digest(segments[0]), *pool],
    }
    text = json.dumps(index, separators=(",", ":")).encode()
    yield f"{MARK} {_digest(text)} {len(text)}\n".encode()
    yield text
    yield from segments


def _table_bytes(table: Table, keys: dict[Key, int]) -> tuple[bytes, list[list[Any]]]:
    """Rows of the same quantity and length lie together; ``keys`` grows."""
    rows: dict[tuple[str, int], list[tuple[int, Floats]]] = {}
    for key, kept in table.items():
        number = keys.setdefault(key, len(keys))
        for name, values in kept.items():
            rows.setdefault((name, len(values)), []).append((number, values))
    blocks = [[name, count, [number for number, _ in several]] for (name, count), several in rows.items()]
    return b"".join(_bytes(values, NUMBER) for several in rows.values() for _, values in several), blocks


def _pool_bytes(settled: Settled) -> tuple[bytes, list[Any]]:
    parts = [_bytes(settled.target, NUMBER)]
    parts += [np.packbits(mask).tobytes() for mask in settled.masks.values()]
    pairs: list[list[Any]] = []
    for sizing, pairing in settled.pairs.items():
        matter = settled.matter.get(sizing)
        parts += [_bytes(pairing.own, PLACE), _bytes(pairing.rest, PLACE)]
        pairs.append([sorted(sizing), len(pairing.own), pairing.whole, None if matter is None else sorted(matter)])
    return b"".join(parts), [len(settled.target), list(settled.masks), pairs]


def _bytes(values: np.ndarray[Any, Any], kind: np.dtype[Any]) -> bytes:
    return np.ascontiguousarray(values, dtype=kind).tobytes()


def _key(plain: Sequence[Any]) -> Key:
    redraws, sizing, effects = plain
    return (
        tuple(frozenset(map(str, names)) for names in redraws),
        frozenset(map(int, sizing)),
        tuple((int(at), int(number)) for at, number in effects),
    )


def _frozen(plain: Sequence[Sequence[str | float]]) -> Frozen:
    return tuple((str(name), value) for name, value in plain)


def _digest(data: bytes) -> str:
    return hashlib.sha256(data).hexdigest()


class Worked(Protocol):
    """Imagined copies of a car, as far as they are to be carried on."""

    @property
    def solved(self) -> int:
        """How many cars at a condition were solved since they were taken up."""

    def left(self, of: str) -> Iterator[bytes]:
        """Everything that was worked out of them, as ``packed`` gives it."""


class Carrier:
    """Between the cars of one book and whoever keeps them from run to run: nobody, unless a front end does."""

    def __init__(self) -> None:
        self.fetch: Callable[[str], CarriedCar | None] = _nobody
        self.worked: WeakValueDictionary[str, Worked] = WeakValueDictionary()  # by name, the newest last


def carrier_of(book: RuleBook) -> Carrier:
    """The one of this book."""
    return derived(book, _new_carrier)


def _new_carrier(book: RuleBook) -> Carrier:
    return Carrier()


def _nobody(name: str) -> CarriedCar | None:
    return None
