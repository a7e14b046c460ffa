"""What readings, and the signs that physics can see, say about sets of physical causes.

For a set G of physical causes the readings are predicted in N imagined cars, the density of everything measured is
taken inside each of them, and only then averaged: an average of products, never a product of averages, so that
readings on one car constrain each other. Causes the model cannot see share the healthy prediction. Sets of two are
predicted only where both may be present; sets of three take the better of their pairs.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np

from diag.engine.density import Measured, log_density, log_single
from diag.engine.evidence import Evidence, Finding, Reading
from diag.engine.hypotheses import MOST, NEVER, Columns, Floats, Ints, joined_triples, layout, triples_from_pairs
from diag.engine.plant import (
    STRETCHED_NAMES,
    FuelSystemPlant,
    Plant,
    Pool,
    Settings,
    applied,
    condition_quantities,
    holds,
    severity,
)
from diag.engine.priors import Sizing
from diag.engine.words import TINY
from diag.rulebook.model import PRESENT, RuleBook
from diag.trust.errors import UnknownNameError

if TYPE_CHECKING:
    from diag.fuelsystem.car import Car

FINEST = 4  # times the stated draws for sets that lead on few effective draws; also the size of the pool
LEADING = 0.01  # share of the total from which a set is worth the finest look
ENOUGH = 150.0  # effective draws from which more would change nothing
COARSE = 128  # draws in which every single cause is tried
COARSE_PAIR = 64  # draws in which a pair is tried
LIKELY = 1e-3  # single causes that may reach this share of the total are predicted in all draws
LIKELY_PAIR = 5e-3  # pairs likewise
SLACK = 2.0  # nats by which a coarse average may be too low
MOST_PAIRS = 64  # tried in one belief; those beyond keep the better of their singles
RELEVANT = 2e-3  # a pair whose best case stays below this share of the total is not tried

OUTLOOK = 64  # up to so many draws all sets are solved in one go
MOST_STACKS = 400  # predictions for a list of sets that are kept

Frozen = tuple[tuple[str, "str | float"], ...]
Redraws = tuple[frozenset[str], ...]
Key = tuple[Redraws, frozenset[int], tuple[tuple[int, int], ...]]  # redraws, sizing, effects
Member = tuple[int, int]  # cause index, stage at which it ends
Group = tuple[Member, ...]


def default_plant() -> Plant:
    """The fuel-system model."""
    return FuelSystemPlant()


@dataclass(frozen=True)
class Asked:
    """One thing to predict: a quantity at a condition after some redraws, in a stage of the job."""

    quantity: str
    settings: Frozen
    redraws: Redraws
    stage: int


class Physics:
    """Draws and predictions for one book and car. Predictions are kept: they depend on nothing else."""

    def __init__(self, book: RuleBook, car: Car, causes: Sequence[str], draws: int, plant: Plant) -> None:
        self.book = book
        self.car = car
        self.draws = draws
        self.count = FINEST * draws
        self.plant = plant
        self.causes = [book.causes[c] for c in causes]
        self.physical = np.array([c.is_physical for c in self.causes], dtype=bool)
        self.sizing = {at: c for at, c in enumerate(self.causes) if c.is_when is not None}
        self.points: dict[str, Settings] = {p.id: p.settings for p in book.points.values()}
        self._cache: dict[tuple[Key, Frozen], dict[str, Floats]] = {}
        self._stacks: dict[tuple[tuple[Group, ...], Asked, int], Floats] = {}
        self._together = _asked_together(book)
        self._severity: dict[tuple[int, int, int], Floats] = {}

    @cached_property
    def pool(self) -> Pool:
        """Base draws of this car."""
        return Pool(self.plant, self.car, self.count, self.sizing, self.points)

    def sizing_shares(self) -> Sizing:
        """How often draws meet each sizing condition, for this car and for an unknown one, and two of them together."""
        if not self.sizing:
            return Sizing()
        anywhere = Pool(self.plant, self.plant.unknown_car(), self.count // 2, self.sizing, self.points)
        indices = sorted(self.sizing)
        return Sizing(
            {at: (self.pool.share(at), anywhere.share(at)) for at in indices},
            {(i, j): self.pool.together(i, j) for i in indices for j in indices if i < j},
        )

    def frozen_settings(self, point: str, conditions: Mapping[str, float], gauge: str = "main") -> Frozen:
        """The settings of a point with the measured conditions, hashable.

        Raises:
            UnknownNameError: the book has no such point.
        """
        if point not in self.points:
            raise UnknownNameError("point", point, self.points)
        settings: dict[str, str | float] = {**self.points[point], **conditions}
        if gauge in ("second", "sensor"):
            settings.setdefault("gauge", gauge)
        return tuple(sorted(settings.items()))

    def key(self, group: Group, asked: Asked) -> Key:
        """What a prediction depends on: redraws, sizing causes of the set, and the effects still acting."""
        renewed = frozenset().union(*asked.redraws) if asked.redraws else frozenset()
        effects = []
        for at, end in group:
            cause = self.causes[at]
            if end <= asked.stage:
                continue
            for number, effect in enumerate(cause.acts_on):
                # A screw turned or a gauge swapped takes a wrong setting or a wrong gauge with it; damage stays.
                if effect.parameter in renewed and cause.kind in ("setting", "instrument"):
                    continue
                effects.append((at, number))
        sizing = frozenset(at for at, _ in group if at in self.sizing)
        return asked.redraws if any(asked.redraws) else (), sizing, tuple(effects)

    def predict(self, groups: Sequence[Group], asked: Sequence[Asked], count: int) -> Floats:
        """True values shown in the first draws of every set of causes: (sets, count, len(asked))."""
        whole = tuple(groups)
        wanted: dict[Frozen, set[str]] = {}
        for one in asked:
            wanted.setdefault(one.settings, set(self._together.get(one.settings, ()))).add(one.quantity)
        result = np.empty((len(groups), count, len(asked)))
        for at, one in enumerate(asked):
            result[:, :, at] = self._stacked(whole, one, wanted[one.settings], count)
        return result

    def _stacked(self, groups: tuple[Group, ...], asked: Asked, quantities: set[str], count: int) -> Floats:
        """One quantity for many sets, kept: the same sets are asked for after every entry: (sets, count)."""
        found = self._stacks.get((groups, asked, count))
        if found is None:
            keys = [self.key(group, asked) for group in groups]
            self._fill(set(keys), asked.settings, quantities, count)
            found = np.stack([self._cache[key, asked.settings][asked.quantity][:count] for key in keys])
            if len(self._stacks) >= MOST_STACKS:
                self._stacks.clear()
            self._stacks[groups, asked, count] = found
        return found

    def _fill(self, keys: set[Key], settings: Frozen, quantities: set[str], count: int) -> None:
        # Sets without sizing causes share their draws, so most parameters need one row for all of them; for few draws
        # a second solution would cost more than that saves.
        apart = count > OUTLOOK
        missing: dict[tuple[Redraws, int, bool], list[Key]] = {}
        for key in keys:
            kept = self._cache.get((key, settings), {})
            known = min((len(kept.get(name, ())) for name in quantities), default=0)
            if known < count:
                missing.setdefault((key[0], known, apart and bool(key[1])), []).append(key)
        for (redraws, known, _), several in missing.items():
            several.sort(key=lambda k: (sorted(k[1]), k[2]))
            part = slice(known, count)
            values = self.plant.solve(self._parameters(redraws, several, part), dict(settings), sorted(quantities))
            shape = (len(several), count - known)
            for name in sorted(quantities):
                rows = np.broadcast_to(values[name], shape)
                for row, key in enumerate(several):
                    kept = self._cache.setdefault((key, settings), {})
                    kept[name] = np.concatenate([kept[name][:known], rows[row]]) if known else rows[row]

    def _parameters(self, redraws: Redraws, keys: Sequence[Key], part: slice) -> dict[str, Floats]:
        """Parameters of every set: (sets, n) where they differ between sets, else (n,)."""
        base = self.pool.draws(redraws)
        sizings = sorted({key[1] for key in keys}, key=sorted)
        shape = (len(keys), part.stop - part.start)
        chosen = {s: self.pool.pick(s, self.count)[part] for s in sizings}
        picked = chosen[sizings[0]] if len(sizings) == 1 else np.stack([chosen[key[1]] for key in keys])
        unstretched = picked % self.pool.usual
        result: dict[str, Floats] = {}
        for name, values in base.items():
            if name in self.pool.constant(redraws):
                result[name] = values[:1]
            elif name not in STRETCHED_NAMES:
                result[name] = values[unstretched]
            elif len(sizings) == 1:
                result[name] = values[self.pool.of_parameter(name, sizings[0], picked)]
            else:
                taken = {s: values[self.pool.of_parameter(name, s, chosen[s])] for s in sizings}
                result[name] = np.stack([taken[key[1]] for key in keys])
        for row, key in enumerate(keys):
            for at, number in key[2]:
                effect = self.causes[at].acts_on[number]
                name = effect.parameter
                if result[name].shape != shape:
                    result[name] = np.broadcast_to(result[name], shape).copy()
                result[name][row] = applied(result[name][row], effect, self._amount(at, number)[part])
        if all(values.shape != shape for values in result.values()):
            first = next(iter(result))
            result[first] = np.broadcast_to(result[first], shape).copy()
        return result

    def _amount(self, at: int, number: int) -> Floats:
        key = (at, number, self.count)
        if key not in self._severity:
            self._severity[key] = severity(self.causes[at].id, self.causes[at].acts_on[number], self.count)
        return self._severity[key]

    def chosen(self, name: str, group: Group) -> Ints:
        """The base draws from which a set of causes takes a parameter: (N,)."""
        sizing = frozenset(at for at, _ in group if at in self.sizing)
        return self.pool.of_parameter(name, sizing, self.pool.pick(sizing, self.count))

    def target(self, group: Group) -> Floats:
        """The wanted pressure in the draws that belong to a set of causes: (N,)."""
        sizing = frozenset(at for at, _ in group if at in self.sizing)
        return self.pool.target[self.pool.pick(sizing, self.count)]

    def terms(self, evidence: Evidence, cols: Columns, stages: Sequence[int]) -> PhysicsTerms | None:
        """The likelihood of everything physical that was told; None when nothing was."""
        seen = [f for f in evidence.findings if f.sign in self.book.signs and self.book.signs[f.sign].seen_when]
        if not evidence.readings and not seen:
            return None
        return PhysicsTerms(self, evidence, seen, cols, stages)


class Case:
    """The physical part of some evidence, ready to be compared with predictions."""

    def __init__(self, physics: Physics, evidence: Evidence, seen: Sequence[Finding], stages: Sequence[int]) -> None:
        self.physics = physics
        self.misread = physics.book.knobs.misread
        self._redraws = [tuple(e.redraws for e in evidence.epochs[1 : at + 1]) for at in range(len(evidence.epochs))]
        self._stages = stages
        self.asked: list[Asked] = [self._asked_reading(r) for r in evidence.readings]
        self.measured = [self._measured(r) for r in evidence.readings]
        self.signs: list[tuple[Finding, dict[str, int]]] = []
        for finding in seen:
            condition = physics.book.signs[finding.sign].seen_when
            if condition is None:
                continue
            at: dict[str, int] = {}
            settings = physics.frozen_settings(condition.point, {})
            for name in sorted(condition_quantities(condition)):
                at[name] = len(self.asked)
                self.asked.append(
                    Asked(name, settings, self._redraws[finding.epoch], stages[finding.epoch])
                )
            self.signs.append((finding, at))

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
        spread = float(np.sqrt(error**2 + kind.model_error**2 + width**2 / 12.0))
        swapped = max((e for e in range(1, reading.epoch + 1) if self._swaps(e)), default=0)
        group = (kind.instrument, reading.gauge, swapped)
        return Measured(middle, spread, kind.misread_spread, kind.offset, reading.bound, group)

    def _swaps(self, epoch: int) -> bool:
        return bool(self._redraws[epoch][-1] & {"gauge offset", "sensor offset"})

    def log_draws(self, groups: Sequence[Group], count: int) -> Floats:
        """Log density of all of it in the first draws of every set: (sets, count)."""
        predicted = self.physics.predict(groups, self.asked, count)
        result = log_density(predicted[..., : len(self.measured)], self.measured, self.misread)
        for finding, at in self.signs:
            result += np.log(self._sign(finding, at, predicted, groups))
        return result

    def _sign(self, finding: Finding, at: Mapping[str, int], predicted: Floats, groups: Sequence[Group]) -> Floats:
        sign = self.physics.book.signs[finding.sign]
        if sign.seen_when is None:
            raise AssertionError("only signs with a condition are kept")
        values = {name: predicted[..., column] for name, column in at.items()}
        targets = np.stack([self.physics.target(g)[: predicted.shape[1]] for g in groups])
        met = holds(sign.seen_when, values, targets)
        present = np.where(met, sign.told_right, sign.told_wrongly)
        right = present if finding.answer == PRESENT else 1.0 - present
        return np.asarray(np.maximum((1.0 - finding.wrong) * right + finding.wrong * (1.0 - right), TINY))

    def log_each(self, groups: Sequence[Group], count: int) -> Floats:
        """Log density of every reading and physical sign by itself, averaged over draws: (sets, readings + signs)."""
        predicted = self.physics.predict(groups, self.asked, count)
        parts = [log_single(predicted[..., r], one, self.misread) for r, one in enumerate(self.measured)]
        parts += [np.log(self._sign(f, at, predicted, groups)) for f, at in self.signs]
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
        self._logs = log_mean(self.case.log_draws(self._groups, self.coarse))
        self._each = self.case.log_each(self._groups, self.coarse)
        self._looked = np.full(len(self._groups), self.coarse)
        self._effective = np.zeros(len(self._groups))
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
        likely[0] = 1.0
        self._look(np.flatnonzero((likely * np.exp(SLACK) > LIKELY) & (self._looked < self.physics.draws)))
        self._refresh()

    def sharpen_leaders(self, chance: Floats) -> None:
        """Predict those that lead (chance (V,)) on few effective draws in the finest way."""
        likely = np.zeros(len(self._groups))
        np.maximum.at(likely, self.column_group, chance)
        likely[0] = max(1.0 - float(chance.sum()), 0.0)
        poor = (self._effective < ENOUGH) & (self._looked < self.physics.count)
        self._look(np.flatnonzero((likely > LEADING) & poor), self.physics.count)
        self._refresh()

    def _look(self, numbers: Ints, count: int = 0) -> None:
        if len(numbers):
            count = count or self.physics.draws
            logs = self.case.log_draws([self._groups[g] for g in numbers], count)
            self._logs[numbers] = log_mean(logs)
            self._effective[numbers] = effective(logs)
            self._looked[numbers] = count

    def _refresh(self) -> None:
        self.nothing = float(self._logs[0])
        self.singles = self._logs[self.column_group]
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
        return open_[order[reach[order] > RELEVANT]]

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
            log += float(np.log(0.5 * np.exp(mixture[at]) + 0.25))
        return log


def log_mixture(logs: Floats, weights: Floats) -> Floats:
    """Log of the weighted average over the first axis: (sets, k), (sets,) to (k,)."""
    top = logs.max(axis=0)
    return np.asarray(top + np.log(np.maximum((weights[:, None] * np.exp(logs - top)).sum(axis=0), 1e-300)))


def _asked_together(book: RuleBook) -> dict[Frozen, set[str]]:
    """All quantities that the book asks for at a condition: one solution gives them all."""
    result: dict[Frozen, set[str]] = {}
    asked = [(y.at, {y.reading}) for check in book.checks.values() for y in check.yields if y.reading]
    asked += [(s.seen_when.point, condition_quantities(s.seen_when)) for s in book.signs.values() if s.seen_when]
    for point, names in asked:
        if point in book.points:
            result.setdefault(tuple(sorted(book.points[point].settings.items())), set()).update(names)
    return result


def lone(at: int) -> Group:
    """The set of one cause that was never cured."""
    return ((at, NEVER),)

