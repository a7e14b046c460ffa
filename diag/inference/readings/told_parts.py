"""The parts of what was told that multiply inside an imagined car, each judged once.

Of the entries of a job one is told, left out or changed at a time. So every answer that the physics judges, and the
readings on one gauge together, are kept by themselves, and nothing of the others is worked out again. The parts are
always summed one after the other in the same order, so that the last digit does not hang on what was kept.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Hashable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from diag.inference.fault_sets import Bools, Floats, Ints
from diag.inference.kept import OVERHEAD, array_bytes
from diag.inference.readings.predictor import Group, Listed
from diag.support.shelf import Place


@dataclass(frozen=True, slots=True)
class Between:
    """Sets of causes that come and go: their ``rows`` (k,), the chance ``rest`` (k,) of a look between two bouts, and
    what is ``predicted`` then (k, draws, asked)."""

    rows: Ints
    rest: Floats
    predicted: Floats


@dataclass(frozen=True, slots=True)
class Look:
    """What was predicted of some sets: (sets, draws, columns); ``place`` says in which column what is asked stands."""

    groups: Sequence[Group]
    place: Mapping[int, int]
    predicted: Floats
    between: Between | None


@dataclass(frozen=True, slots=True)
class Part:
    """An answer, or the readings on one gauge: what its log density depends on, what it asks for, how it is judged."""

    name: Hashable
    asked: tuple[int, ...]
    judge: Callable[[Look], Floats]


class _Rows:
    """A part in the first draws of the sets that were asked for so far, which have the same numbers in all parts."""

    def __init__(self, numbers: Mapping[Group, int], count: int) -> None:
        self.numbers = numbers
        self.values: Floats = np.empty((0, count))
        self._known: Bools = np.zeros(0, dtype=bool)

    def missing(self, where: Ints) -> Bools:
        """Which of these are not known."""
        more = len(self.numbers) - len(self._known)
        if more > 0:
            self.values = np.concatenate([self.values, np.empty((more, self.values.shape[1]))])
            self._known = np.append(self._known, np.zeros(more, dtype=bool))
        return np.asarray(~self._known[where])

    def put(self, where: Ints, values: Floats) -> None:
        """Keep these."""
        self.values[where] = values
        self._known[where] = True


class Parts:
    """All parts of one case."""

    def __init__(
        self,
        parts: Sequence[Part],
        place: Place,
        look: Callable[[Sequence[Group] | Listed, Collection[int], int], Look],
    ) -> None:
        """``look`` predicts some of what is asked, by number, for some sets in so many draws."""
        self._parts = parts
        self._place = place
        self._look = look

    def summed(self, groups: Sequence[Group] | Listed, count: int) -> Floats:
        """Log density of all parts in the first draws of every set: (sets, count)."""
        if isinstance(groups, Listed):
            size, parts = len(groups.sets), self.blocks(self._parts, groups, count)
        else:
            size, parts = len(groups), self._rows(groups, count)
        result = np.zeros((size, count))
        for part in parts:
            result += part
        return result

    def blocks(self, parts: Sequence[Part], groups: Listed, count: int) -> list[Floats]:
        """These parts for a list of sets that is asked for again and again, kept as a whole."""
        found: dict[Hashable, Floats] = {
            part.name: block
            for part in parts
            if (block := self._place.find(("part", part.name, groups, count))) is not None
        }
        new = [part for part in parts if part.name not in found]
        if new:
            look = self._look(groups, {at for part in new for at in part.asked}, count)
            for part in new:
                found[part.name] = block = part.judge(look)
                self._place.keep(("part", part.name, groups, count), block, array_bytes(block))
        return [found[part.name] for part in parts]

    def _rows(self, groups: Sequence[Group], count: int) -> list[Floats]:
        """Every part for these sets, each kept set by set."""
        numbers: dict[Group, int] = self._place.made(("numbers", count), dict[Group, int], len)
        where = np.array([numbers.setdefault(group, len(numbers)) for group in groups], dtype=np.intp)
        self._place.keep(("numbers", count), numbers, OVERHEAD * len(numbers))
        kept = [self._kept(part, numbers, count) for part in self._parts]
        lacking: dict[bytes, list[int]] = {}
        for at, rows in enumerate(kept):
            missing = rows.missing(where)
            if missing.any():
                lacking.setdefault(missing.tobytes(), []).append(at)
        for pattern, several in lacking.items():
            new = np.flatnonzero(np.frombuffer(pattern, dtype=bool))
            look = self._look(
                [groups[int(row)] for row in new], {column for at in several for column in self._parts[at].asked}, count
            )
            for at in several:
                kept[at].put(where[new], self._parts[at].judge(look))
                self._place.keep(("part", self._parts[at].name, count), kept[at], array_bytes(kept[at].values))
        return [rows.values[where] for rows in kept]

    def _kept(self, part: Part, numbers: Mapping[Group, int], count: int) -> _Rows:
        """What is known of a part; nothing when the sets were numbered anew since."""
        rows: _Rows | None = self._place.find(("part", part.name, count))
        return rows if rows is not None and rows.numbers is numbers else _Rows(numbers, count)
