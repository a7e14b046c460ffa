"""Imagined cars: base draws of every parameter, which of them meet which sizing condition, and what faults do to them.

A *damage* multiplies, adds to or sets a named parameter; how severe it is is drawn too, from a column keyed by a
hash of cause and parameter, so that a new cause in the book moves no old case. A *sizing* cause changes nothing:
it is a fact about the car as built, so it only selects the base draws that meet its condition, and every other
hypothesis uses draws that meet none.
"""

from __future__ import annotations

import weakref
from collections.abc import Collection, Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np

from diag.inference.fault_sets import Bools, Floats, Ints
from diag.inference.kept import array_bytes
from diag.inference.readings.conditions import condition_quantities, holds, shortfall, target_of
from diag.inference.readings.damage import within_travel
from diag.inference.readings.pairing import Pairing
from diag.inference.readings.plant import Plant, Settings
from diag.inference.readings.stretched import BLOCKS, RANGES, SIZES, STRETCHED_NAMES, with_stretched
from diag.rulebook.causes import Cause
from diag.rulebook.findings import Condition
from diag.support.shelf import Place

if TYPE_CHECKING:
    from diag.fuelsystem.car import Car


INSTRUMENTS: dict[str, float] = {
    "gauge offset": 0.0,
    "gauge hot offset": 0.0,
    "sensor offset": 0.0,
}
"""Offsets are integrated exactly in the density, so base draws hold them at zero and only causes move them."""

TRUE_INSTRUMENTS: dict[str, float] = {
    **INSTRUMENTS,
    "gauge scale": 1.0,
    "sensor scale": 1.0,
    "gauge sees pump side": 0.0,
    "gauge stuck": 0.0,
}
"""A sizing condition asks what is so, not what a gauge shows."""

MANY = 1 / 43  # share of the usual draws that must fit for a selection to be content; else it takes stretched ones too
FEW = 1 / 170  # share below which it also takes the nearest misses


MATTERS = 0.3
LEAST = 1 / 85  # share that must fit before their sizes are put into other cars, and of pairs that then still do
FULL = 256  # draws looked at to see which sizes matter
BORDER = 0.5
"""How far from a sizing condition a car is called sound, as a share of the condition's own offset: a part that is
only just big enough is neither right nor wrong, and no gauge tells it from one that is just too small. Judgement."""
STRETCHED, ALSO = 1e-9, 1e-6  # how a pick ranks stretched draws, and draws that meet another condition as well


@dataclass(frozen=True)
class Settled:
    """What was found of a pool, by which another one of the same car need not find it again.

    The wanted pressure in every draw, which draws meet each sizing condition, the judged pairs of some selections, and
    the sizes that matter to them.
    """

    target: Floats
    masks: Mapping[int, Bools]
    pairs: Mapping[frozenset[int], Pairing]
    matter: Mapping[frozenset[int], frozenset[str]]


@dataclass(frozen=True)
class _Judged:
    """Which draws meet each sizing condition, by how much each misses it, and which meet it nearly."""

    masks: Mapping[int, Bools]
    short: Mapping[int, Floats]
    grey: Mapping[int, Bools]


class Pool:
    """The base draws of one car, with the mask of every sizing condition at the car as it came in.

    The first ``usual`` draws follow the priors. With sizing causes ``BLOCKS`` times as many again have their unknown
    sizes stretched, and as many the regulator's range; only sizing causes that the usual draws cannot supply use those.
    """

    def __init__(
        self,
        plant: Plant,
        car: Car,
        usual: int,
        sizing: Mapping[int, Cause],
        points: Mapping[str, Settings],
        place: Place,
        settled: Settled | None = None,
    ) -> None:
        self.plant = plant
        self._place = weakref.proxy(place)  # what stands on the shelf must not hold its owner there
        self.car = car
        self._is_when = {at: c.is_when for at, c in sizing.items() if c.is_when is not None}
        self._points = points
        self.usual = usual
        self.wide = bool(sizing)
        self.count = (BLOCKS + 2) * usual if self.wide else usual
        self._constant: dict[tuple[frozenset[str], ...], frozenset[str]] = {}
        block = np.arange(self.count) // usual
        self._stretched = np.where(block == 0, 0.0, np.where(block <= BLOCKS, 1.0, 2.0))
        self._met: dict[frozenset[int], Ints] = {}
        self._picks: dict[tuple[frozenset[int], int], tuple[Ints, Ints]] = {}
        self._matters = dict(settled.matter) if settled else {}
        self._pairs = dict(settled.pairs) if settled else {}
        self.target = settled.target if settled else np.resize(target_of(self.draws(())), self.count)
        self.masks = settled.masks if settled else self._judged.masks

    @property
    def settled(self) -> Settled:
        """All that was found of it so far."""
        pairs = {sizing: found for sizing, pairing in self._pairs.items() if (found := pairing.settled()) is not None}
        return Settled(self.target, self.masks, pairs, self._matters)

    @property
    def bytes(self) -> int:
        """About what it takes besides its draws: masks, shortfalls and ranks of every draw, and some selections."""
        return self.count * (24 + 10 * len(self._is_when)) + 40 * self.usual * len(self._is_when)

    def draws(self, redraws: tuple[frozenset[str], ...]) -> Mapping[str, Floats]:
        """All parameters after these redraws, block by block: name to (blocks, usual), or (1, usual) if all are alike.

        A block is the usual draws or a stretched copy of them. The offsets of instruments are zero.
        """
        key = redraws if any(redraws) else ()

        def drawn() -> Mapping[str, Floats]:
            drawn = dict(self.plant.draw(self.car, self.usual, key))
            drawn.update({name: np.zeros(self.usual) + value for name, value in INSTRUMENTS.items() if name in drawn})
            if self.wide:
                return with_stretched(drawn, self.car, frozenset().union(*key))
            return {name: values[None] for name, values in drawn.items()}

        place: Place = self._place
        return place.made(("draws", self.usual, key), drawn, lambda made: sum(map(array_bytes, made.values())))

    def taken(self, name: str, where: Ints, redraws: tuple[frozenset[str], ...]) -> Floats:
        """A parameter in the draws at these places: (n,)."""
        values = self.draws(redraws)[name]
        return values[0, where % self.usual] if len(values) == 1 else values.reshape(-1)[where]

    def constant(self, redraws: tuple[frozenset[str], ...]) -> frozenset[str]:
        """Names of the parameters that are the same in all draws."""
        key = redraws if any(redraws) else ()
        if key not in self._constant:
            self._constant[key] = frozenset(name for name, v in self.draws(key).items() if np.ptp(v) == 0.0)
        return self._constant[key]

    @cached_property
    def _judged(self) -> _Judged:
        """Every draw beside every sizing condition; not needed again for selections that are settled."""
        masks, shorts, grey = {}, {}, {}
        for index, (condition, blocks) in self._conditions(self._is_when, self.draws(())).items():
            here = {
                name: np.broadcast_to(shown, (self.count // self.usual, self.usual)).reshape(-1)
                for name, shown in blocks.items()
            }
            masks[index] = holds(condition, here, self.target)
            shorts[index] = short = shortfall(condition, here, self.target)
            grey[index] = masks[index] | (short < BORDER * abs(condition.offset))
        return _Judged(masks, shorts, grey)

    def _conditions(
        self, sizing: Collection[int], draws: Mapping[str, Floats]
    ) -> dict[int, tuple[Condition, Mapping[str, Floats]]]:
        """The sizing conditions with what they look at in these draws, read with true instruments."""
        conditions = {at: self._is_when[at] for at in sizing}
        asked: dict[str, set[str]] = {}
        for condition in conditions.values():
            asked.setdefault(condition.point, set()).update(condition_quantities(condition))
        true = {**draws, **{name: np.asarray(value) for name, value in TRUE_INSTRUMENTS.items() if name in draws}}
        values = {
            point: self.plant.solve(true, self._points.get(point, {}), sorted(wanted))
            for point, wanted in asked.items()
        }
        return {at: (condition, values[condition.point]) for at, condition in conditions.items()}

    def _sizes_that_matter(self, sizing: frozenset[int]) -> frozenset[str]:
        """The sizes by which draws that meet the conditions differ from all others: by ``MATTERS`` of their spread."""
        if sizing not in self._matters:
            draws, chosen = self.draws(()), self._meeting(sizing)[:FULL]
            usual, sizes = slice(0, self.usual), slice(self.usual, self.count - self.usual)
            ranges = slice(self.count - self.usual, self.count)
            found = set()
            for names, block in (((*SIZES, *RANGES), usual), (SIZES, sizes), (RANGES, ranges)):
                inside = chosen[(chosen >= block.start) & (chosen < block.stop)]
                for name in names:
                    if name in draws and len(inside) and np.ptp(draws[name].reshape(-1)[block]) > 0.0:
                        logs = np.log(np.maximum(draws[name].reshape(-1), 1e-12))
                        shift = logs[inside].mean() - logs[block].mean()
                        if abs(shift) > max(MATTERS, 3.0 / np.sqrt(len(inside))) * logs[block].std():
                            found.add(name)
            self._matters[sizing] = frozenset(found)
        return self._matters[sizing]

    def places(self, name: str, sizing: frozenset[int], count: int) -> Ints:
        """From which draws the cars with these sizing causes take a parameter: (count,)."""
        own, rest = self._picked(sizing, count)
        return own if name in STRETCHED_NAMES and name in self._sizes_that_matter(sizing) else rest

    def targets(self, sizing: frozenset[int], count: int) -> Floats:
        """The wanted pressure of those cars: (count,)."""
        return self.target[self._picked(sizing, count)[1]]

    def share(self, index: int) -> float:
        """Share of draws, usual and stretched together, that meet the sizing condition."""
        return float(self.masks[index].mean())

    def together(self, one: int, other: int) -> float:
        """How much less often two sizing conditions hold together than if they were independent: at most one.

        More often is not believed: it comes from the stretched draws, where one big pump makes everything else small.
        One draw is added to what was counted and to what was expected, so that nothing is concluded from a handful.
        """
        first, second = self.masks[one], self.masks[other]
        both = float((first & second).sum())
        expected = float(first.sum()) * float(second.sum()) / self.count
        return min(1.0, (both + 1.0) / (expected + 1.0))

    def _picked(self, sizing: frozenset[int], count: int) -> tuple[Ints, Ints]:
        """The cars that meet exactly these sizing conditions, and no other one nearly: (count,) twice.

        The sizes that matter come from draws that meet the conditions, everything else from the usual draws, so that
        there are nearly as many different cars as for any other cause; pairs that miss the conditions are left out.
        Fewer are the first of more.
        """
        key = (sizing, count)
        if key not in self._picks:
            self.prepare((sizing,), count)
            pairs = self._pairs[sizing].settled()
            assert pairs is not None
            own, rest = np.resize(pairs.own, count), np.resize(pairs.rest, count)
            self._picks[key] = own, rest
        return self._picks[key]

    def _meeting(self, sizing: frozenset[int]) -> Ints:
        """All draws that meet the conditions.

        When fewer than ``MANY`` usual draws do, stretched ones that do are taken too; when fewer than ``FEW`` do at
        all, those that also meet another condition, then those that come nearest.
        """
        if sizing not in self._met:
            wrong = STRETCHED * self._stretched
            for index, short in self._judged.short.items():
                wrong += short if index in sizing else ALSO * self._judged.grey[index]
            ranked = np.sort(wrong)
            many, few = (float(ranked[max(int(share * self.usual), 1) - 1]) for share in (MANY, FEW))
            levels = ((many, 0.0), (many, STRETCHED), (many, 2.0 * STRETCHED), (few, 2.0 * STRETCHED), (few, ALSO))
            limit = next((level for worst, level in levels if worst <= level), few)
            self._met[sizing] = np.flatnonzero(wrong <= limit)
        return self._met[sizing]

    def _held(self, sizing: frozenset[int]) -> Bools:
        """Which draws meet these conditions, whatever others they meet: (count,)."""
        return np.asarray(np.all([self.masks[index] for index in sizing], axis=0))

    def _pairing(self, sizing: frozenset[int]) -> Pairing:
        meeting = self._meeting(sizing)
        if not sizing or not self.wide:
            return Pairing(meeting, meeting)
        if self._held(sizing)[meeting].sum() < LEAST * self.usual:
            return Pairing(meeting, meeting % self.usual)
        candidates = np.resize(meeting, self.usual), np.arange(self.usual, dtype=np.intp)
        return Pairing(meeting, meeting % self.usual, candidates, LEAST * self.usual)

    def prepare(self, sizings: Collection[frozenset[int]], count: int) -> None:
        """Judge as many pairs of these selections as so many cars need, those of all selections together."""
        for sizing in sizings:
            known = self._pairs.get(sizing)
            if known is None or (known.candidates is None and not known.enough(count)):
                self._pairs[sizing] = self._pairing(sizing)
        while open_ := {
            sizing: pairs for sizing in sizings if len((pairs := self._pairs[sizing].unjudged(count))[0])
        }:  # fmt: skip
            fits, alone = self._judge_pairs(open_)
            ends = np.cumsum([len(own) for own, _ in open_.values()])[:-1]
            for sizing, one, other in zip(open_, np.split(fits, ends), np.split(alone, ends), strict=True):
                self._pairs[sizing] = self._pairs[sizing].judged(one, other)

    def _judge_pairs(self, pairs: Mapping[frozenset[int], tuple[Ints, Ints]]) -> tuple[Bools, Bools]:
        """Which pairs, end to end, meet their conditions, and which of those meet no other one nearly: (n,) twice.

        What fails at one point is not solved at the next. The points of the conditions met most often come first.
        """
        rest = np.concatenate([r for _, r in pairs.values()])
        of = np.repeat(np.arange(len(pairs)), [len(r) for _, r in pairs.values()])
        wanted = {at: np.array([at in sizing for sizing in pairs])[of] for at in self._is_when}
        mixed, target = self._mixed(pairs), self.target[rest]
        fits = np.ones(len(rest), dtype=bool)
        met = sorted(wanted, key=lambda at: -self._judged.grey[at].mean())
        points = dict.fromkeys(self._is_when[at].point for at in met)
        for other in (False, True):
            alone = fits.copy()
            for point in points:
                here = [at for at, condition in self._is_when.items() if condition.point == point]
                look = alone & np.any([wanted[at] != other for at in here], axis=0)
                where = np.flatnonzero(look)
                if not where.size:
                    continue
                few = {name: values[where] if len(values) > 1 else values for name, values in mixed.items()}
                for at, (condition, shown) in self._conditions(here, few).items():
                    if other:
                        good = shortfall(condition, shown, target[where]) >= BORDER * abs(condition.offset)
                    else:
                        good = holds(condition, shown, target[where])
                    alone[where] &= good | (wanted[at][where] == other)
            fits, alone = (fits, alone) if other else (alone, alone)
        return fits, alone

    def _mixed(self, pairs: Mapping[frozenset[int], tuple[Ints, Ints]]) -> dict[str, Floats]:
        """The parameters of all pairs end to end: (n,), or (1,) where all draws have the same."""
        matter = [self._sizes_that_matter(sizing) for sizing in pairs]
        result = {}
        for name, values in self.draws(()).items():
            if name in self.constant(()):
                result[name] = values[0, :1]
            else:
                of = zip(matter, pairs.values(), strict=True)
                where = np.concatenate([own if name in sizes else rest for sizes, (own, rest) in of])
                result[name] = self.taken(name, where, ())
        return within_travel(result)
