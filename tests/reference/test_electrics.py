"""Wires and pump volts against the wire-gauge table and published figures."""

from __future__ import annotations

import pytest

from diag.fuelsystem.constants import LITRE_PER_HOUR, POUND, PSI
from diag.fuelsystem.electrics import wire_resistance
from diag.fuelsystem.instruments import grade_limit, sealed_case_altitude, sealed_case_hot, sensor_reading, sensor_volts
from diag.fuelsystem.solve import solve
from diag.quantities import awg_area

OHM_PER_1000_FT = {8: 0.6282, 10: 0.9989, 12: 1.588, 14: 2.525, 16: 4.016, 18: 6.385}


@pytest.mark.parametrize("gauge", sorted(OHM_PER_1000_FT))
def test_american_wire_gauge(gauge):
    """Source: hyperphysics AWG table, ohm per 1000 ft at 20 C."""
    assert float(wire_resistance(awg_area(gauge), 304.8)) == pytest.approx(OHM_PER_1000_FT[gauge], rel=0.003)


@pytest.mark.parametrize(("gauge", "amps", "volts"), [(16, 12, 1.26), (10, 12, 0.31), (18, 20, 3.35), (12, 8, 0.33)])
def test_drop_in_an_eight_metre_loop(gauge, amps, volts):
    """Source: the same table times amperes; out and back together 8 m."""
    assert float(wire_resistance(awg_area(gauge), 8.0)) * amps == pytest.approx(volts, abs=0.006)


def test_pump_flow_follows_the_volts_of_a_published_pair():
    """Source: one published pump curve at 45 psi: 12.0 V 700 lb/h, 13.5 V 800 lb/h, that is 14 % more."""
    rated = 800 * POUND / 3600 / 740.0
    car = {
        "pump rated flow": rated,
        "pump rated pressure": 45 * PSI,
        "pump rated volts": 13.5,
        "set pressure": 30 * PSI,
        "target pressure": 30 * PSI,
        "feed wire resistance": 0.0,
        "ground resistance": 0.0,
        "contact resistance": 0.0,
        "pump relief pressure": 130 * PSI,
        "return check valve pressure": 45 * PSI,
        "filter restriction": 0.0,
        "feed bore": 0.03,
        "return bore": 0.03,
        "tank return entry bore": 0.03,
        "seat diameter": 0.012,
        "valve lift limit": 0.003,
    }
    flows = [
        float(solve(car, {"hose": "off", "battery": volts}, ("pump flow",))["pump flow"]) for volts in (12.0, 13.5)
    ]
    assert flows[1] / LITRE_PER_HOUR == pytest.approx(rated / LITRE_PER_HOUR, rel=0.02)
    assert flows[1] / flows[0] == pytest.approx(800 / 700, abs=0.02)


@pytest.mark.parametrize(("true", "built", "entered", "shown"), [(43.5, 150, 100, 29.0), (43.5, 100, 150, 65.25)])
def test_mis_scaled_sensor(true, built, entered, shown):
    """Source: ratiometric transfer P = FS (V/Vs - 0.1)/0.8; 150 psi read as 100 shows 29.0, the reverse 65.3."""
    volts = sensor_volts(true, built)
    assert float(sensor_reading(volts, entered)) == pytest.approx(shown, abs=0.01)


def test_sensor_volts():
    """Source: the same transfer: 43.5 psi is 2.240 V on a 100 psi sensor and 1.660 V on a 150 psi one."""
    assert float(sensor_volts(43.5, 100)) == pytest.approx(2.240, abs=0.001)
    assert float(sensor_volts(43.5, 150)) == pytest.approx(1.660, abs=0.001)
    assert float(sensor_reading(sensor_volts(43.5, 100, 4.8), 100, 5.0)) == pytest.approx(41.3, abs=0.05)


@pytest.mark.parametrize(
    ("grade", "span", "limit"), [("B", 100 * PSI, 2 * PSI), ("D", 100 * PSI, 5 * PSI), ("1.6", 10e5, 0.16e5)]
)
def test_gauge_grades(grade, span, limit):
    """Source: ASME B40.100 grades and EN 837-1 classes in percent of span, at 43.5 psi."""
    assert grade_limit(grade, span, 43.5 * PSI) == pytest.approx(limit)


@pytest.mark.parametrize(
    ("celsius", "at_85", "at_90"), [(0, -1.74, -2.13), (40, 1.95, 2.56), (60, 4.14, 5.67), (80, 6.63, 9.56)]
)
def test_sealed_case_when_hot(celsius, at_85, at_90):
    """Source: ideal gas over glycerine computed for 85 and 90 % fill; ASME B40.100 says hotter reads lower; psi low."""
    assert float(sealed_case_hot(celsius, 0.85)) / PSI == pytest.approx(at_85, abs=0.03)
    assert float(sealed_case_hot(celsius, 0.90)) / PSI == pytest.approx(at_90, abs=0.03)


@pytest.mark.parametrize(("metres", "psi"), [(500, 0.85), (1000, 1.7), (1500, 2.4), (2000, 3.2), (3000, 4.5)])
def test_sealed_case_carried_up(metres, psi):
    """Source: standard atmosphere (ISO 2533); psi low."""
    assert float(sealed_case_altitude(metres)) / PSI == pytest.approx(psi, abs=0.06)
