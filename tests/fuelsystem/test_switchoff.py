"""Decay after switch-off: against an integrator, and which clamp stops which leak."""

from __future__ import annotations

import numpy as np
import pytest

from diag.fuelsystem.constants import PSI
from diag.fuelsystem.solve import solve
from diag.fuelsystem.switchoff import decay


@pytest.mark.parametrize(("leak", "shrink"), [(1e-13, 0.0), (1e-12, 15.0), (1e-11, 50.0), (1e-9, 0.0), (0.0, 200.0)])
@pytest.mark.parametrize("seconds", [60.0, 300.0, 600.0])
def test_decay_against_an_integrator(leak, shrink, seconds):
    """Source: scipy.integrate.solve_ivp on dP/dt = -leak sqrt(P)/C - shrink."""
    integrate = pytest.importorskip("scipy.integrate")
    compliance, start = 3e-12, 3e5

    def slope(_, p):
        return -leak / compliance * np.sqrt(np.maximum(p, 0.0)) - shrink * (p > 0.0)

    theirs = max(integrate.solve_ivp(slope, (0, seconds), [start], rtol=1e-8, atol=1.0, max_step=2.0).y[0, -1], 0.0)
    ours = float(decay(np.array(start), np.array(leak), np.array(compliance), np.array(shrink), seconds))
    assert ours == pytest.approx(theirs, rel=0.02, abs=1.5e3)


def held(at, **fault):
    """Pressure held five minutes after switch-off, psi."""
    settings = {"pump": "off", "engine": "off", "hose": "off", "minutes": 5.0, **at}
    return float(solve(fault, settings, ("true rail pressure",))["true rail pressure"]) / PSI


def test_a_sound_system_loses_at_most_eight_psi_in_five_minutes():
    """Source: service texts: at most 8 psi lost in 5 min, or at least 21 psi left from 34 to 40."""
    assert held({}) > 43.5 - 8.0


@pytest.mark.parametrize(
    ("fault", "stops_with", "goes_on_with"),
    [
        ("pump check valve leak", "feed", "return"),
        ("seat leak", "return", "feed"),
        ("in-tank hose leak", "feed", "return"),
    ],
)
def test_clamps_tell_the_leaks_apart(fault, stops_with, goes_on_with):
    """Source: service texts: clamp the feed and it holds: check valve; clamp the return and it holds: seat."""
    leak = {fault: 5e-9}
    assert held({}, **leak) < 2.0
    assert held({"clamp": goes_on_with}, **leak) < 2.0
    assert held({"clamp": stops_with}, **leak) > 25.0


def test_a_leaking_injector_ignores_both_clamps():
    """Source: service texts: neither clamp holds it: injectors or an outside leak."""
    assert held({"clamp": "both"}, **{"injector leak": 5e-9}) < 2.0


def test_longer_is_never_higher():
    """Pressure only falls with time, and long after switch-off nothing is left."""
    minutes = (0.0, 1.0, 2.0, 5.0, 10.0, 60.0)
    got = [held({"minutes": m}) for m in minutes]
    assert all(np.diff(got) <= 0.0)
    assert float(solve({}, {"pump": "off"}, ("true rail pressure",))["true rail pressure"]) == 0.0


def test_share_held_is_held_over_start():
    """The share is what is left over what was there when the pump stopped."""
    at = {"pump": "off", "engine": "off", "hose": "off", "minutes": 5.0}
    got = solve({}, at, ("true rail pressure", "pressure held share"))
    start = solve({}, {"engine": "off", "hose": "off"}, ("true rail pressure",))["true rail pressure"]
    assert float(got["pressure held share"]) == pytest.approx(float(got["true rail pressure"] / start), rel=1e-6)


def test_the_valve_lets_pressure_down_to_its_setting_before_the_slow_fall_begins():
    """A false high pressure of a choked return goes with the pump; clamping the return at once keeps it.

    Force balance: a valve held open by more than its setting passes fuel until the spring shuts it.
    """
    choked = {"return restriction hole": 1.5e-3, "set pressure": 3e5}
    running = solve(choked, {"pump": "on", "engine": "off", "hose": "off"}, ("true rail pressure",))
    high = float(running["true rail pressure"]) / PSI
    assert high > 55.0
    assert held({"minutes": 0.0}, **choked) == pytest.approx(3e5 / PSI, abs=0.3)
    assert held({"minutes": 0.0, "clamp": "return"}, **choked) == pytest.approx(high, abs=0.1)
    assert held({"minutes": 0.0}, **choked, **{"dead end": 1.0}) == pytest.approx(3e5 / PSI, abs=0.5)
