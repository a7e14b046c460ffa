"""From an analysis to what goes into a case: readings at points of the rule book, and answers about its signs.

Every reading carries the error of this log's figure: what repeated looks at it differ by, the channel's resolution,
and what a sensor of the usual kind repeats to. What all readings of one sensor share (its offset and scale) is not in
it; the fuel-system model holds that as unknowns of the sensor.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

import numpy as np

from diag.datalog import channels as c
from diag.datalog.analysis import LOW_VOLTS, Analysis
from diag.datalog.flow import Level
from diag.datalog.phases import BOOST, CRUISE, IDLE, LOAD
from diag.datalog.robust import Estimate

SENSOR = "sensor"  # the gauge's name for what the logger's rail sensor shows
REPEATS = 2_800.0  # Pa to which a ratiometric sensor of 0 to 150 psi repeats: 0.25 % of range and the wiring, judgement
MAP_REPEATS = 1_000.0  # Pa likewise for a manifold sensor: half a per cent of two atmospheres, judgement
VOLTS_REPEAT = 0.1
HELD_SHARE = 0.03  # of the base pressure, by which a share taken from idle may be off one taken from base; judgement
PSI = 6894.757  # Pa, for the thresholds below, which the trade gives in psi
TREMBLE, STILL = 2.0 * PSI, 1.0 * PSI  # from crest to trough: clearly to be seen on a needle, and not; judgement
CREEP, NO_CREEP = 2.0 * PSI, 0.6 * PSI  # a minute; judgement
LATE, IN_TIME = 0.5, 0.3  # s by which a rail runs late, as the book asks, and by which it surely does not
STICKS, STICKS_NOT = 1.5 * PSI, 0.8 * PSI  # between falling and rising; judgement
HOT_FUEL = 318.0  # K in the tank, about 45 C, as the book asks
SLOW_BUILD = 2.0  # s, as the book asks


@dataclass(frozen=True, slots=True)
class LoggedReading:
    """A reading for the case, SI; ``error`` one standard deviation; ``words`` where in the log it comes from."""

    reading: str
    point: str
    value: float
    error: float
    words: str
    conditions: Mapping[str, float] = field(default_factory=dict)
    bound: str = ""
    gauge: str = SENSOR


@dataclass(frozen=True, slots=True)
class LoggedSign:
    """An answer about a sign of the rule book, and why the log says so."""

    sign: str
    answer: str
    words: str
    sure: bool = True


def readings_of(found: Analysis, released: bool = False, hose_on: bool = True) -> tuple[LoggedReading, ...]:
    """Readings that the log holds.

    Args:
        released: the pressure had been let off before the log began, so that the first figure is the sensor at rest.
        hose_on: the reference hose was on the regulator while the engine ran.
    """
    told: list[LoggedReading] = []
    error = _error(found)
    if released and found.rest is not None:
        told.append(LoggedReading("gauge at rest", "log-at-rest", found.rest.value, error(found.rest, 0.4),
                                  "before the pump ran, pressure let off"))  # fmt: skip
    if found.primes:
        best = min(found.primes, key=lambda p: p.level.error)
        battery = {} if best.volts is None else {"battery": best.volts}
        told.append(LoggedReading("rail pressure", "log-pump-on", best.level.value, error(best.level),
                                  "pump prime, engine standing", battery))  # fmt: skip
    if hose_on and found.cranking is not None:
        told.append(LoggedReading("rail pressure", "cranking", found.cranking.value, error(found.cranking), "cranking"))
    told += _running(found, hose_on)
    told += _held(found)
    return tuple(_with_ends(one, found) for one in told if np.isfinite(one.value) and np.isfinite(one.error))


def _held(found: Analysis) -> list[LoggedReading]:
    """The pressure some time after switch-off, as it would be had the pump stopped at base pressure.

    The model lets the pump stop with the engine off. A log is switched off from idle, lower by the vacuum; what is
    told is therefore the share that was left, of the base pressure that this log shows.
    """
    base = found.primes[-1].level if found.primes else found.follow.line.at_zero if found.follow else None
    end = found.held
    if end is None or base is None or end.start.value < 5.0 * PSI:
        return []
    share = min(max(end.last.value / end.start.value, 0.0), 1.0)
    error = float(np.hypot(_error(found)(end.last), HELD_SHARE * base.value))
    words = f"{end.seconds:.0f} s after switch-off {100.0 * share:.0f} % left, taken from base pressure"
    return [LoggedReading("rail pressure", "five-minutes-free", share * base.value, error, words,
                          {"minutes": end.seconds / 60.0})]  # fmt: skip


def _error(found: Analysis) -> Callable[..., float]:
    step = found.frame.resolution

    def error(estimate: Estimate, share: float = 1.0) -> float:
        return float(np.sqrt(estimate.error**2 + step**2 / 12.0 + (share * REPEATS) ** 2))

    return error


def _running(found: Analysis, hose_on: bool) -> list[LoggedReading]:
    """The engine running: idle, cruise, and the top of pulls."""
    told = []
    error = _error(found)
    idle = found.levels.get(IDLE)
    point = "idle-hose-on" if hose_on else "idle-hose-off"
    if idle is not None:
        told.append(_rail(idle, point, error))
        if idle.manifold is not None and idle.manifold < 0.0 and hose_on:
            told.append(LoggedReading("manifold vacuum", point, -idle.manifold, MAP_REPEATS, IDLE))
        if idle.volts is not None:
            told.append(LoggedReading("battery volts", point, idle.volts, VOLTS_REPEAT, IDLE))
    if not hose_on:
        return told
    if CRUISE in found.levels and found.levels[CRUISE].manifold is not None:
        told.append(_rail(found.levels[CRUISE], "cruise", error))
        if LOW_VOLTS in found.levels and found.volts is not None and found.volts.slope.low > 0.0:
            told.append(_rail(found.levels[LOW_VOLTS], "cruise", error))
    top = found.levels.get(BOOST) or found.levels.get(LOAD)
    if top is not None and top.manifold is not None:
        told.append(_rail(top, "full-load", error))
    return told


def _rail(level: Level, point: str, error: Callable[..., float]) -> LoggedReading:
    conditions = {}
    if level.volts is not None:
        conditions["battery"] = level.volts
    if level.manifold is not None and point == "full-load":
        conditions["boost"] = max(level.manifold, 0.0)
    elif level.manifold is not None and point != "idle-hose-off":
        conditions["vacuum"] = max(-level.manifold, 0.0)
    return LoggedReading("rail pressure", point, level.rail.value, error(level.rail), level.phase, conditions)


def _with_ends(one: LoggedReading, found: Analysis) -> LoggedReading:
    """At an end of the sensor's scale a reading is only a limit."""
    if one.reading != "rail pressure":
        return one
    for end in found.rails:
        if end.channel == c.RAIL and abs(one.value - end.value) < 0.5 * PSI:
            return LoggedReading(one.reading, one.point, one.value, one.error, one.words, one.conditions,
                                 "above" if end.top else "below", one.gauge)  # fmt: skip
    return one


def signs_of(found: Analysis) -> tuple[LoggedSign, ...]:
    """Answers about signs that the book asks for and a log can give."""
    told = [*_lag(found), *_way(found), *_needle(found), *_heat(found)]
    built = [p.build for p in found.primes if p.before < 0.3 * p.level.value]
    if built:
        slowest = max(built, key=lambda b: b.value)
        if slowest.low > SLOW_BUILD:
            told.append(LoggedSign("pressure-builds-slowly", "present", f"{slowest.value:.1f} s from the pump's start"))
        elif slowest.high < SLOW_BUILD:
            told.append(LoggedSign("pressure-builds-slowly", "absent", f"{slowest.value:.1f} s from the pump's start"))
    return tuple(told)


def _lag(found: Analysis) -> list[LoggedSign]:
    if found.lag is None:
        return []
    late = found.lag.seconds
    words = f"the rail runs {max(late.value, 0.0):.2f} s behind the manifold"
    if late.low > LATE:
        return [LoggedSign("traces-lag", "present", words)]
    return [LoggedSign("traces-lag", "absent", words)] if late.high < IN_TIME else []


def _way(found: Analysis) -> list[LoggedSign]:
    """Whether the rail stands at different figures while the manifold rises and while it falls."""
    if found.lag is None or not np.isfinite(found.lag.hysteresis.value):
        return []
    gap = found.lag.hysteresis
    words = f"{gap.value / PSI:.1f} psi between falling and rising"
    if gap.low > STICKS:
        return [LoggedSign("reading-depends-on-way", "present", words, False)]
    return [LoggedSign("reading-depends-on-way", "absent", words, False)] if gap.high < STICKS_NOT else []


def _heat(found: Analysis) -> list[LoggedSign]:
    """Whether the fuel got hot, where its temperature was logged."""
    heat = found.frame.get(c.FUEL_HEAT)
    if heat is None:
        return []
    top = float(np.nanpercentile(heat, 98.0))
    words = f"up to {top - 273.15:.0f} C"
    if top > HOT_FUEL:
        return [LoggedSign("fuel-hot", "present", words)]
    return [LoggedSign("fuel-hot", "absent", words)] if top < HOT_FUEL - 7.0 else []


def _needle(found: Analysis) -> list[LoggedSign]:
    """What a needle would have done at idle; quick movement shows only in quick logs."""
    moved, ripple = found.movement, found.ripple
    if moved is None:
        return []
    quick = 0.0 if ripple is None else 2.83 * ripple.quick.value
    if ripple is not None and ripple.hertz is not None and quick > TREMBLE:
        words = f"{quick / PSI:.1f} psi from crest to trough, {ripple.hertz:.0f} times a second"
        return [LoggedSign("needle", "trembling", words, ripple.hertz > 4.0)]
    if abs(moved.creep) > CREEP and moved.seconds > 20.0:
        way = "falling" if moved.creep < 0.0 else "rising"
        return [LoggedSign("needle", way, f"{abs(moved.creep) / PSI:.1f} psi a minute at idle", False)]
    if moved.swing > TREMBLE:
        return [LoggedSign("needle", "swinging", f"{moved.swing / PSI:.1f} psi to and fro at idle", False)]
    still = moved.swing < STILL and abs(moved.creep) < NO_CREEP
    if ripple is not None and quick < STILL and still and moved.seconds > 15.0:
        return [LoggedSign("needle", "steady", f"within {max(moved.swing, quick) / PSI:.1f} psi at idle", False)]
    return []
