"""The physical part of what was told, set against what every imagined car of a set of causes would have shown.

Inside one imagined car the densities of all readings and the chances of all signs multiply; ``likelihood``
averages over many cars.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Hashable, Mapping, Sequence
from functools import partial

import numpy as np

from diag.inference.evidence import Evidence, Finding, Reading
from diag.inference.fault_sets import Floats
from diag.inference.fleeting import ONE_STATE, rest_in
from diag.inference.kept import array_bytes
from diag.inference.noisy_or import TINY
from diag.inference.readings.density import Measured, gauges, log_density, log_single
from diag.inference.readings.predictor import Asked, Group, Listed, Physics
from diag.inference.readings.sights import Need, answer_chances, needs, told_chance
from diag.inference.readings.told_parts import Between, Look, Part, Parts
from diag.support.errors import UnknownNameError


def log_mean(logs: Floats) -> Floats:
    """Log of the average over the last axis, without overflow."""
    top = logs.max(axis=-1, keepdims=True)
    return np.asarray(top[..., 0] + np.log(np.exp(logs - top).mean(axis=-1)))


def effective(logs: Floats) -> Floats:
    """Effective number of draws behind an average: one over the sum of squared weights: (sets, n) to (sets,)."""
    weights = np.exp(logs - logs.max(axis=-1, keepdims=True))
    return np.asarray(weights.sum(axis=-1) ** 2 / (weights**2).sum(axis=-1))


def flattened(logs: Floats, least: float) -> Floats:
    """Weights per draw (sets, n) from log densities, raised to a power below one where too few draws would count.

    The effective number of draws (one over the sum of squared weights) is at least ``least``, found by halving.
    """
    logs = logs - logs.max(axis=1, keepdims=True)
    power = np.ones((len(logs), 1))
    for _ in range(12):
        weights = np.exp(power * logs)
        weights /= weights.sum(axis=1, keepdims=True)
        poor = 1.0 / (weights**2).sum(axis=1, keepdims=True) < least
        if not poor.any():
            break
        power = np.where(poor, 0.6 * power, power)
    return np.asarray(weights)


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
        self._rest = rest_in(physics.book, [c.id for c in physics.causes], evidence)
        self._met_in = [r.met_in for r in evidence.readings]
        self._told = Counter((f.sign, f.answer) for f in seen)
        self.signs: list[tuple[Finding, dict[Need, int]]] = []
        for finding in seen:
            at = {
                need: self._place(self._asked_sign(finding, need)) for need in needs(physics.book.signs[finding.sign])
            }
            if at:
                self.signs.append((finding, at))
        self._fleeting = self._rest.tobytes()
        self._of_signs = [
            Part(self._sign_name(finding, needed), tuple(needed.values()), partial(self._log_sign, finding, needed))
            for finding, needed in self.signs
        ]
        self._parts = Parts([*self._of_readings(), *self._of_signs], physics.place, self._look)

    def _of_readings(self) -> list[Part]:
        """The readings, those on one gauge together; all of them where a fault comes and goes, since a visit is one."""
        lots = gauges(self.measured)
        if self._rest.any():
            lots = [tuple(range(len(self.measured)))] if self.measured else []
        return [
            Part(
                ("read", *((self.measured[at], self.asked[at], self._met_in[at]) for at in lot), self._fleeting),
                lot,
                partial(self._log_readings, lot),
            )
            for lot in lots
        ]

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

    def log_draws(self, groups: Sequence[Group] | Listed, count: int) -> Floats:
        """Log density of all of it in the first draws of every set: (sets, count)."""
        return self._parts.summed(groups, count)

    def _look(self, groups: Sequence[Group] | Listed, columns: Collection[int], count: int) -> Look:
        """Some of what is asked, predicted for these sets."""
        wanted = sorted(columns)
        place = {at: column for column, at in enumerate(wanted)}
        sets = groups.sets if isinstance(groups, Listed) else groups
        asked = [self.asked[at] for at in wanted]
        predicted = self.physics.predict(groups, asked, count)
        return Look(sets, place, predicted, self._between(sets, place, predicted, count))

    def _between(
        self, groups: Sequence[Group], place: Mapping[int, int], predicted: Floats, count: int
    ) -> Between | None:
        """The sets with a fault that comes and goes, as they are predicted between two bouts; None without any."""
        rest = np.array([max((self._rest[at] for at, _ in group), default=0.0) for group in groups])
        rows = np.flatnonzero(rest)
        if not len(rows):
            return None
        lasting = [tuple(one for one in groups[int(row)] if not self._rest[one[0]]) for row in rows]
        sound = self.physics.predict(lasting, [self.asked[at] for at in place], count)
        for at, met_in in enumerate(self._met_in):
            column = place.get(at)
            if column is None:
                continue
            if met_in == "rest":
                predicted[rows, :, column] = sound[..., column]
            elif met_in == "bout":
                sound[..., column] = predicted[rows, :, column]
        return Between(rows, rest[rows], sound)

    def _log_readings(self, lot: Sequence[int], look: Look) -> Floats:
        """Some readings together; a visit is mostly in one state, so what was read in it agrees on which."""
        between, measured = look.between, [self.measured[at] for at in lot]
        columns = [look.place[at] for at in lot]
        shown = look.predicted[..., columns]
        result = log_density(shown, measured, self.misread)
        if between is not None:
            rest = between.rest[:, None]
            sound = between.predicted[..., columns]
            whole = _either(result[between.rows], log_density(sound, measured, self.misread), rest)
            each = np.zeros_like(whole)
            for r, one in enumerate(measured):
                in_bout = log_single(shown[between.rows, :, r], one, self.misread)
                each += _either(in_bout, log_single(sound[..., r], one, self.misread), rest)
            result[between.rows] = _either(whole, each, np.asarray(1.0 - ONE_STATE))
        return result

    def _log_sign(self, finding: Finding, needed: Mapping[Need, int], look: Look) -> Floats:
        """The same answer given again after another step is one judgement of one person, not several."""
        at = {need: look.place[column] for need, column in needed.items()}
        chance = self._sign(finding, at, look.predicted, look.groups)
        between = look.between
        if between is not None:
            sound = self._sign(finding, at, between.predicted, [look.groups[int(row)] for row in between.rows])
            rest = between.rest[:, None]
            chance[between.rows] = (1.0 - rest) * chance[between.rows] + rest * sound
        return np.asarray(np.log(chance) / self._told[finding.sign, finding.answer])

    def _sign(self, finding: Finding, at: Mapping[Need, int], predicted: Floats, groups: Sequence[Group]) -> Floats:
        sign = self.physics.book.signs[finding.sign]
        values = {need: predicted[..., column] for need, column in at.items()}
        count = predicted.shape[1]
        target, dullness = self.physics.targets(groups, count), self.physics.dullness(count)
        if sign.graded:
            each = answer_chances(sign, values, target, dullness)
            named = np.mean([each[answer] for answer in finding.choices], axis=0)
            others = max(len(each) - len(finding.choices), 1)
            return np.asarray(np.maximum((1.0 - finding.wrong) * named + finding.wrong * (1.0 - named) / others, TINY))
        present = told_chance(sign, values, target, dullness)
        says, denies = finding.sides(finding.wrong)
        return np.asarray(np.maximum(says * present + denies * (1.0 - present), TINY))

    def log_each(self, groups: Listed, count: int) -> Floats:
        """Log density of every reading and physical sign by itself, averaged over draws: (sets, readings + signs)."""
        place = self.physics.place
        names = [self._reading_name(at) for at in range(len(self.measured))] + [part.name for part in self._of_signs]
        found = {name: place.find(("each", name, groups, count)) for name in names}
        if any(values is None for values in found.values()):
            each = [*self._each_reading(groups, count), *self._parts.blocks(self._of_signs, groups, count)]
            found = dict(zip(names, map(log_mean, each), strict=True))
            for name, values in found.items():
                place.keep(("each", name, groups, count), values, array_bytes(values))
        return np.stack([found[name] for name in names], axis=-1)

    def _reading_name(self, at: int) -> Hashable:
        """What the density of one reading by itself depends on, besides the sets of causes."""
        return "reading", self.measured[at], self.asked[at], self._fleeting, self._met_in[at]

    def _sign_name(self, finding: Finding, needed: Mapping[Need, int]) -> Hashable:
        """The same of one sign."""
        asked = tuple(self.asked[column] for column in needed.values())
        times = self._told[finding.sign, finding.answer]
        return "sign", finding.sign, finding.choices, finding.sides(finding.wrong), times, asked, self._fleeting

    def _each_reading(self, groups: Listed, count: int) -> list[Floats]:
        """Log density of every reading by itself in every draw."""
        if not self.measured:
            return []
        look = self._look(groups, range(len(self.measured)), count)
        parts = [log_single(look.predicted[..., r], one, self.misread) for r, one in enumerate(self.measured)]
        between = look.between
        if between is not None:
            for r, one in enumerate(self.measured):
                sound = log_single(between.predicted[..., r], one, self.misread)
                parts[r][between.rows] = _either(parts[r][between.rows], sound, between.rest[:, None])
        return parts

    def widths(self) -> list[float]:
        """Plausible width of each reading, for the even density of "not in the book"; bounds and signs have none."""
        kinds = [self.physics.book.readings[one.quantity] for one in self.asked[: len(self.measured)]]
        return [k.high - k.low for k in kinds]
