"""What every gauge would show with a given set of causes, in many imagined copies of the car; kept once computed."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np

from diag.fuelsystem.draws import uniform_column
from diag.fuelsystem.normal import inverse_normal
from diag.fuelsystem.running import RUNNING
from diag.inference.fault_sets import NEVER, Floats, Ints
from diag.inference.prior import Sizing
from diag.inference.readings.car_pool import Pool
from diag.inference.readings.damage import applied, severity, within_travel
from diag.inference.readings.plant import FuelSystemPlant, Plant, Settings
from diag.inference.readings.sights import needs, told_chance
from diag.rulebook.findings import Sign
from diag.rulebook.model import RuleBook
from diag.support.errors import UnknownNameError

if TYPE_CHECKING:
    from diag.fuelsystem.car import Car

FINEST = 8  # times the stated draws for sets that lead on few effective draws; also the size of the pool
FEW_DRAWS = 32  # imagined cars per set of causes when only weighing checks
FELT_DRAWS = 16  # when only asking what else there was to complain of
OUTLOOK = 64  # up to so many draws all sets are solved in one go
MOST_STACKS = 400  # predictions for a list of sets that are kept
MOST_KEPT = 6  # sets of readings whose comparison with the predictions is kept
MOST_PREDICTIONS = 12_000  # sets at conditions whose predictions are kept: every single cause at every point, twice

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
        self._pools: dict[int, Pool] = {}
        self._cache: dict[tuple[Key, Frozen], dict[str, Floats]] = {}
        self._stacks: dict[tuple[tuple[Group, ...], Asked, int], Floats] = {}
        self._kept: dict[object, dict[tuple[Group, int], Floats]] = {}
        self._lone: dict[tuple[str, Frozen, int], Floats] = {}
        self._targets: dict[tuple[tuple[Group, ...], int], Floats] = {}
        self._together = _asked_together(book)
        self._severity: dict[tuple[int, int, int], Floats] = {}
        self._built: dict[tuple[Redraws, tuple[Key, ...], int, int], dict[str, Floats]] = {}

    @cached_property
    def pool(self) -> Pool:
        """Base draws of this car."""
        return self.pool_of(self.count)

    def pool_of(self, count: int) -> Pool:
        """So many base draws of this car, kept: a hidden car is drawn from a number of its own."""
        if count not in self._pools:
            self._pools[count] = Pool(self.plant, self.car, count, self.sizing, self.points)
        return self._pools[count]

    def own_shares(self) -> dict[int, float]:
        """How often draws of this car meet each sizing condition, by cause index."""
        return {at: self.pool.share(at) for at in sorted(self.sizing)}

    def sizing_shares(self, usual: Mapping[int, float]) -> Sizing:
        """How often draws meet each sizing condition, for this car and, as ``usual``, for an unknown one."""
        indices = sorted(self.sizing)
        return Sizing(
            {at: (self.pool.share(at), usual[at]) for at in indices},
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

    def dullness(self, count: int) -> Floats:
        """How dull teller and car are in the first draws, standard normal: (count,). See ``sights``."""
        return self._dullness[:count]

    @cached_property
    def _dullness(self) -> Floats:
        return inverse_normal(uniform_column("dullness", self.count))

    def predict(self, groups: Sequence[Group], asked: Sequence[Asked], count: int) -> Floats:
        """True values shown in the first draws of every set of causes: (sets, count, len(asked))."""
        whole = tuple(groups)
        wanted: dict[Frozen, set[str]] = {}
        for one in asked:
            wanted.setdefault(one.settings, set()).update(self._with(one))
        result = np.empty((len(groups), count, len(asked)))
        for at, one in enumerate(asked):
            result[:, :, at] = self._stacked(whole, one, wanted[one.settings], count)
        return result

    def _with(self, asked: Asked) -> set[str]:
        """The quantity and all that the book asks for beside it; how the engine runs only when it is asked for."""
        together = self._together.get(asked.settings, set())
        engine = asked.quantity in RUNNING
        return {asked.quantity, *(name for name in together if engine or name not in RUNNING)}

    @cached_property
    def place_of(self) -> dict[int, int]:
        """Where each physical cause stands in ``predict_lone``; the healthy car is the first."""
        return {int(at): row for row, at in enumerate(np.flatnonzero(self.physical), 1)}

    def predict_lone(self, quantity: str, settings: Frozen, count: int) -> Floats:
        """True values for the healthy car and every single physical cause, nothing changed yet: (1 + causes, count)."""
        key = quantity, settings, count
        found = self._lone.get(key)
        if found is None:
            groups: list[Group] = [(), *(lone(at) for at in self.place_of)]
            found = self._lone[key] = self.predict(groups, [Asked(quantity, settings, (), 0)], count)[..., 0]
        return found

    def told_lone(self, sign: Sign, count: int) -> Floats:
        """P(a sign that the physics decides is told), as ``predict_lone``: (1 + causes, count)."""
        values = {
            (point, name): self.predict_lone(name, self.frozen_settings(point, {}), count)
            for point, name in needs(sign)
        }
        groups: list[Group] = [(), *(lone(at) for at in self.place_of)]
        return told_chance(sign, values, self.targets(groups, count), self.dullness(count))

    def _stacked(self, groups: tuple[Group, ...], asked: Asked, quantities: set[str], count: int) -> Floats:
        """One quantity for many sets, kept: the same sets are asked for after every entry: (sets, count)."""
        found = self._stacks.get((groups, asked, count))
        if found is None:
            keys = [self.key(group, asked) for group in groups]
            if len(self._cache) > MOST_PREDICTIONS:
                self._cache.clear()
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
        """Parameters of every set: (sets, n) where they differ between sets, else (n,).

        The last ones stay: what is told of several conditions is predicted for the same sets at each of them.
        """
        wanted = redraws, tuple(keys), part.start, part.stop
        if wanted not in self._built:
            self._built.clear()
            self._built[wanted] = self._build(redraws, keys, part)
        return self._built[wanted]

    def _build(self, redraws: Redraws, keys: Sequence[Key], part: slice) -> dict[str, Floats]:
        base = self.pool.draws(redraws)
        sizings = sorted({key[1] for key in keys}, key=sorted)
        self.pool.prepare(sizings, part.stop)
        shape = (len(keys), part.stop - part.start)
        result: dict[str, Floats] = {}
        for name, values in base.items():
            if name in self.pool.constant(redraws):
                result[name] = values[0, :1]
                continue
            taken = {s: self.pool.taken(name, self.pool.places(name, s, part.stop)[part], redraws) for s in sizings}
            result[name] = taken[sizings[0]] if len(sizings) == 1 else np.stack([taken[key[1]] for key in keys])
        result = within_travel(result)
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

    def chosen(self, name: str, group: Group, count: int) -> Ints:
        """The base draws from which the first cars of a set of causes take a parameter: (count,)."""
        sizing = frozenset(at for at, _ in group if at in self.sizing)
        return self.pool.places(name, sizing, count)

    def kept(self, told: object) -> dict[tuple[Group, int], Floats]:
        """A place for what was worked out of sets and numbers of draws from these very readings; the last few stay."""
        found = self._kept.pop(told, None)
        if found is None:
            found = {}
            if len(self._kept) >= MOST_KEPT:
                del self._kept[next(iter(self._kept))]
        self._kept[told] = found
        return found

    def targets(self, groups: Sequence[Group], count: int) -> Floats:
        """The wanted pressure in the first draws that belong to each set of causes: (sets, count)."""
        key = tuple(groups), count
        if key not in self._targets:
            if len(self._targets) >= MOST_STACKS:
                self._targets.clear()
            self._targets[key] = np.stack([self._target(g, count) for g in groups])
        return self._targets[key]

    def _target(self, group: Group, count: int) -> Floats:
        sizing = frozenset(at for at, _ in group if at in self.sizing)
        return self.pool.targets(sizing, count)


def _asked_together(book: RuleBook) -> dict[Frozen, set[str]]:
    """All quantities that the book asks for at a condition: one solution gives them all."""
    result: dict[Frozen, set[str]] = {}
    asked = [(y.at, {y.reading}) for check in book.checks.values() for y in check.yields if y.reading]
    asked += [(point, {quantity}) for sign in book.signs.values() for point, quantity in needs(sign)]
    for point, names in asked:
        if point in book.points:
            result.setdefault(tuple(sorted(book.points[point].settings.items())), set()).update(names)
    return result


def lone(at: int) -> Group:
    """The set of one cause that was never cured."""
    return ((at, NEVER),)
