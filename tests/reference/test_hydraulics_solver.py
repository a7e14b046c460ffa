"""The vectorised solver against a trusted root finder on equations written out anew, one car at a time."""

from __future__ import annotations

import math
import time

import numpy as np
import pytest

from diag.fuelsystem.balance import evaluate, highest_rise
from diag.fuelsystem.circuit import build
from diag.fuelsystem.points import condition
from diag.fuelsystem.solve import complete, solve
from tests.fuelsystem.cars import SETTINGS, broken_cars

optimize = pytest.importorskip("scipy.optimize")
friction = pytest.importorskip("fluids.friction")

PLAIN = [s for s in SETTINGS if s.get("pump") != "off"]


def one_car_rail_pressure(k: dict[str, float]) -> float:
    """True rail pressure of one car, Pa: scipy.optimize.brentq on the pump's rise. The friction factor is the
    library's, and the valve is written as flow through an area instead of as three limits."""

    def line(flow: float, side: str) -> float:
        if flow <= 0.0:
            return 0.0
        re = max(k[f"{side}_reynolds"] * flow, 1e-3)
        f = friction.Churchill_1977(Re=re, eD=k[f"{side}_rough"])
        return (k[f"{side}_square"] + k[f"{side}_friction"] * f) * flow * flow

    def supply(rise: float) -> tuple[float, float]:
        pump = min(k["q0"] - k["q1"] * rise, k["q_limit"])
        pump = max(pump - k["relief_slope"] * max(rise - k["relief_at"], 0.0), 0.0)
        outlet = k["tank"] + rise
        feed = pump - k["hose_leak"] * math.sqrt(rise) - k["second_slope"] * max(outlet - k["second_at"], 0.0)
        rail = outlet - line(feed, "feed") - k["feed_linear"] * max(feed, 0.0)
        return feed, min(rail, k["dead_at"])

    def taken(rail: float) -> float:
        return (
            k["injectors"] * math.sqrt(max(rail - k["manifold"], 0.0))
            + k["outside"] * math.sqrt(max(rail, 0.0))
            + k["diaphragm_leak"] * math.sqrt(max(rail - k["reference"], 0.0))
        )

    def valve_flow(rail: float, flow: float) -> float:
        back = k["outlet"] + line(flow, "return")
        lift = (rail * k["area_rail"] + back * k["area_return"] - k["force"]) / k["spring"]
        lift = min(max(lift, k["lift_low"]), k["lift_high"])
        return (k["valve"] * lift + k["leak"]) * math.sqrt(max(rail - back, 0.0))

    def surplus(rise: float) -> float:
        feed, rail = supply(rise)
        left = feed - taken(rail)
        return valve_flow(rail, left) - left

    top = min(max(k["q0"], 0.0) / k["q1"], k["relief_at"] + max(min(k["q0"], k["q_limit"]), 0.0) / k["relief_slope"])
    if top <= 0.0 or surplus(0.0) >= 0.0:
        return max(supply(0.0)[1], 0.0)
    rise = optimize.brentq(surplus, 0.0, top, xtol=1e-6, rtol=1e-14, maxiter=500)
    return max(supply(rise)[1], 0.0)


def coefficients_of(cars, settings, i):
    built = build(complete({name: column[i] for name, column in cars.items()}), condition(settings))
    return {name: float(value) for name, value in built.coefficients.items()}


@pytest.mark.parametrize("settings", PLAIN, ids=lambda s: " ".join(str(v) for v in s.values()))
def test_each_car_agrees_with_the_root_finder(settings):
    """Source: scipy.optimize.brentq; 12 broken cars a setting agree to 1e-6 of the pressure."""
    cars = broken_cars(512, seed=5, faults=2)
    ours = solve(cars, settings, ("true rail pressure",))["true rail pressure"]
    for i in range(0, 512, 45):
        theirs = one_car_rail_pressure(coefficients_of(cars, settings, i))
        assert ours[i] == pytest.approx(theirs, rel=1e-6, abs=0.05), f"car {i}"


def test_a_single_car_agrees_with_the_same_car_among_many():
    """A scalar call gives what the array call gives, to 1e-9."""
    cars = broken_cars(256, seed=2)
    many = solve(cars, {"hose": "off"}, ("true rail pressure",))["true rail pressure"]
    for i in range(0, 256, 23):
        alone = solve({n: c[i] for n, c in cars.items()}, {"hose": "off"}, ("true rail pressure",))
        assert float(alone["true rail pressure"]) == pytest.approx(many[i], rel=1e-9, abs=1e-2)


def test_at_least_a_hundred_times_faster_than_the_root_finder_per_car():
    """Source: scipy.optimize.brentq called per car on the model's own equations; one run side by side, same cars.

    The equations written out in plain Python (above) are timed too and printed, since they are the fastest way to
    feed that root finder.
    """
    cars = broken_cars(30720, seed=1)
    settings = {"engine": "off", "hose": "off"}
    ours = min(_seconds(lambda: solve(cars, settings, ("true rail pressure",))) for _ in range(2)) / 30720
    sample = [coefficients_of(cars, settings, i) for i in range(0, 30720, 1024)]
    arrays = [{name: np.asarray(value) for name, value in k.items()} for k in sample]

    def per_car() -> None:
        for c in arrays:
            top = float(highest_rise(c))
            if top > 0.0 and float(evaluate(c, np.asarray(top)).residual) > 0.0 > float(
                evaluate(c, np.asarray(0.0)).residual
            ):
                optimize.brentq(lambda x, c=c: float(evaluate(c, np.asarray(x)).residual), 0.0, top, xtol=1e-3)

    theirs = _seconds(per_car) / len(sample)
    plain = _seconds(lambda: [one_car_rail_pressure(k) for k in sample]) / len(sample)
    print(f"a car: {ours * 1e6:.2f} us here, root finder {theirs * 1e6:.0f} us, on plain Python {plain * 1e6:.0f} us")
    assert theirs > 100.0 * ours


def _seconds(work) -> float:
    begin = time.process_time()  # what other programs do meanwhile does not count
    work()
    return time.process_time() - begin
