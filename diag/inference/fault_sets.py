"""Sets of up to three causes, and the exact sum over all of them.

A *column* is a cause as a hypothesis can hold it: still there, or cured at a stage of the job. Without remedies
the columns are the causes themselves. Stages count the remedies carried out so far; stage 0 is the car as it came.

The log-likelihood of a triple is its three pairs minus its three singles plus the empty set, exact whenever no
factor joins all three members; only for triples that share a factor is it evaluated anew. That turns the
enumeration of 54,740 triples of 70 causes into a few array look-ups, without dropping any of them.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property, lru_cache

import numpy as np
import numpy.typing as npt

Floats = npt.NDArray[np.float64]
Ints = npt.NDArray[np.intp]
Bools = npt.NDArray[np.bool_]

MOST = 3  # faults at once
NEVER = 1_000_000  # the stage at which an uncured column ends


@dataclass(frozen=True, slots=True)
class Cure:
    """At the start of ``stage`` the cause with this index was repaired; ``botch`` is the chance that it was not."""

    stage: int
    cause: int
    botch: float


@dataclass(frozen=True)
class Columns:
    """The causes as hypotheses can hold them; all arrays have shape (V,).

    ``base`` is the cause's index, ``end`` the stage at which it is gone, ``log_weight`` the log chance of that end.
    """

    base: Ints
    end: Ints
    log_weight: Floats
    causes: int
    plain: bool  # no cause was ever cured or left out, so that columns and causes are the same

    def only(self, keep: Ints) -> Columns:
        """Some of the columns, in order."""
        return Columns(self.base[keep], self.end[keep], self.log_weight[keep], self.causes, False)

    def active(self, stage: int) -> Bools:
        """Which columns are still there at this stage."""
        return np.asarray(self.end > stage)


def columns(causes: int, cures: Sequence[Cure] = ()) -> Columns:
    """Split every cured cause into one column per possible end: each attempt may have worked or been botched."""
    base = list(range(causes))
    end = [NEVER] * causes
    weight = [1.0] * causes
    for cure in sorted(cures, key=lambda c: (c.stage, c.cause)):
        left = weight[cure.cause]
        base.append(cure.cause)
        end.append(cure.stage)
        weight.append(left * (1.0 - cure.botch))
        weight[cure.cause] = left * cure.botch
    with np.errstate(divide="ignore"):
        logs = np.log(np.array(weight, dtype=float))
    return Columns(np.array(base, dtype=np.intp), np.array(end, dtype=np.intp), logs, causes, not cures)


@dataclass(frozen=True, slots=True)
class Sets:
    """Many sets of one size: ``members`` holds k arrays of m column indices.

    With ``padded`` the sets may be smaller than k: the index V (one past the last column) stands for nobody.
    """

    members: tuple[Ints, ...]
    count: int
    padded: bool = False

    def _columns(self, per_column: Floats, neutral: float) -> Floats:
        if not self.padded:
            return per_column
        return np.concatenate([per_column, np.full((*per_column.shape[:-1], 1), neutral)], axis=-1)

    def product(self, per_column: Floats) -> Floats:
        """Multiply a figure per column over the members: (..., V) to (..., m)."""
        if not self.members:
            return np.ones((*per_column.shape[:-1], self.count))
        source = self._columns(per_column, 1.0)
        result = source.take(self.members[0], axis=-1)
        for more in self.members[1:]:
            result *= source.take(more, axis=-1)
        return result

    def total(self, per_column: Floats) -> Floats:
        """Add a figure per column over the members: (..., V) to (..., m)."""
        if not self.members:
            return np.zeros((*per_column.shape[:-1], self.count))
        source = self._columns(per_column, 0.0)
        result = source.take(self.members[0], axis=-1)
        for more in self.members[1:]:
            result = result + source.take(more, axis=-1)
        return result

    def any(self, flags: Bools) -> Bools:
        """Whether any member carries the flag: (V,) to (m,)."""
        return np.asarray(self.total(flags.astype(float)) > 0.0)


def padded_sets(rows: Ints) -> Sets:
    """Sets of up to three from rows (m, 3) in which the number of columns stands for nobody."""
    return Sets(tuple(np.ascontiguousarray(rows.T)), len(rows), padded=True)


@dataclass(frozen=True)
class Layout:
    """All sets over V columns, in a fixed order, with the look-ups that join triples to pairs.

    Triples are laid out when first asked for: of all columns of a large book they would take 40 MB, and only those of
    the likeliest are ever counted.
    """

    nothing: Sets
    singles: Sets
    pairs: Sets
    pair_rank: Ints  # (V, V), rank of the pair, symmetric; the diagonal is -1
    first_triple: Ints  # (V,) how many triples have a smaller first member

    @cached_property
    def triples(self) -> Sets:
        """The sets of three."""
        size = self.singles.count
        first, second = self.pairs.members
        i = np.repeat(first, size - 1 - second)
        j = np.repeat(second, size - 1 - second)
        every = self.singles.members[0]
        k = np.concatenate([np.arange(s + 1, size) for s in second] or [every[:0]]).astype(np.intp)
        return Sets((i, j, k), len(i))

    @cached_property
    def triple_pairs(self) -> tuple[Ints, Ints, Ints]:
        """Ranks of the pairs ij, ik, jk of every triple."""
        i, j, k = self.triples.members
        return self.pair_rank[i, j], self.pair_rank[i, k], self.pair_rank[j, k]

    def triple_rank(self, i: Ints, j: Ints, k: Ints) -> Ints:
        """Rank of the triple i < j < k in the order of ``triples``."""
        size = len(self.first_triple)
        rest = size - 1 - i
        inner = j - i - 1
        before = inner * rest - inner * (inner + 1) // 2
        return np.asarray(self.first_triple[i] + before + (k - j - 1))


@lru_cache(maxsize=32)
def layout(size: int) -> Layout:
    """Every set of up to three of ``size`` columns. Cached: it depends on nothing else."""
    every = np.arange(size, dtype=np.intp)
    first, second = np.triu_indices(size, 1)
    rank = np.full((size, size), -1, dtype=np.intp)
    rank[first, second] = np.arange(len(first))
    rank[second, first] = rank[first, second]
    per_first = (size - 1 - every) * (size - 2 - every) // 2
    before = np.concatenate([[0], np.cumsum(per_first)[:-1]]).astype(np.intp) if size else per_first
    return Layout(Sets((), 1), Sets((every,), size), Sets((first, second), len(first)), rank, before)


@lru_cache(maxsize=512)
def _joined(size: int, linked: bytes) -> Ints:
    members = np.frombuffer(linked, dtype=np.intp)
    a, b, c = layout(len(members)).triples.members
    return layout(size).triple_rank(members[a], members[b], members[c])


def joined_triples(size: int, groups: Iterable[Ints]) -> Ints:
    """Ranks of all triples that lie wholly within one of the groups of columns (each sorted), without repeats."""
    flags = np.zeros(layout(size).triples.count, dtype=bool)
    for group in groups:
        if len(group) >= MOST:
            flags[_joined(size, np.ascontiguousarray(group, dtype=np.intp).tobytes())] = True
    return np.flatnonzero(flags)


def joined_pairs(size: int, groups: Sequence[Ints]) -> Ints:
    """Ranks of all pairs that lie wholly within one of the groups of columns, without repeats."""
    together = np.zeros((size, size), dtype=bool)
    for group in groups:
        together[np.ix_(group, group)] = True
    return np.flatnonzero(together[layout(size).pairs.members])


def pick(sets: Sets, ranks: Ints) -> Sets:
    """Some of the sets, by rank."""
    return Sets(tuple(member[ranks] for member in sets.members), len(ranks))


def same_cause_pairs(cols: Columns) -> Ints:
    """Ranks of pairs whose two columns are the same cause with different ends, which no hypothesis can hold."""
    if cols.plain:
        return np.empty(0, dtype=np.intp)
    i, j = layout(len(cols.base)).pairs.members
    return np.flatnonzero(cols.base[i] == cols.base[j])


def triples_from_pairs(nothing: float, singles: Floats, pairs: Floats) -> Floats:
    """Log-likelihood of every triple from those of its parts, as if no factor joined all three: (T,)."""
    plan = layout(len(singles))
    i, j = plan.pairs.members
    # Half of each member's single belongs to each of the two pairs it is in.
    adjusted = pairs - 0.5 * (singles[i] + singles[j])
    ij, ik, jk = plan.triple_pairs
    result = adjusted.take(ij)
    result += adjusted.take(ik)
    result += adjusted.take(jk)
    result += nothing
    return result


def of_strongest(tables: Floats, moved: Floats, slots: Ints) -> Floats:
    """Give every row the table of its member that moves a quantity most: (members, k), (members,) to (rows, k).

    Args:
        slots: (rows, slots) numbers of members, -1 for none; the first member stands for a row without any.
    """
    of_member = np.append(moved, -1.0)[slots]  # the last one stands for nobody
    first = of_member.argmax(axis=1)
    every = np.arange(len(first))
    return np.asarray(tables[np.where(of_member[every, first] >= 0.0, slots[every, first], 0)])
