"""Mixture, trim, misfire and torque, held against the square-root law, stoichiometry and textbook curves.

Sources stand beside each check: injector catalogues state flow at 3 bar and every trade calculator uses the square
root of the pressure ratio; air over fuel by mass follows from the formulae (computed); Heywood, Internal Combustion
Engine Fundamentals, for torque and misfire against mixture, from memory.
"""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
import pytest

from diag.fuelsystem.car import Car
from diag.fuelsystem.constants import PSI
from diag.fuelsystem.draws import draw, healthy_middle
from diag.fuelsystem.fluids import FUELS
from diag.fuelsystem.mixture import BEST_LAMBDA, _failing, _torque_of
from diag.fuelsystem.solve import solve

IDLE = {"engine": "idle", "hose": "on"}
IDLE_OFF = {"engine": "idle", "hose": "off"}
CRUISE = {"engine": "cruise", "hose": "on"}
FULL = {"engine": "full load", "hose": "on"}
LOW = {**FULL, "rpm": "low"}
SNAP = {"engine": "snap", "hose": "on"}
HOT = {**FULL, "heat": "hot"}
CARS = draw(Car({}), 128)
ALL = ("mixture error", "mixture before trim", "mixture shown", "fuel trim", "misfire share", "torque share")


def middle(at: Mapping[str, str | float], quantity: str, **changed: float) -> float:
    """One figure of a car in the middle of everything, with some parameters changed (underscores for blanks)."""
    car = dict(healthy_middle(Car({}))) | {name.replace("_", " "): value for name, value in changed.items()}
    return float(solve(car, at, [quantity])[quantity])


def test_fuel_follows_the_root_of_the_pressure_across_the_injectors() -> None:
    """Square-root law: at 58 psi instead of 43.5 an injector gives sqrt(58/43.5) = 1.155 times as much."""
    tight = {"injector leak": 0.0, "fuelling": 1.0, "idle fuelling": 1.0}
    car = dict(healthy_middle(Car({}))) | tight
    for more in (-15 * PSI, 0.0, 14.5 * PSI):
        moved = car | {"set pressure": car["set pressure"] + more}
        found = solve(moved, IDLE, ["mixture before trim", "injector pressure difference"])
        expected = np.sqrt(found["injector pressure difference"] / car["target pressure"])
        assert 1.0 + found["mixture before trim"] == pytest.approx(expected, rel=1e-6)
    assert np.sqrt(58.0 / 43.5) == pytest.approx(1.155, abs=5e-4)


def test_idle_without_the_hose_is_rich_by_the_vacuum_it_misses() -> None:
    """43.5 psi and 18 inHg (8.84 psi): sqrt((43.5 + 8.84) / 43.5) is 9.7 % too much fuel, and trims take it back."""
    loose = middle(IDLE_OFF, "mixture before trim", target_pressure=43.5 * PSI, set_pressure=42.5 * PSI,
                   idle_vacuum=8.84 * PSI)  # fmt: skip
    assert loose == pytest.approx(np.sqrt((43.5 + 8.84) / 43.5) - 1.0, abs=0.02)
    assert middle(IDLE_OFF, "fuel trim") < -0.05
    assert abs(middle(IDLE_OFF, "mixture error")) < 0.01


def test_a_pressure_short_by_a_quarter_asks_for_fifteen_per_cent_more() -> None:
    """2.25 bar instead of 3: 1 / sqrt(0.75) - 1 = 15.5 %, shown as trim where the control has the authority."""
    trim = middle(CRUISE, "fuel trim", target_pressure=3e5, set_pressure=2.18e5, trim_authority=0.25)
    assert trim == pytest.approx(1 / np.sqrt(0.75) - 1, abs=0.03)


def test_full_load_is_open_loop_and_keeps_the_error() -> None:
    """The same low pressure is trimmed away at cruise and stays at full load (rule of the module, judgement)."""
    low = {"set_pressure": 2.3e5, "target_pressure": 3e5}
    assert abs(middle(CRUISE, "mixture error", **low)) < 0.01
    assert middle(LOW, "mixture error", **low) < -0.08
    assert middle(LOW, "fuel trim", **low) == 0.0


def test_beyond_its_authority_the_control_gives_up() -> None:
    """A trim never exceeds the authority; what is left shows as mixture."""
    rich = {"fuelling": 1.6, "trim_authority": 0.2}
    assert middle(IDLE, "fuel trim", **rich) == pytest.approx(1 / 1.2 - 1.0)
    assert middle(IDLE, "mixture error", **rich) == pytest.approx(1.6 / 1.2 - 1.0, abs=0.05)
    assert middle(IDLE, "fuel trim", fuelling=1.6, trim_authority=0.0) == 0.0


@pytest.mark.parametrize(("fuel", "volume"), [("E85", 1.412), ("ethanol", 1.522), ("methanol", 2.112)])
def test_another_fuel_needs_the_volume_that_stoichiometry_says(fuel: str, volume: float) -> None:
    """Air over fuel by mass from the formulae and densities: the volume ratio against petrol, to 1 %."""
    petrol, other = FUELS["petrol"], FUELS[fuel]
    ratio = petrol.stoichiometric * 745.0 / (other.stoichiometric * (786.0 if fuel == "E85" else other.density))
    assert ratio == pytest.approx(volume, rel=0.02)
    assert middle(LOW, "mixture error", fuelling=1.0 / volume) == pytest.approx(1.0 / volume - 1.0, abs=0.03)


def test_torque_against_lambda_like_the_textbook() -> None:
    """Heywood, mean effective pressure against mixture (from memory): about 3 % less at 1, 10 % at 1.1, 22 % at 1.2."""
    for lam, share, within in ((1.0, 0.97, 0.02), (1.1, 0.90, 0.03), (1.2, 0.78, 0.05), (0.7, 0.93, 0.03)):
        assert _torque_of(np.asarray(lam)) == pytest.approx(share, abs=within)
    assert _torque_of(np.asarray(BEST_LAMBDA)) == 1.0


def test_misfire_limits_like_the_textbook() -> None:
    """Heywood, lean limits of engines (from memory): sound at 1.2, in trouble from about 1.3, dead at 1.6."""
    one = np.asarray(1.0)
    assert _failing(1.0 / np.asarray(1.2), one) < 0.03
    assert 0.05 < _failing(1.0 / np.asarray(1.32), one) < 0.5
    assert _failing(1.0 / np.asarray(1.6), one) > 0.95
    assert _failing(1.0 / np.asarray(0.7), one) < 0.01


def test_lost_sparks_read_lean_and_make_the_control_rich() -> None:
    """Unburnt oxygen passes the sensor: a display shows lean, the fuel is right (fault tables of the trade)."""
    assert middle(FULL, "mixture shown", load_spark_loss=0.2) < -0.15
    assert abs(middle(FULL, "mixture error", load_spark_loss=0.2)) < 0.05
    assert middle(IDLE, "mixture error", idle_spark_loss=0.1) > 0.05
    assert middle(IDLE, "fuel trim", idle_spark_loss=0.1) > 0.05


def test_a_sound_car_runs_as_it_should() -> None:
    """Nine sound cars of ten are within a tenth of the right mixture everywhere, lose no firing and no torque."""
    for at in (IDLE, CRUISE, FULL, LOW, SNAP, HOT):
        found = solve(CARS, at, ALL)
        assert np.quantile(np.abs(found["mixture error"]), 0.9) < 0.1, at
        assert np.quantile(found["misfire share"], 0.95) < 0.01, at
        assert np.quantile(found["torque share"], 0.05) > 0.95, at


@pytest.mark.parametrize(
    ("parameter", "values"),
    [
        ("pump flow factor", (1.0, 0.7, 0.4, 0.1)),
        ("filter restriction", (1.0, 20.0, 200.0, 2000.0)),
        ("feed restriction hole", (0.05, 2.5e-3, 1.5e-3, 0.8e-3)),
        ("contact resistance", (0.01, 0.2, 0.6, 2.0)),
        ("pump inlet restriction", (0.0, 0.7, 0.9, 0.99)),
        ("vapour at pump inlet", (0.0, 0.3, 0.6, 0.95)),
        ("fuel temperature", (295.0, 315.0, 325.0, 335.0)),
        ("tank vent restriction", (0.0, 0.5, 1.0)),
        ("pump hot slowing", (0.0, 0.3, 0.7)),
        ("pump duty", (1.0, 0.7, 0.4)),
    ],
)
def test_less_supply_never_makes_it_richer(parameter: str, values: tuple[float, ...]) -> None:
    """Property: starving the rail leans every car at every condition, by more than solver noise never the other way."""
    for at in (IDLE, CRUISE, LOW, FULL, HOT):
        runs = [solve({**CARS, parameter: np.full(128, v)}, at, ["mixture before trim"], 1e-3) for v in values]
        steps = np.diff(np.stack([r["mixture before trim"] for r in runs]), axis=0)
        # a valve with friction or a wide-open return can give back 0.3 psi, half a per cent of fuel
        assert steps.max() < 5e-3, at


@pytest.mark.parametrize("parameter", ["load spark loss", "power loss", "burning loss", "injection loss"])
def test_more_loss_never_gives_more_torque(parameter: str) -> None:
    """Property: lost firings and lost air only take away."""
    runs = [solve({**CARS, parameter: np.full(128, v)}, FULL, ["torque share"]) for v in (0.0, 0.1, 0.3, 0.8)]
    assert np.diff(np.stack([r["torque share"] for r in runs]), axis=0).max() <= 1e-12


@pytest.mark.parametrize("parameter", ["diaphragm leak", "damper leak", "extra injector leak", "injector leak"])
def test_fuel_leaking_into_the_manifold_never_leans(parameter: str) -> None:
    """Property: what leaks into the engine is rich at idle first, for idle takes least."""
    runs = [solve({**CARS, parameter: np.full(128, v)}, IDLE, ["mixture before trim"]) for v in (4e-12, 1e-9, 1e-8)]
    assert np.diff(np.stack([r["mixture before trim"] for r in runs]), axis=0).min() > -1e-9
    rich = {parameter.replace(" ", "_"): 1e-8}
    assert middle(IDLE, "mixture before trim", **rich) > 3 * middle(LOW, "mixture before trim", **rich)


def test_a_late_reference_leans_the_snap_and_not_the_pull() -> None:
    """Hose and diaphragm that lag leave idle pressure for a moment: 35 instead of 43.5 psi is 10 % less fuel."""
    late = {"reference_lag": 3.0, "target_pressure": 43.5 * PSI, "set_pressure": 42.5 * PSI}
    assert middle(SNAP, "mixture error", **late) == pytest.approx(np.sqrt(35.5 / 43.5) - 1, abs=0.03)
    assert middle({**FULL, "minutes": 0.5}, "mixture error", **late) > -0.02
    assert middle(SNAP, "mixture error") > -0.03


def test_an_empty_pot_and_a_closed_tank_come_with_time() -> None:
    """Good for seconds and then gone; good cold and gone after an hour with a blocked vent, cured by the cap."""
    pot = {"seconds_of_full_load": 10.0}
    assert middle(FULL, "torque share", **pot) > 0.95
    assert middle({**FULL, "minutes": 0.34}, "torque share", **pot) < 0.5
    vent = {"tank_vent_restriction": 1.0, "pump_inlet_restriction": 0.6, "fuel_temperature": 303.0}
    closed = middle(HOT, "torque share", **vent)
    assert middle(FULL, "torque share", **vent) > 0.9
    assert closed < 0.6
    assert middle({**HOT, "tank cap": "open"}, "torque share", **vent) > closed + 0.3
