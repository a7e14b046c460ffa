"""Speed of the fuel-system model beside a trusted root finder, one run, the same imagined cars."""

from __future__ import annotations

import importlib.util
import math
import time
from collections.abc import Callable

import numpy as np

from diag.evaluation.bench import Row
from diag.fuelsystem.balance import evaluate, highest_rise
from diag.fuelsystem.car import Car
from diag.fuelsystem.circuit import build
from diag.fuelsystem.draws import draw
from diag.fuelsystem.points import condition
from diag.fuelsystem.solve import complete, solve

CARS = 30720  # 60 hypotheses of 512 draws
SAMPLE = 30
SETTINGS = {"engine": "off", "hose": "off"}
QUANTITY = "true rail pressure"


def solver() -> list[Row]:
    """Microseconds a car: ours over all cars at once, the library's root finder car by car on the same equations."""
    cars = {name: column.copy() for name, column in draw(Car({}), CARS).items()}
    ours = min(_seconds(lambda: solve(cars, SETTINGS, (QUANTITY,))) for _ in range(3)) / CARS
    name = f"rail pressure of one car, {CARS} at once"
    if importlib.util.find_spec("scipy") is None:
        return [Row(name, 1e6 * ours, math.nan, "us", "SciPy is not installed")]
    picked = np.linspace(0, CARS - 1, SAMPLE).astype(int)
    theirs, gap = _root_finder(cars, picked, solve(cars, SETTINGS, (QUANTITY,))[QUANTITY][picked])
    return [
        Row(
            name,
            1e6 * ours,
            1e6 * theirs,
            "us",
            f"scipy.optimize.brentq, {SAMPLE} cars, {theirs / ours:.0f} times slower",
        ),
        Row("largest difference between the two, as a share of the pressure", gap, math.nan, ""),
    ]


def _root_finder(cars: dict[str, np.ndarray], picked: np.ndarray, ours: np.ndarray) -> tuple[float, float]:
    # a peer to measure against, which the program itself does not need
    from scipy import optimize

    at = condition(SETTINGS)
    problems = []
    for car in picked:
        one = {name: np.asarray(column[car]) for name, column in cars.items()}
        problems.append({k: np.asarray(v) for k, v in build(complete(one), at).coefficients.items()})
    found: list[float] = []

    def all_cars() -> None:
        for c in problems:

            def surplus(rise: float, c: dict[str, np.ndarray] = c) -> float:
                return float(evaluate(c, np.asarray(rise)).residual)

            top = float(highest_rise(c))
            rise = 0.0
            if top > 0.0 and surplus(top) > 0.0 > surplus(0.0):
                rise = optimize.brentq(surplus, 0.0, top, xtol=1e-3)
            found.append(float(evaluate(c, np.asarray(rise)).rail))

    spent = _seconds(all_cars) / len(problems)
    gap = np.abs(np.array(found) - ours) / np.maximum(np.abs(ours), 1.0)
    return spent, float(gap.max())


def _seconds(work: Callable[[], object]) -> float:
    begin = time.perf_counter()
    work()
    return time.perf_counter() - begin
