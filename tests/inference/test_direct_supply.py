"""Readings on a fused lead, with lamps on, and off the rail's own sensor part the wiring from the pump.

Common practice, no source: what comes back on full volts was lost in the wiring, what does not is the pump's; a sensor
whose range is entered too small shows two thirds of base pressure and of the step as well.
"""

from __future__ import annotations

from functools import cache

import pytest

import diag
from diag.fuelsystem.car import Car
from diag.rulebook.model import RuleBook


@cache
def _car() -> tuple[RuleBook, Car]:
    book = diag.open_rule_book()
    return book, diag.car(book, pump_flow="255 L/h", target_pressure="43.5 psi")


def _mean(reading: str, point: str, *causes: str) -> float:
    book, car = _car()
    return diag.predict(book, car, reading, point, causes=list(causes)).mean


def test_a_lead_brings_back_what_the_wiring_lost_and_nothing_else() -> None:
    """Delivery and full-load pressure: a corroded wire recovers wholly, a worn pump hardly, a sound car not at all."""
    for reading, wired, lead in (
        ("volume caught", "return-opened", "return-opened-direct"),
        ("rail pressure", "full-load", "full-load-direct"),
    ):
        sound = _mean(reading, wired)
        assert _mean(reading, lead) == pytest.approx(sound, rel=0.02)
        assert _mean(reading, wired, "feed-wire-corroded") < 0.97 * sound
        assert _mean(reading, lead, "feed-wire-corroded") == pytest.approx(sound, rel=0.02)
        assert _mean(reading, lead, "pump-worn") < 0.75 * sound


def test_lamps_take_pressure_where_the_wire_is_bad() -> None:
    """At full load with lamps and fans on a corroded wire loses more; a sound car less than a tenth of a psi."""
    psi = 6894.76
    bad, sound = (
        _mean("rail pressure", "full-load", *causes) - _mean("rail pressure", "full-load-loads-on", *causes)
        for causes in (("feed-wire-corroded",), ())
    )
    assert 0.0 <= sound < 0.1 * psi < bad


def test_the_rail_sensor_shows_base_pressure_and_step_by_its_own_range() -> None:
    """Sound, it shows what a gauge shows; entered for 100 where it reaches 150, two thirds of both."""
    for gauge, log in (("idle-hose-on", "log-idle-hose-on"), ("idle-hose-off", "log-idle-hose-off")):
        true = _mean("rail pressure", gauge)
        assert _mean("rail pressure", log) == pytest.approx(true, rel=0.01)
        assert _mean("rail pressure", gauge, "sensor-range-entered-too-small") == pytest.approx(true, rel=0.01)
        assert _mean("rail pressure", log, "sensor-range-entered-too-small") == pytest.approx(true * 2 / 3, rel=0.03)
