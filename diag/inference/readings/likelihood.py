"""What readings, and the signs that physics can see, say about sets of physical causes.

For a set G of physical causes the readings are predicted in N imagined cars, the density of everything measured is
taken inside each of them, and only then averaged: an average of products, never a product of averages, so that
readings on one car constrain each other. Causes the model cannot see share the healthy prediction. Sets of two are
predicted only where both may be present; sets of three take the better of their pairs.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from diag.inference.evidence import Evidence, Finding
from diag.inference.fault_sets import MOST, Columns, Floats, Ints, joined_triples, layout, triples_from_pairs
from diag.inference.readings.predictor import Group, Physics
from diag.inference.readings.told_case import Case, effective, log_mean
from diag.rulebook.findings import PRESENT

LEADING = 0.01  # share of the total from which a set is worth the finest look
ENOUGH = 150.0  # effective draws from which more would change nothing
COARSE = 128  # draws in which every single cause is tried
COARSE_PAIR = 64  # draws in which a pair is tried
LIKELY = 4e-3  # single causes that may reach this share of the total are worth a second look
ALIKE = 0.02  # nats between a set and the healthy car below which they are taken to predict the same
STRANGE = 0.15  # "not in the book": half of 0.3, the chance of any sign whatever, as for signs in words
SPARSE = 24.0  # effective draws below which a first look is not trusted
LIKELY_PAIR = 5e-3  # pairs likewise
SLACK = 2.0  # nats by which a coarse average may be too low
MOST_PAIRS = 64  # tried in one belief; those beyond keep the better of their singles
RELEVANT = 2e-3  # a pair whose best case stays below this share of the total is not tried


class PhysicsTerms:
    """Log-likelihood of the physical evidence per set of columns: ``nothing``, ``singles`` (V,), ``pairs`` (P,)."""

    def __init__(
        self, physics: Physics, evidence: Evidence, seen: Sequence[Finding], cols: Columns, stages: Sequence[int]
    ) -> None:
        self.physics = physics
        self.cols = cols
        self.case = Case(physics, evidence, seen, stages)
        self._groups: list[Group] = [()]
        self.column_group = np.zeros(len(cols.base), dtype=np.intp)
        self.physical = physics.physical[cols.base]
        for column in np.flatnonzero(self.physical):
            self.column_group[column] = len(self._groups)
            self._groups.append(((int(cols.base[column]), int(cols.end[column])),))
        every = physics.listed(self._groups)
        first = self.case.log_draws(every, self.coarse)
        self._logs = log_mean(first)
        self._each = self.case.log_each(every, self.coarse)
        self._looked = np.full(len(self._groups), self.coarse)
        self._effective = effective(first)
        self._healthy = first[0]
        # Sets that these readings cannot tell from the healthy car; all but sizing causes use the very same draws.
        same_draws = np.array([not any(at in physics.sizing for at, _ in g) for g in self._groups])
        self._as_healthy = same_draws & (np.abs(self._logs - self._logs[0]) < ALIKE)
        self._solved: dict[int, float] = {}
        i, j = layout(len(cols.base)).pairs.members
        self._members = i, j
        self._both = self.physical[i] & self.physical[j]
        self.sharpen(np.zeros(len(cols.base)))

    @property
    def coarse(self) -> int:
        """Draws of the first look."""
        return min(COARSE, self.physics.draws)

    def sharpen(self, chance: Floats) -> None:
        """Predict the healthy car, and the columns that may matter by their chance (V,) so far, in more draws."""
        likely = np.zeros(len(self._groups))
        np.maximum.at(likely, self.column_group, chance)
        sparse = (self._effective < SPARSE) & (likely * np.exp(SLACK) > LIKELY)
        wanted = (sparse | (likely > LEADING)) & ~self._as_healthy
        wanted[0] = True
        self._look(np.flatnonzero(wanted & (self._looked < self.physics.draws)))
        self._refresh()

    def sharpen_leaders(self, chance: Floats) -> None:
        """Predict those that lead (chance (V,)) on few effective draws in the finest way."""
        likely = np.zeros(len(self._groups))
        np.maximum.at(likely, self.column_group, chance)
        # Everything the model cannot see stands on the healthy car.
        likely[0] = max(1.0 - float(chance.sum()), 0.0) + float(chance[self.column_group == 0].sum())
        poor = (self._effective < ENOUGH) & (self._looked < self.physics.count) & ~self._as_healthy
        poor[0] = self._effective[0] < ENOUGH
        self._look(np.flatnonzero((likely > LEADING) & poor), self.physics.count)
        self._refresh()

    def _look(self, numbers: Ints, count: int = 0) -> None:
        if len(numbers):
            count = count or self.physics.draws
            logs = self.case.log_draws([self._groups[g] for g in numbers], count)
            self._logs[numbers] = log_mean(logs)
            self._effective[numbers] = effective(logs)
            self._looked[numbers] = count
            if numbers[0] == 0:
                self._healthy = logs[0]

    def _luck(self, count: int) -> float:
        """By how much the first draws were too kind to the healthy car: its closest look minus that in ``count`` draws.

        A set that predicts what the healthy car predicts must come out like it, however few draws it was given.
        """
        if count >= len(self._healthy):
            return 0.0
        return float(log_mean(self._healthy) - log_mean(self._healthy[:count]))

    def _refresh(self) -> None:
        self.nothing = float(self._logs[0])
        luck = {int(count): self._luck(int(count)) for count in np.unique(self._looked)}
        adjust = np.array([luck[int(count)] for count in self._looked]) * self._as_healthy
        self.singles = (self._logs + adjust)[self.column_group]
        i, j = self._members
        # The better of the two until the pair itself is predicted; with one physical cause, that one's.
        one = np.where(self.physical[i], self.singles[i], self.singles[j])
        self.pairs = np.where(self._both, np.maximum(self.singles[i], self.singles[j]), one)
        for rank, log in self._solved.items():
            self.pairs[rank] = log

    def candidates(self, double: Floats) -> Ints:
        """Ranks of pairs worth predicting, those first that could matter most.

        A pair explains each reading at best as well as the better of its members does; nothing is gained from pairs
        that stay below ``RELEVANT`` even then.

        Args:
            double: approximate posterior per pair (P,), in which ``pairs`` stand as they are now.
        """
        i, j = self._members
        each = self._each[self.column_group]
        open_ = np.flatnonzero(self._both)
        best = np.maximum(each[i[open_]], each[j[open_]]).sum(axis=-1)
        gain = np.maximum(best - self.pairs[open_], 0.0)
        reach = double[open_] * np.exp(np.minimum(gain, 500.0))
        matter = np.flatnonzero(reach > RELEVANT)
        order = np.argsort(-reach[matter], kind="stable")[:MOST_PAIRS]
        return np.asarray(open_[matter[order]])

    def solve_pairs(self, ranks: Ints, count: int) -> Floats:
        """Predict these pairs in the first ``count`` draws; gives back how many of them spoke for each pair."""
        if not len(ranks):
            return np.empty(0)
        i, j = self._members
        draws = self.case.log_draws([self._pair(int(i[r]), int(j[r])) for r in ranks], count)
        logs = log_mean(draws)
        self._solved.update(zip(ranks.tolist(), logs.tolist(), strict=True))
        self.pairs[ranks] = logs
        return effective(draws)

    def _pair(self, i: int, j: int) -> Group:
        members = [(int(self.cols.base[c]), int(self.cols.end[c])) for c in (i, j)]
        return tuple(sorted(members))

    def triples(self, keep: Ints, pair_ranks: Ints) -> Floats:
        """Log-likelihood of every triple of the kept columns: with three physical members the best of its pairs.

        Args:
            keep: columns (K,), sorted.
            pair_ranks: for every pair of kept columns its rank among all pairs.
        """
        plan = layout(len(keep))
        pairs = self.pairs[pair_ranks]
        result = triples_from_pairs(self.nothing, self.singles[keep], pairs)
        members = np.flatnonzero(self.physical[keep])
        if len(members) >= MOST:
            ranks = joined_triples(len(keep), [members])
            ij, ik, jk = (pair[ranks] for pair in plan.triple_pairs)
            result[ranks] = np.maximum(np.maximum(pairs[ij], pairs[ik]), pairs[jk])
        return result

    def not_in_book(self, shares: Floats) -> float:
        """Log density if the cause is not in the book: each reading 85 % the book's mixture, 15 % even."""
        weights = np.zeros(len(self._groups))
        np.add.at(weights, self.column_group[: self.cols.causes], shares)
        mixture = log_mixture(self._each, weights)
        log = 0.0
        for at, width in enumerate(self.case.widths()):
            even = 0.5 if self.case.measured[at].bound else 1.0 / width
            log += float(np.logaddexp(np.log(0.85) + mixture[at], np.log(0.15 * even)))
        for at in range(len(self.case.measured), self._each.shape[1]):
            finding = self.case.signs[at - len(self.case.measured)][0]
            strange = STRANGE if finding.answer == PRESENT else 0.5 - STRANGE
            if graded := self.physics.book.signs[finding.sign].graded:
                strange = 0.5 / len(graded)
            log += float(np.log(0.5 * np.exp(mixture[at]) + strange))
        return log


def log_mixture(logs: Floats, weights: Floats) -> Floats:
    """Log of the weighted average over the first axis: (sets, k), (sets,) to (k,)."""
    top = logs.max(axis=0)
    return np.asarray(top + np.log(np.maximum((weights[:, None] * np.exp(logs - top)).sum(axis=0), 1e-300)))


def physics_terms(
    physics: Physics | None, evidence: Evidence, cols: Columns, stages: Sequence[int]
) -> PhysicsTerms | None:
    """The likelihood of everything physical that was told; None when nothing was.

    In a book without physical causes every cause predicts the same readings, so that they say nothing.
    """
    if physics is None:
        return None
    signs = physics.book.signs
    seen = [f for f in evidence.findings if f.sign in signs and signs[f.sign].by_physics(f.choices)]
    if not evidence.readings and not seen:
        return None
    return PhysicsTerms(physics, evidence, seen, cols, stages)
