"""Starting: what standing costs the line, what heat does to a rail that lost its pressure, what keeps it from firing.

Published service texts want the pressure rebuilt within one or two seconds of key-on, and call the pump's check valve
the reason for a long first crank (service texts of 1985 to 2002).
"""

from __future__ import annotations

import numpy as np
import pytest

from diag.fuelsystem.car import Car
from diag.fuelsystem.draws import draw
from diag.fuelsystem.fluids import vapour_pressure
from diag.fuelsystem.solve import solve
from diag.fuelsystem.starting import LONGEST

MORNING = {"engine": "cranking", "hose": "on", "minutes": 600.0}
HOT = {"engine": "cranking", "hose": "on", "heat": "hot", "minutes": 20.0}
CARS = draw(Car({}), 256)


def seconds(at: dict[str, str | float], **changed: float) -> np.ndarray:
    """Seconds of cranking of every sound car with some parameters changed."""
    cars = {**CARS, **{name.replace("_", " "): np.full(256, value) for name, value in changed.items()}}
    return solve(cars, at, ["starting seconds"])["starting seconds"]


def test_a_sound_car_starts_in_two_seconds_cold_and_hot() -> None:
    """Service texts: pressure within one to two seconds."""
    assert np.quantile(seconds(MORNING), 0.98) < 2.0
    assert np.quantile(seconds(HOT), 0.95) < 2.0


def test_a_check_valve_that_leaks_empties_the_line_over_night() -> None:
    """A line of 4 m of 7.9 mm holds 0.2 L; at 60 mL/s that is some three seconds of cranking."""
    assert np.median(seconds(MORNING, pump_check_valve_leak=6e-9)) == pytest.approx(3.5, abs=1.5)
    assert np.median(seconds({**MORNING, "minutes": 5.0}, pump_check_valve_leak=6e-9)) < 1.5


@pytest.mark.parametrize("leak", ["pump check valve leak", "seat leak", "injector leak"])
def test_hot_fuel_boils_in_a_rail_that_holds_nothing(leak: str) -> None:
    """At 75 C petrol of 62 kPa Reid has about 1.7 bar vapour pressure: below that the rail fills with vapour."""
    assert float(vapour_pressure(6.2e4, 348.15)) == pytest.approx(1.7e5, rel=0.1)
    warm = {"hot_rail_temperature": 348.15}
    assert np.median(seconds(HOT, **warm)) < 1.5
    assert np.median(seconds(HOT, **warm, **{leak.replace(" ", "_"): 3e-9})) > 3.0


def test_no_fuel_no_spark_no_pulse_no_start() -> None:
    """Each by itself keeps the engine from running, and so does a flood."""
    for fault in ({"pump_supply": 0.0}, {"cranking_spark_loss": 1.0}, {"injection_loss": 1.0},
                  {"cranking_fuelling": 10.0}, {"cranking_supply": 0.0}):  # fmt: skip
        assert np.median(seconds(MORNING, **fault)) == LONGEST, fault


@pytest.mark.parametrize(
    ("parameter", "values"),
    [
        ("pump check valve leak", (3e-12, 1e-10, 1e-9, 1e-8)),
        ("pump flow factor", (1.0, 0.6, 0.3, 0.05)),
        ("cranking spark loss", (0.0, 0.3, 0.8, 1.0)),
        ("battery volts", (12.6, 11.0, 10.0, 9.0)),
    ],
)
def test_worse_never_starts_sooner(parameter: str, values: tuple[float, ...]) -> None:
    """Property over many cars."""
    runs = [seconds(MORNING, **{parameter.replace(" ", "_"): v}) for v in values]
    assert np.diff(np.stack(runs), axis=0).min() > -0.05


def test_leaking_injectors_flood_the_start_and_a_leaking_valve_does_not() -> None:
    """What is lost into the engine counts, what runs back to the tank does not."""

    def flood(**changed: float) -> float:
        cars = {**CARS, **{n.replace("_", " "): np.full(256, v) for n, v in changed.items()}}
        return float(np.median(solve(cars, HOT, ["start flooding"])["start flooding"]))

    assert flood(injector_leak=1e-9) > 5 * flood()
    assert flood(pump_check_valve_leak=1e-9) < flood(injector_leak=1e-9) / 5
