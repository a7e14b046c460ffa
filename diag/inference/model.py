"""The rule book and one car, compiled once into arrays; belief and prediction are functions of it and the evidence."""

from __future__ import annotations

from collections import deque
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np

from diag.inference.evidence import Evidence
from diag.inference.fault_sets import Floats
from diag.inference.fleeting import met, momentary, named_fleeting, rest_of
from diag.inference.kept import shelf_of
from diag.inference.noisy_or import WordTables, compile_words, stranger_chances, told_first
from diag.inference.of_book import BookNumbers, numbers_of
from diag.inference.prior import Prior, Sizing, prior_of, usual_contexts
from diag.inference.readings.plant import FuelSystemPlant, Plant
from diag.inference.readings.predictor import FELT_DRAWS, Physics, default_plant
from diag.rulebook.carfacts import contexts_of
from diag.rulebook.derived import derived
from diag.rulebook.model import RuleBook
from diag.support.shelf import Place

if TYPE_CHECKING:
    from diag.fuelsystem.car import Car


@dataclass(frozen=True)
class Model:
    """What belief needs. The arrays never change; ``physics`` remembers predictions it has made for this car."""

    book: RuleBook
    car: Car
    causes: tuple[str, ...]  # ids in the book's order: the C of every array
    index: Mapping[str, int]
    words: WordTables
    draws: int
    plant: Plant | None
    car_contexts: Mapping[str, bool] = field(default_factory=dict)
    # Predictions that go with the last few beliefs, see diag.inference.predictive; an outlook holds its belief.
    outlooks: deque[object] = field(default_factory=lambda: deque(maxlen=4), repr=False, compare=False)

    @cached_property
    def place(self) -> Place:
        """Where the outcomes that go with these predictions are kept."""
        return shelf_of(self.book).place()

    @cached_property
    def physics(self) -> Physics | None:
        """The fuel-system side, built when first needed; None for a book without physical causes or readings."""
        if self.plant is None:
            return None
        return Physics(self.book, self.car, self.causes, self.draws, self.plant)

    def words_for(self, evidence: Evidence) -> WordTables:
        """The book's words as this job's car is met: see ``diag.inference.fleeting``."""
        named = named_fleeting(self.book, evidence)
        if not named:
            return self.words
        if named not in self._met:
            rest = rest_of(self.book, self.causes, named)
            self._met[named] = met(self.words, self.momentary, rest)
        return self._met[named]

    @cached_property
    def _met(self) -> dict[frozenset[str], WordTables]:
        return {}

    @cached_property
    def momentary(self) -> frozenset[str]:
        """Signs that only say how it is at this moment."""
        return momentary(self.book)

    @cached_property
    def sizing(self) -> Sizing:
        """How often draws meet the sizing conditions, for this car and for an unknown one."""
        if self.physics is None or not self.physics.sizing:
            return Sizing()
        numbers = self._numbers
        usual = numbers.unknown(self.draws, lambda: numbers.anybody(lambda: self._anybody()).own_shares())
        return self.physics.sizing_shares(usual)

    @cached_property
    def shares(self) -> Floats:
        """How often each cause is met, as shares of one: (C,)."""
        odds = np.array([c.how_often.share for c in self.book.causes.values()])
        return np.asarray(odds / odds.sum())

    @cached_property
    def stranger_chances(self) -> Floats:
        """The chance of every node when the cause is not in the book: (n,)."""
        return stranger_chances(self.words, self.shares)

    @property
    def _numbers(self) -> BookNumbers:
        """What is known of the book alone; with a plant of its own a model keeps that for itself."""
        shared = self.plant is None or isinstance(self.plant, FuelSystemPlant)
        return numbers_of(self.book) if shared else self._own

    @cached_property
    def _own(self) -> BookNumbers:
        return BookNumbers()

    def told_first(self, sign: str) -> tuple[Floats, float]:
        """What the number of its other symptoms takes from each cause when a job begins with this complaint.

        Counted on an unknown car: what else there was to complain of differs little from car to car.
        """
        return self._numbers.first(sign, lambda: self._told_first(sign))

    def _told_first(self, sign: str) -> tuple[Floats, float]:
        symptoms = [s.id for s in self.book.signs.values() if s.symptom]
        return told_first(self.words, symptoms, self.shares, sign, self._felt(sign))

    def _felt(self, first: str) -> Floats | None:
        """What else is felt of every cause alone and of the sound car, as far as the physics decides: (k, C + 1, n)."""
        others = [s for s in self.book.signs.values() if s.symptom and s.conditions and s.id != first]
        if not others or self.plant is None:
            return None
        anybody = self._numbers.anybody(lambda: self._anybody())
        place = anybody.place_of
        rows = [*(place.get(at, 0) for at in range(len(self.causes))), 0]
        return np.stack([anybody.told_lone(sign, min(FELT_DRAWS, anybody.draws))[rows] for sign in others])

    def _anybody(self) -> Physics:
        assert self.plant is not None
        draws = max(self.draws // 2, 1)
        return Physics(self.book, self.plant.unknown_car(), self.causes, draws, self.plant)

    def prior(self, told: Mapping[str, bool]) -> Prior:
        """The prior over sets in these contexts, before any complaint."""
        contexts = self.contexts(told)

        def made() -> Prior:
            return prior_of(self.book.causes, self.book.knobs, contexts, self.sizing, usual_contexts(self.book))

        return self.place.made(("prior", tuple(sorted(contexts.items()))), made, lambda _: 40 * len(self.causes))

    def contexts(self, told: Mapping[str, bool]) -> Mapping[str, bool]:
        """What follows from the car, then what was told."""
        return {**self.car_contexts, **told}


def compile_model(book: RuleBook, car: Car, draws: int = 512, plant: Plant | None = None) -> Model:
    """Compile a book for one car.

    Args:
        draws: parameter sets per hypothesis for readings.
        plant: where draws and predictions come from; by default the fuel-system model.
    """
    causes = tuple(book.causes)
    wanted = bool(book.readings) and any(c.is_physical for c in book.causes.values())
    used = (plant or default_plant()) if wanted else None
    return Model(
        book,
        car,
        causes,
        {cause: at for at, cause in enumerate(causes)},
        derived(book, compile_words),
        draws,
        used,
        contexts_of(book.contexts.values(), car.values),
    )
