"""What a log puts into a case speaks the language of the rule book that comes with the program."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from diag.datalog.told import readings_of, signs_of
from diag.fuelsystem.points import check_setting
from tests.datalog.making import PSI, made
from tests.datalog.simulated import Made
from tests.ui.plain.person import the_book

CARS = {
    "sound": Made(minutes=4.0),
    "slow and late": Made(minutes=4.0, build=1.5, lag=1.2),
    "without boost": Made(minutes=4.0, boost_kpa=0.0),
    "trembling": Made(minutes=1.5, ripple=2.0, rate=100.0),
}


@pytest.mark.parametrize("name", CARS)
@pytest.mark.parametrize("hose_on", [True, False])
def test_every_name_is_one_of_the_book(name: str, hose_on: bool, tmp_path: Path) -> None:
    """Readings, points, conditions, signs and answers."""
    book = the_book()
    _, found = made(tmp_path, CARS[name])
    told = readings_of(found, released=True, hose_on=hose_on)
    assert len(told) >= 4
    for one in told:
        assert one.point in book.points, one.point
        kind = book.readings[one.reading]
        assert kind.can_be(one.value, one.value, one.bound)
        assert one.error > 0.0
        for setting, value in one.conditions.items():
            check_setting(setting, value)
    for sign in signs_of(found):
        assert sign.answer in book.signs[sign.sign].possible, sign


def test_with_the_hose_off_only_idle_is_told_of_the_running_engine(tmp_path: Path) -> None:
    """Cruise and load points of the book mean the hose on; idle has a point for each."""
    _, found = made(tmp_path, CARS["sound"])
    points = {one.point for one in readings_of(found, hose_on=False)}
    assert "idle-hose-off" in points
    assert not points & {"idle-hose-on", "cruise", "full-load", "cranking"}


def test_errors_hold_what_the_sensor_repeats_to_and_what_the_log_shows(tmp_path: Path) -> None:
    """A noisy log gives wider readings, a quiet one never narrower than the sensor's own repeatability."""
    _, quiet = made(tmp_path, replace(CARS["sound"], noise=0.05))
    _, coarse = made(tmp_path, replace(CARS["sound"], noise=0.05, resolution=3.0))
    fine = {one.point: one.error for one in readings_of(quiet) if one.reading == "rail pressure"}
    wide = {one.point: one.error for one in readings_of(coarse) if one.reading == "rail pressure"}
    assert all(error >= 0.4 * PSI for error in fine.values())
    assert wide["idle-hose-on"] > 2.0 * fine["idle-hose-on"]


def test_without_released_the_sensor_at_rest_is_no_reading(tmp_path: Path) -> None:
    """Pressure may still be held; only a person knows that it was let off."""
    _, found = made(tmp_path, replace(CARS["sound"], at_rest=20.0))
    assert "log-at-rest" not in {one.point for one in readings_of(found)}
    assert "log-at-rest" in {one.point for one in readings_of(found, released=True)}
