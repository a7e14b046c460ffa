"""What readings, and the signs that physics can see, say about sets of physical causes.

For a set G of physical causes the readings are predicted in N imagined cars, the density of everything measured is
taken inside each of them, and only then averaged: an average of products, never a product of averages, so that
readings on one car constrain each other. Causes the model cannot see share the healthy prediction. Sets of two are
predicted only where both may be present; sets of three take the better of their pairs.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from diag.inference.evidence import Evidence, Finding, Reading
from diag.inference.fault_sets import MOST, Columns, Floats, Ints, joined_triples, layout, triples_from_pairs
from diag.inference.fleeting import ONE_STATE, named_fleeting, rest_of
from diag.inference.noisy_or import TINY
from diag.inference.readings.density import Measured, log_density, log_single
from diag.inference.readings.predictor import Asked, Group, Physics
from diag.inference.readings.sights import Need, needs, told_chance
from diag.rulebook.findings import PRESENT
from diag.support.errors import UnknownNameError

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


@dataclass(frozen=True, slots=True)
class Between:
    """Sets of causes that come and go: their ``rows`` (k,), the chance ``rest`` (k,) of a look between two bouts, and
    what is ``predicted`` then (k, draws, asked)."""

    rows: Ints
    rest: Floats
    predicted: Floats


def _either(shown: Floats, sound: Floats, rest: Floats) -> Floats:
    """Log of the average of two densities, the second with the weight ``rest``."""
    return np.asarray(np.logaddexp(np.log1p(-rest) + shown, np.log(rest) + sound))


class Case:
    """The physical part of some evidence, ready to be compared with predictions."""

    def __init__(self, physics: Physics, evidence: Evidence, seen: Sequence[Finding], stages: Sequence[int]) -> None:
        self.physics = physics
        self.misread = physics.book.knobs.misread
        self._redraws = [tuple(e.redraws for e in evidence.epochs[1 : at + 1]) for at in range(len(evidence.epochs))]
        self._stages = stages
        self.asked: list[Asked] = [self._asked_reading(r) for r in evidence.readings]
        self._takes = Counter((r.reading, r.point, r.gauge) for r in evidence.readings)
        self.measured = [self._measured(r) for r in evidence.readings]
        named = named_fleeting(physics.book, evidence)
        self._rest = rest_of(physics.book, [c.id for c in physics.causes], named)
        self._met_in = [r.met_in for r in evidence.readings]
        self._told = Counter((f.sign, f.answer) for f in seen)
        self.signs: list[tuple[Finding, dict[Need, int]]] = []
        for finding in seen:
            at = {
                need: self._place(self._asked_sign(finding, need)) for need in needs(physics.book.signs[finding.sign])
            }
            if at:
                self.signs.append((finding, at))
        told = tuple((f.sign, f.answer, f.wrong) for f, _ in self.signs)
        self._kept = physics.kept((tuple(self.asked), tuple(self.measured), told, named, tuple(self._met_in)))

    def _asked_sign(self, finding: Finding, need: Need) -> Asked:
        settings = self.physics.frozen_settings(need[0], {})
        return Asked(need[1], settings, self._redraws[finding.epoch], self._stages[finding.epoch])

    def _place(self, asked: Asked) -> int:
        """Where a prediction for a sign stands among all that is asked; several signs look at the same."""
        if asked not in self.asked[len(self.measured) :]:
            self.asked.append(asked)
        return self.asked.index(asked, len(self.measured))

    def _asked_reading(self, reading: Reading) -> Asked:
        settings = self.physics.frozen_settings(reading.point, reading.conditions, reading.gauge)
        return Asked(reading.reading, settings, self._redraws[reading.epoch], self._stages[reading.epoch])

    def _measured(self, reading: Reading) -> Measured:
        readings = self.physics.book.readings
        if reading.reading not in readings:
            raise UnknownNameError("reading", reading.reading, readings)
        kind = readings[reading.reading]
        error = kind.error if reading.error is None else reading.error
        # An interval of width w counts as its middle with the variance of an even spread, w^2 / 12.
        width = 0.0 if reading.bound else reading.high - reading.low
        middle = 0.5 * (reading.low + reading.high) if width > 0.0 else reading.value
        # What the model gets wrong about a place it gets wrong every time: taking a reading again does not average it
        # out. With the model's variance times the number of takings, their mean keeps the model's error once.
        takes = self._takes[reading.reading, reading.point, reading.gauge]
        spread = float(np.sqrt(error**2 + takes * kind.model_error**2 + width**2 / 12.0))
        swapped = max((e for e in range(1, reading.epoch + 1) if self._swaps(e)), default=0)
        group = (kind.instrument, reading.gauge, swapped)
        return Measured(middle, spread, kind.misread_spread, kind.offset, reading.bound, group)

    def _swaps(self, epoch: int) -> bool:
        return bool(self._redraws[epoch][-1] & {"gauge offset", "sensor offset"})

    def log_draws(self, groups: Sequence[Group], count: int) -> Floats:
        """Log density of all of it in the first draws of every set: (sets, count).

        Kept, since an answer about a smell or a sound changes nothing here.
        """
        missing = [group for group in groups if (group, count) not in self._kept]
        if missing:
            rows = self._log_draws(missing, count)
            self._kept.update(((group, count), row) for group, row in zip(missing, rows, strict=True))
        return np.stack([self._kept[group, count] for group in groups])

    def _log_draws(self, groups: Sequence[Group], count: int) -> Floats:
        predicted = self.physics.predict(groups, self.asked, count)
        between = self._between(groups, predicted, count)
        result = self._log_readings(predicted, between)
        for finding, at in self.signs:
            result += self._log_sign(finding, at, predicted, between, groups)
        return result

    def _between(self, groups: Sequence[Group], predicted: Floats, count: int) -> Between | None:
        """The sets with a fault that comes and goes, as they are predicted between two bouts; None without any."""
        rest = np.array([max((self._rest[at] for at, _ in group), default=0.0) for group in groups])
        rows = np.flatnonzero(rest)
        if not len(rows):
            return None
        lasting = [tuple(one for one in groups[int(row)] if not self._rest[one[0]]) for row in rows]
        sound = self.physics.predict(lasting, self.asked, count)
        for at, met_in in enumerate(self._met_in):
            if met_in == "rest":
                predicted[rows, :, at] = sound[..., at]
            elif met_in == "bout":
                sound[..., at] = predicted[rows, :, at]
        return Between(rows, rest[rows], sound)

    def _log_readings(self, predicted: Floats, between: Between | None) -> Floats:
        """All readings together; a visit is mostly in one state, so what was read in it agrees on which."""
        shown = predicted[..., : len(self.measured)]
        result = log_density(shown, self.measured, self.misread)
        if between is not None and self.measured:
            rest = between.rest[:, None]
            sound = between.predicted[..., : len(self.measured)]
            whole = _either(result[between.rows], log_density(sound, self.measured, self.misread), rest)
            each = np.zeros_like(whole)
            for r, one in enumerate(self.measured):
                in_bout = log_single(shown[between.rows, :, r], one, self.misread)
                each += _either(in_bout, log_single(sound[..., r], one, self.misread), rest)
            result[between.rows] = _either(whole, each, np.asarray(1.0 - ONE_STATE))
        return result

    def _log_sign(
        self,
        finding: Finding,
        at: Mapping[Need, int],
        predicted: Floats,
        between: Between | None,
        groups: Sequence[Group],
    ) -> Floats:
        """The same answer given again after another step is one judgement of one person, not several."""
        chance = self._sign(finding, at, predicted, groups)
        if between is not None:
            sound = self._sign(finding, at, between.predicted, [groups[int(row)] for row in between.rows])
            rest = between.rest[:, None]
            chance[between.rows] = (1.0 - rest) * chance[between.rows] + rest * sound
        return np.log(chance) / self._told[finding.sign, finding.answer]

    def _sign(self, finding: Finding, at: Mapping[Need, int], predicted: Floats, groups: Sequence[Group]) -> Floats:
        sign = self.physics.book.signs[finding.sign]
        values = {need: predicted[..., column] for need, column in at.items()}
        count = predicted.shape[1]
        present = told_chance(sign, values, self.physics.targets(groups, count), self.physics.dullness(count))
        right = finding.lean * present + (1.0 - finding.lean) * (1.0 - present)
        return np.asarray(np.maximum((1.0 - finding.wrong) * right + finding.wrong * (1.0 - right), TINY))

    def log_each(self, groups: Sequence[Group], count: int) -> Floats:
        """Log density of every reading and physical sign by itself, averaged over draws: (sets, readings + signs)."""
        predicted = self.physics.predict(groups, self.asked, count)
        between = self._between(groups, predicted, count)
        parts = [log_single(predicted[..., r], one, self.misread) for r, one in enumerate(self.measured)]
        if between is not None:
            for r, one in enumerate(self.measured):
                sound = log_single(between.predicted[..., r], one, self.misread)
                parts[r][between.rows] = _either(parts[r][between.rows], sound, between.rest[:, None])
        parts += [self._log_sign(f, at, predicted, between, groups) for f, at in self.signs]
        return np.stack([log_mean(part) for part in parts], axis=-1)

    def widths(self) -> list[float]:
        """Plausible width of each reading, for the even density of "not in the book"; bounds and signs have none."""
        kinds = [self.physics.book.readings[one.quantity] for one in self.asked[: len(self.measured)]]
        return [k.high - k.low for k in kinds]


def log_mean(logs: Floats) -> Floats:
    """Log of the average over the last axis, without overflow."""
    top = logs.max(axis=-1, keepdims=True)
    return np.asarray(top[..., 0] + np.log(np.exp(logs - top).mean(axis=-1)))


def effective(logs: Floats) -> Floats:
    """Effective number of draws behind an average: one over the sum of squared weights: (sets, n) to (sets,)."""
    weights = np.exp(logs - logs.max(axis=-1, keepdims=True))
    return np.asarray(weights.sum(axis=-1) ** 2 / (weights**2).sum(axis=-1))


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
        first = self.case.log_draws(self._groups, self.coarse)
        self._logs = log_mean(first)
        self._each = self.case.log_each(self._groups, self.coarse)
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
        order = np.argsort(-reach, kind="stable")[:MOST_PAIRS]
        return np.asarray(open_[order[reach[order] > RELEVANT]])

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
            there = self.case.signs[at - len(self.case.measured)][0].answer == PRESENT
            log += float(np.log(0.5 * np.exp(mixture[at]) + (STRANGE if there else 0.5 - STRANGE)))
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
    seen = [f for f in evidence.findings if f.sign in signs and signs[f.sign].seen_when is not None]
    if not evidence.readings and not seen:
        return None
    return PhysicsTerms(physics, evidence, seen, cols, stages)
