"""What every gauge would show with a given set of causes, in many imagined copies of the car; kept once computed."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np

from diag.fuelsystem.draws import uniform_column
from diag.fuelsystem.normal import inverse_normal
from diag.fuelsystem.running import RUNNING
from diag.inference.fault_sets import NEVER, Floats, Ints
from diag.inference.kept import OVERHEAD, array_bytes, shelf_of
from diag.inference.prior import Sizing
from diag.inference.readings.asked_of_book import asked_together
from diag.inference.readings.car_pool import Pool
from diag.inference.readings.carried import CarriedCar, Carrier, car_name, carrier_of, packed
from diag.inference.readings.damage import applied, severity, within_travel
from diag.inference.readings.plant import FuelSystemPlant, Plant, Settings
from diag.inference.readings.predictions import Frozen, Key, Predictions, Redraws, Table, Wish
from diag.inference.readings.sights import needs, told_chance
from diag.rulebook.derived import derived
from diag.rulebook.findings import Sign
from diag.rulebook.model import RuleBook
from diag.support.errors import UnknownNameError

if TYPE_CHECKING:
    from diag.fuelsystem.car import Car

FINEST = 8  # times the stated draws for sets that lead on few effective draws; also the size of the pool
FEW_DRAWS = 32  # imagined cars per set of causes when only weighing checks
FELT_DRAWS = 16  # when only asking what else there was to complain of
MANY = 128  # beyond so many draws only what is asked is solved for, and no list of sets is kept as a whole

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


@dataclass(frozen=True, eq=False, slots=True)
class Listed:
    """Sets of causes in an order of their own; two lists are the same when they are the same object."""

    sets: tuple[Group, ...]


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
        self.place = shelf_of(book).place()
        self._together = derived(book, asked_together)
        self._severity = derived(book, _severities)
        self._predictions = Predictions(plant, self.place, self._parameters, self._from_earlier)
        self._carrier = carrier_of(book) if type(plant) is FuelSystemPlant else Carrier()
        self._carrier.worked[self._name] = self

    @property
    def pool(self) -> Pool:
        """Base draws of this car."""
        return self.pool_of(self.count)

    def pool_of(self, count: int) -> Pool:
        """So many base draws of this car, kept: a hidden car is drawn from a number of its own."""

        def pool() -> Pool:
            settled = self._earlier.settled() if self._earlier is not None and count == self.count else None
            return Pool(self.plant, self.car, count, self.sizing, self.points, self.place, settled)

        return self.place.made(("pool", count), pool, lambda made: made.bytes)

    # ------------------------------------------------------------------ from run to run

    @property
    def _name(self) -> str:
        return car_name(self.car, self.draws)

    @cached_property
    def _earlier(self) -> CarriedCar | None:
        """What an earlier run left of this car."""
        return self._carrier.fetch(self._name)

    def _from_earlier(self, settings: Frozen) -> Table | None:
        return None if self._earlier is None else self._earlier.table(settings)

    @property
    def solved(self) -> int:
        """How many imagined cars at a condition were solved here."""
        return self._predictions.solved

    @property
    def stopped(self) -> Callable[[], bool] | None:
        """Asked between two batches of solutions whether to give up, which raises ``GivenUp``; None: never."""
        return self._predictions.stopped

    @stopped.setter
    def stopped(self, stopped: Callable[[], bool] | None) -> None:
        self._predictions.stopped = stopped

    def left(self, of: str) -> Iterator[bytes]:
        """All that is known of them, from this run and from the one before, to be carried on."""
        tables = dict(self._predictions.known())
        for settings in self._earlier.conditions if self._earlier is not None else ():
            table = self._from_earlier(settings) if settings not in tables else None
            if table is not None:
                tables[settings] = table
        return packed(of, list(tables.items()), self.pool.settled)

    # ------------------------------------------------------------------ the imagined cars

    def own_shares(self) -> dict[int, float]:
        """How often draws of this car meet each sizing condition, by cause index."""
        return {at: self.pool.share(at) for at in sorted(self.sizing)}

    def sizing_shares(self, usual: Mapping[int, float]) -> Sizing:
        """How often draws meet each sizing condition, for this car and, as ``usual``, for an unknown one."""
        indices, pool = sorted(self.sizing), self.pool
        return Sizing(
            {at: (pool.share(at), usual[at]) for at in indices},
            {(i, j): pool.together(i, j) for i in indices for j in indices if i < j},
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

    def predict(self, groups: Sequence[Group] | Listed, asked: Sequence[Asked], count: int) -> Floats:
        """True values shown in the first draws of every set of causes: (sets, count, len(asked))."""
        whole = groups if isinstance(groups, Listed) else self.listed(groups)
        wanted: dict[Frozen, set[str]] = {}
        for one in asked:
            wanted.setdefault(one.settings, set()).update(self._with(one) if count <= MANY else {one.quantity})
        result = np.empty((len(asked), len(whole.sets), count))  # what is asked of one thing lies together
        wishes: dict[int, Wish] = {}
        for at, one in enumerate(asked):
            # The few draws that checks are weighed with are asked for after every entry, so they are kept as a whole.
            found = self.place.find((whole, one, count)) if count <= FEW_DRAWS else None
            if found is None:
                wishes[at] = Wish(one.settings, one.quantity, frozenset(wanted[one.settings]), self._keys(whole, one))
            else:
                result[at] = found
        tables = self._predictions.fetched(list(wishes.values()), count)
        for at, wish in wishes.items():
            table = tables[wish.settings]
            result[at] = np.stack([table[key][wish.quantity][:count] for key in wish.keys])
            if count <= FEW_DRAWS:
                self.place.keep((whole, asked[at], count), result[at].copy(), array_bytes(result[at]))
        return np.moveaxis(result, 0, -1)

    def listed(self, groups: Sequence[Group]) -> Listed:
        """These sets as a key that is quick to compare; the same ones are asked for after every entry."""
        whole = tuple(groups)
        return self.place.made(("sets", whole), lambda: Listed(whole), lambda _: OVERHEAD + 100 * len(whole))

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
        asked = Asked(quantity, settings, (), 0)
        found: Floats | None = self.place.find((self._all_lone, asked, count))
        return self.predict(self._all_lone, [asked], count)[..., 0] if found is None else found

    @cached_property
    def _all_lone(self) -> Listed:
        return Listed(((), *(lone(at) for at in self.place_of)))

    def predict_all_lone(self, asked: Sequence[tuple[str, Frozen]], count: int) -> None:
        """Have ``predict_lone`` of all these at hand: solved together they cost half."""
        self.predict(self._all_lone, [Asked(quantity, settings, (), 0) for quantity, settings in asked], count)

    def told_lone(self, sign: Sign, count: int) -> Floats:
        """P(a sign that the physics decides is told), as ``predict_lone``: (1 + causes, count)."""
        values = {
            (point, name): self.predict_lone(name, self.frozen_settings(point, {}), count)
            for point, name in needs(sign)
        }
        return told_chance(sign, values, self.targets(self._all_lone.sets, count), self.dullness(count))

    def _keys(self, groups: Listed, asked: Asked) -> list[Key]:
        def keys() -> list[Key]:
            return [self.key(group, asked) for group in groups.sets]

        return self.place.made((groups, asked.redraws, asked.stage), keys, lambda made: OVERHEAD * len(made))

    def _parameters(self, redraws: Redraws, keys: Sequence[Key], part: slice) -> dict[str, Floats]:
        """Parameters of every set: (sets, n) where they differ between sets, else (n,).

        The last ones stay: what is told of several conditions is predicted for the same sets at each of them.
        """
        wanted = redraws, tuple(keys), part.start, part.stop
        last: tuple[object, dict[str, Floats]] | None = self.place.find("parameters")
        if last is None or last[0] != wanted:
            last = wanted, self.plant.ready(self._build(redraws, keys, part))
            self.place.keep("parameters", last, sum(map(array_bytes, last[1].values())))
        return last[1]

    def _build(self, redraws: Redraws, keys: Sequence[Key], part: slice) -> dict[str, Floats]:
        pool = self.pool
        base, constant = pool.draws(redraws), pool.constant(redraws)
        sizings = sorted({key[1] for key in keys}, key=sorted)
        pool.prepare(sizings, part.stop)
        shape = (len(keys), part.stop - part.start)
        result: dict[str, Floats] = {}
        for name, values in base.items():
            if name in constant:
                result[name] = values[0, :1]
                continue
            taken = {s: pool.taken(name, pool.places(name, s, part.stop)[part], redraws) for s in sizings}
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
        cause = self.causes[at]
        key = cause.id, number, self.count
        if key not in self._severity:
            self._severity[key] = severity(cause.id, cause.acts_on[number], self.count)
        return self._severity[key]

    def chosen(self, name: str, group: Group, count: int) -> Ints:
        """The base draws from which the first cars of a set of causes take a parameter: (count,)."""
        sizing = frozenset(at for at, _ in group if at in self.sizing)
        return self.pool.places(name, sizing, count)

    def targets(self, groups: Sequence[Group], count: int) -> Floats:
        """The wanted pressure in the first draws that belong to each set of causes: (sets, count)."""

        def targets() -> Floats:
            return np.stack([self._target(group, count) for group in groups])

        if count > MANY:
            return targets()
        return self.place.made(("targets", self.listed(groups), count), targets, array_bytes)

    def _target(self, group: Group, count: int) -> Floats:
        sizing = frozenset(at for at, _ in group if at in self.sizing)
        return self.pool.targets(sizing, count)


def _severities(book: RuleBook) -> dict[tuple[str, int, int], Floats]:
    """How severe every effect is in each draw, the same for all cars: cause, number of the effect, draws to (n,)."""
    return {}


def lone(at: int) -> Group:
    """The set of one cause that was never cured."""
    return ((at, NEVER),)
