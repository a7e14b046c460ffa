"""Gauges and sensors between the fuel and the eye."""

from __future__ import annotations

import pytest

from diag.design.instruments import mix_ups
from diag.fuelsystem.constants import BAR, PSI, SEA_LEVEL
from diag.fuelsystem.instruments import GRADES, grade_limit
from diag.fuelsystem.solve import solve

BASE = {"engine": "off", "hose": "off"}


def shows(parameters, at=None, quantity="rail pressure"):
    """What is shown, psi."""
    return float(solve(parameters, {**BASE, **(at or {})}, (quantity,))[quantity]) / PSI


def test_zero_and_scale_act_on_the_main_gauge_only():
    """Offset and scale move the main gauge; a second gauge and the truth stay."""
    truth = shows({})
    assert shows({"gauge offset": 3 * PSI}) == pytest.approx(truth + 3)
    assert shows({"gauge scale": 1.1}) == pytest.approx(1.1 * truth)
    assert shows({"gauge offset": 3 * PSI}, {"gauge": "second"}) == pytest.approx(truth)
    assert shows({"gauge offset": 3 * PSI}, quantity="true rail pressure") == pytest.approx(truth)


def test_at_rest_the_gauge_shows_its_offset():
    """With nothing in the line the gauge shows its zero error, hot or cold."""
    rest = {"pump": "off"}
    assert shows({"gauge offset": 2 * PSI}, rest, "gauge at rest") == pytest.approx(2.0)
    assert shows({"gauge hot offset": -4 * PSI}, rest, "gauge at rest") == pytest.approx(0.0)
    assert shows({"gauge hot offset": -4 * PSI}, {**rest, "heat": "hot"}, "gauge at rest") == pytest.approx(-4.0)


def test_a_gauge_before_the_filter_reads_its_drop_too():
    """Tapped at the pump side it reads the pump outlet, which a clogged filter raises."""
    car = {"filter restriction": 15.0, "gauge sees pump side": 1.0}
    assert shows(car) - shows(car, quantity="true rail pressure") > 5.0
    assert shows(car) == pytest.approx(shows(car, quantity="pump outlet pressure"))


def test_a_blocked_snubber_shows_nothing():
    """The needle stays down whatever the rail does."""
    assert shows({"gauge stuck": 1.0}) == 0.0


def test_the_sensor_has_its_own_faults():
    """Sensor scale moves the sensor reading and not the gauge."""
    car = {"sensor scale": 2 / 3, "sensor offset": PSI}
    assert shows(car, quantity="sensor pressure") == pytest.approx(shows({}) * 2 / 3 + 1)
    assert shows(car) == pytest.approx(shows({}))
    assert shows(car, {"gauge": "sensor"}) == pytest.approx(shows(car, quantity="sensor pressure"))


def test_grades_are_tighter_in_the_middle():
    """Source: ASME B40.100 grade A 2-1-2, B 3-2-3 (B from memory), percent of span."""
    assert grade_limit("A", 100.0, 50.0) == pytest.approx(1.0)
    assert grade_limit("B", 100.0, 10.0) == pytest.approx(3.0)
    assert all(middle <= outer for outer, middle in GRADES.values())


@pytest.mark.parametrize(
    ("shown", "expected", "word"),
    [
        (3e5 + SEA_LEVEL, 3e5, "absolute"),
        (29.0 * PSI, 43.5 * PSI, "150 psi span"),
        (65.25 * PSI, 43.5 * PSI, "100 psi span"),
        (43.5 * BAR, 43.5 * PSI, "psi"),
    ],
)
def test_plain_mistakes_are_recognised(shown, expected, word):
    """Source: unit conversions and the ratiometric transfer: known ratios and offsets are named."""
    assert any(word in sentence for sentence in mix_ups(shown, expected))


def test_no_mistake_is_invented():
    """A reading on target, or off by no known ratio, is not explained away."""
    assert mix_ups(43.6 * PSI, 43.5 * PSI) == ()
    assert mix_ups(38.0 * PSI, 43.5 * PSI) == ()
