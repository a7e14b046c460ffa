"""Made faults show as what they are, and only they."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from diag.datalog.phases import BOOST, CRANK, CRUISE, HELD, IDLE, OVERRUN, PRIME, REST
from diag.datalog.told import readings_of, signs_of
from tests.datalog.making import PSI, made
from tests.datalog.simulated import Made

SOUND = Made(minutes=5.0)


def signs(found: object) -> dict[str, str]:
    """Answers by sign."""
    return {one.sign: one.answer for one in signs_of(found)}  # type: ignore[arg-type]


def test_a_sound_car(tmp_path: Path) -> None:
    """Slope one, base as set, no ceiling, no loss, no drift, quick and still."""
    log, found = made(tmp_path, SOUND)
    assert found.follow is not None
    assert found.follow.ceiling is None
    assert found.follow.line.slope.value == pytest.approx(1.0, abs=0.02)
    assert found.follow.line.at_zero.value / PSI == pytest.approx(log.truth.base, abs=0.3)
    assert found.follow.off_line < 0.5 * PSI
    assert found.loss is not None
    assert found.loss.fall.value / PSI == pytest.approx(log.truth.droop, abs=0.3)
    assert found.loss.knee is None
    assert found.drift is not None
    assert abs(found.drift.value) < 0.3 * PSI
    assert found.lag is not None
    assert found.lag.seconds.low < log.truth.lag < found.lag.seconds.high + 0.05
    assert abs(found.lag.hysteresis.value) < 0.3 * PSI
    assert not found.doubts
    assert not found.rails
    assert signs(found) == {
        "traces-lag": "absent", "reading-depends-on-way": "absent", "needle": "steady",
        "pressure-builds-slowly": "absent",
    }  # fmt: skip


def test_the_phases_are_those_that_were_driven(tmp_path: Path) -> None:
    """Every phase of the drive is found, at its time."""
    _, found = made(tmp_path, SOUND)
    spans = found.phases.spans
    names = [s.phase for s in spans]
    assert names[0] == REST
    assert names[1] == PRIME
    assert found.frame.seconds[spans[1].first] == pytest.approx(3.0, abs=0.25)
    assert CRANK in names[2:4]
    assert names[-1] == HELD
    assert {IDLE, CRUISE, BOOST, OVERRUN} <= set(names)
    seconds = found.phases.mask(IDLE).sum() * found.frame.step
    assert seconds > 25.0
    assert found.phases.idle_speed == pytest.approx(900.0, abs=50.0)


def test_a_ceiling_in_boost(tmp_path: Path) -> None:
    """The rail stops at one figure; the slope below is still found."""
    _, found = made(tmp_path, replace(SOUND, seed=3, ceiling=50.0, minutes=7.0))
    assert found.follow is not None
    assert found.follow.ceiling is not None
    assert found.follow.ceiling.flat
    assert found.follow.ceiling.rail.value / PSI == pytest.approx(50.0, abs=0.4)
    assert found.follow.ceiling.above / PSI == pytest.approx(6.5, abs=1.5)
    assert found.follow.line.slope.value == pytest.approx(1.0, abs=0.03)


def test_a_pump_that_falls_short(tmp_path: Path) -> None:
    """The pressure across the injectors falls from some flow on."""
    _, found = made(tmp_path, replace(SOUND, seed=5, starve=9.0, minutes=8.0))
    assert found.loss is not None
    assert found.loss.fall.value > 3.0 * PSI
    assert found.loss.fall.low > 1.0 * PSI
    assert found.loss.knee is not None
    assert found.follow is not None
    assert found.follow.line.slope.value == pytest.approx(1.0, abs=0.05)


def test_a_late_rail(tmp_path: Path) -> None:
    """A lag of 1.2 s (first order) is 0.7 times that at half height: natural logarithm of 2."""
    _, found = made(tmp_path, replace(SOUND, seed=6, lag=1.2, rate=25.0))
    assert found.lag is not None
    assert found.lag.seconds.value == pytest.approx(0.693 * 1.2, abs=0.2)
    assert signs(found)["traces-lag"] == "present"
    assert found.follow is not None
    assert found.follow.line.slope.value == pytest.approx(1.0, abs=0.04)


def test_a_dead_reference(tmp_path: Path) -> None:
    """The rail does not follow at all; then nothing can be said of lag."""
    _, found = made(tmp_path, replace(SOUND, seed=7, slope=0.0))
    assert found.follow is not None
    assert found.follow.line.slope.value == pytest.approx(0.0, abs=0.02)
    assert found.lag is None


def test_ripple_and_its_rate(tmp_path: Path) -> None:
    """A wave of 2 psi at 30 a second: standard deviation 2 over root 2, order two of 900 rpm."""
    _, found = made(tmp_path, replace(SOUND, seed=8, ripple=2.0, ripple_hz=30.0, rate=200.0, minutes=2.0))
    assert found.ripple is not None
    assert found.ripple.quick.value / PSI == pytest.approx(2.0 / 2**0.5, rel=0.35)
    assert found.ripple.hertz == pytest.approx(30.0, abs=1.5)
    assert signs(found)["needle"] == "trembling"


def test_falling_volts(tmp_path: Path) -> None:
    """Three psi for each volt."""
    _, found = made(tmp_path, replace(SOUND, seed=9, volts_effect=3.0, volts_fall=1.5))
    assert found.volts is not None
    assert found.volts.slope.value / PSI == pytest.approx(3.0, abs=0.4)
    cruising = [one for one in readings_of(found) if one.point == "cruise"]
    good, low = sorted(cruising, key=lambda one: -one.conditions["battery"])
    drop = good.conditions["battery"] - low.conditions["battery"]
    assert drop > 0.5
    vacuum = (low.conditions["vacuum"] - good.conditions["vacuum"]) / PSI
    assert (good.value - low.value) / PSI == pytest.approx(3.0 * drop + vacuum, abs=0.7)


@pytest.mark.parametrize(("celsius", "answer"), [(52.0, "present"), (30.0, "absent"), (42.0, None)])
def test_hot_fuel(celsius: float, answer: str | None, tmp_path: Path) -> None:
    """A logged fuel temperature answers the book's question, and near the limit it does not."""
    from diag.datalog.analysis import analysed
    from tests.datalog.making import read
    from tests.datalog.simulated import as_text, made_log

    log = made_log(Made(minutes=1.0))
    columns = {**log.columns, "Fuel Temp (C)": log.columns["RPM"] * 0.0 + celsius}
    assert signs(analysed(read(tmp_path, as_text(columns)))).get("fuel-hot") == answer


def test_drift(tmp_path: Path) -> None:
    """Four psi lost over the whole run of a known length."""
    log, found = made(tmp_path, replace(SOUND, seed=10, fade=4.0))
    whole = log.columns["Time (s)"][-1]
    assert found.drift is not None
    assert found.drift.value / PSI == pytest.approx(-4.0 * 600.0 / whole, rel=0.1)


def test_a_slow_prime_and_a_leak_after_switch_off(tmp_path: Path) -> None:
    """First-order figures: 95 % after three time constants, half gone after 0.69."""
    _, found = made(tmp_path, replace(SOUND, seed=11, build=1.4, hold=30.0))
    assert signs(found)["pressure-builds-slowly"] == "present"
    assert found.held is not None
    assert found.held.half == pytest.approx(30.0 * 0.693, abs=4.0)
    told = {one.point: one for one in readings_of(found)}
    assert told["five-minutes-free"].conditions["minutes"] == pytest.approx(1.0, abs=0.1)
    assert told["five-minutes-free"].value < 0.25 * SOUND.base * PSI


@pytest.mark.parametrize(
    ("what", "kind"), [({"offset": 14.6}, "absolute"), ({"offset": -3.0}, "offset"), ({"offset": 4.0}, "offset"),
                       ({"scale": 2.0 / 3.0}, "range"), ({"scale": 1.5}, "range")],
)  # fmt: skip
def test_doubts_about_the_sensor(what: dict[str, float], kind: str, tmp_path: Path) -> None:
    """Zero off, absolute for gauge, wrong range."""
    _, found = made(tmp_path, replace(SOUND, seed=12, **what))  # type: ignore[arg-type]
    assert [doubt.kind for doubt in found.doubts] == [kind]


def test_a_sensor_at_the_end_of_its_scale(tmp_path: Path) -> None:
    """A rail that would go on but for the sensor: the reading is a limit, not a figure."""
    from diag.datalog.analysis import analysed
    from tests.datalog.making import read
    from tests.datalog.simulated import as_text, made_log

    log = made_log(replace(SOUND, seed=3, dropouts=0.0))
    cut = {**log.columns, "Fuel Pressure (psi)": log.columns["Fuel Pressure (psi)"].clip(max=50.0)}
    found = analysed(read(tmp_path, as_text(cut)))
    assert [one.top for one in found.rails if one.channel == "rail pressure"] == [True]
    told = {one.point: one for one in readings_of(found)}
    assert told["full-load"].bound == "above"
