"""The drops over the pieces of the pump's feed, against Ohm's law and the copper wire table."""

from __future__ import annotations

import numpy as np
import pytest

from diag.fuelsystem.electrics import wire_resistance
from diag.fuelsystem.solve import solve
from diag.quantities import awg_area

AT = {"engine": "off", "hose": "off"}
PIECES = ("feed volt drop", "contact volt drop", "joint volt drop", "ground volt drop", "pump amps")
WIRE = 5.0
"""Metres of wire of which a hand's breadth, a tenth of a metre, is two hundredths."""


def test_each_drop_is_resistance_times_current():
    """Source: Ohm's law, and Kirchhoff's for pieces in series: their drops add up to that of the whole feed."""
    car = {"feed wire resistance": 0.03, "contact resistance": 0.11, "feed joint resistance": 0.07}
    got = solve({**car, "ground resistance": 0.02}, AT, PIECES)
    amps = float(got["pump amps"])
    assert amps > 2.0
    assert float(got["contact volt drop"]) == pytest.approx(0.11 * amps)
    assert float(got["joint volt drop"]) == pytest.approx((0.07 + 0.02 * 0.03) * amps)
    assert float(got["feed volt drop"]) == pytest.approx((0.03 + 0.11 + 0.07) * amps)
    assert float(got["ground volt drop"]) == pytest.approx(0.02 * amps)


@pytest.mark.parametrize(("gauge", "ohm_per_1000_ft"), [(12, 1.588), (16, 4.016), (18, 6.385)])
def test_a_thin_wire_loses_evenly(gauge, ohm_per_1000_ft):
    """Source: hyperphysics AWG table at 20 C; over a tenth of a metre a wire loses its ohm per metre times that."""
    car = {"feed wire resistance": wire_resistance(awg_area(gauge), WIRE), "contact resistance": 0.0}
    got = solve(car, AT, PIECES)
    hand = ohm_per_1000_ft / 304.8 * 0.1
    assert float(got["joint volt drop"]) == pytest.approx(hand * float(got["pump amps"]), rel=0.003)
    assert float(got["contact volt drop"]) == 0.0


def test_where_the_volts_are_lost_changes_nothing_for_the_pump():
    """A fifth of an ohm in the wire, at a joint or at a contact leaves the pump the same volts (Kirchhoff)."""
    whole = np.eye(3) * 0.2
    car = {"feed wire resistance": whole[0], "contact resistance": whole[1], "feed joint resistance": whole[2]}
    got = solve(car, AT, ("pump volts", "feed volt drop"))
    assert np.ptp(got["pump volts"]) < 1e-9
    assert np.ptp(got["feed volt drop"]) < 1e-9


def test_a_direct_supply_passes_by_contacts_and_joint():
    """On a lead of its own the pump does not see the bad joint and the burnt relay."""
    bad = {"contact resistance": 1.0, "feed joint resistance": 1.0}
    at = {**AT, "supply": "direct"}
    assert float(solve(bad, at, ("pump volts",))["pump volts"]) == pytest.approx(
        float(solve({}, at, ("pump volts",))["pump volts"])
    )
    assert float(solve(bad, at, ("contact volt drop",))["contact volt drop"]) == 0.0


def test_a_pump_that_binds_when_hot_gives_less_and_draws_more():
    """Source: common practice, no source: current climbs as a stiff pump fades, and cold it is like any other."""
    car = {"pump hot slowing": np.array([0.0, 0.5])}
    cold = solve(car, {**AT, "return": "opened"}, ("volume caught", "pump amps"))
    hot = solve(car, {**AT, "return": "opened", "heat": "hot"}, ("volume caught", "pump amps"))
    assert np.ptp(cold["volume caught"]) == 0.0
    assert hot["volume caught"][1] < 0.65 * hot["volume caught"][0]
    assert hot["pump amps"][1] > 1.2 * hot["pump amps"][0]
    dry = solve({"fuel temperature": 328.0, "pump inlet restriction": 0.8}, {**AT, "heat": "hot"}, ("pump amps",))
    assert float(dry["pump amps"]) < float(hot["pump amps"][0])  # vapour at the inlet unloads the motor instead
