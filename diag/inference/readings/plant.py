"""Where imagined cars and their readings come from: by default the fuel-system model."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from typing import TYPE_CHECKING, Protocol

from diag.fuelsystem.car import Car
from diag.fuelsystem.draws import draw
from diag.fuelsystem.solve import complete, solve, solve_all
from diag.inference.fault_sets import Floats

if TYPE_CHECKING:
    from diag.fuelsystem.car import Car


Settings = Mapping[str, "str | float"]


class Plant(Protocol):
    """Where draws and predictions come from."""

    def draw(self, car: Car, count: int, redraws: tuple[frozenset[str], ...]) -> Mapping[str, Floats]:
        """Base draws: parameter name to (count,)."""

    def ready(self, parameters: Mapping[str, Floats]) -> dict[str, Floats]:
        """The parameters as they are solved with, looked over once for many conditions; not to be changed."""

    def solve(
        self, parameters: Mapping[str, Floats], settings: Settings, wanted: Collection[str]
    ) -> Mapping[str, Floats]:
        """Quantities at a condition, in the broadcast shape of the parameters."""

    def solve_all(
        self, questions: Sequence[tuple[Mapping[str, Floats], Settings, Collection[str]]]
    ) -> Sequence[Mapping[str, Floats]]:
        """The same for several lots of cars and conditions, together."""

    def unknown_car(self) -> Car:
        """A car of which nothing is known."""


class FuelSystemPlant:
    """The fuel-system model as a plant."""

    def draw(self, car: Car, count: int, redraws: tuple[frozenset[str], ...]) -> Mapping[str, Floats]:
        """Base draws from the priors of the car's fields."""
        return draw(car, count, (frozenset(), *redraws))  # its first epoch is the car as it came in

    def ready(self, parameters: Mapping[str, Floats]) -> dict[str, Floats]:
        """All of them, inside their limits."""
        return complete(parameters)

    def solve(
        self, parameters: Mapping[str, Floats], settings: Settings, wanted: Collection[str]
    ) -> Mapping[str, Floats]:
        """Steady state or decay at the condition."""
        return solve(parameters, settings, wanted, WITHIN)

    def solve_all(
        self, questions: Sequence[tuple[Mapping[str, Floats], Settings, Collection[str]]]
    ) -> Sequence[Mapping[str, Floats]]:
        """The same for several conditions in one solution."""
        return solve_all(questions, WITHIN)

    def unknown_car(self) -> Car:
        """No field told."""
        return Car({})


WITHIN = 20.0  # Pa, far below any gauge; draws are averaged, so solving closer buys nothing
