"""The engine standing still: what the sensor shows at rest, how the pump builds pressure, how long it is held."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from diag.datalog import channels as c
from diag.datalog.frame import Frame
from diag.datalog.numbers import Floats
from diag.datalog.phases import CRANK, HELD, PRIME, REST, Phases, Span, without_spikes
from diag.datalog.robust import Estimate, middle_of

PLATEAU = 3.0  # s after the rise in which a short prime surely still runs
BUILT = 0.95  # share of the plateau at which the pressure counts as built
UNCLEAR = 20_000.0  # Pa of standard error from which a figure is none
LEAST_HELD = 45.0  # s after switch-off without which the log says nothing about holding


@dataclass(frozen=True, slots=True)
class Prime:
    """One run of the pump with the engine off: the level reached, Pa, and the seconds it took from the start of it."""

    level: Estimate
    build: Estimate
    before: float  # Pa in the rail before
    seconds: float  # how long the pump seems to have run
    volts: float | None


@dataclass(frozen=True, slots=True)
class Held:
    """The rail after switch-off: Pa at the last moment of the log and ``seconds`` after, and the share of the start."""

    start: Estimate
    last: Estimate
    seconds: float
    half: float | None  # s until half was gone, when that happened


def resting(frame: Frame, phases: Phases) -> Estimate | None:
    """What the rail sensor shows before anything has run; None when the log begins later."""
    spans = [s for s in phases.spans if s.phase == REST and s.last - s.first >= frame.wide(0.5)]
    if not spans:
        return None
    # What was read just before the pump started is left out: averaging smears the rise into it.
    rail = frame.rail[spans[0].first : max(spans[0].last - 2, spans[0].first + 1)]
    return middle_of(rail, frame.resolution) if np.isfinite(rail).any() else None


def primes(frame: Frame, phases: Phases) -> tuple[Prime, ...]:
    """Every run of the pump with the engine off."""
    found = [_prime(frame, span) for span in phases.spans if span.phase == PRIME]
    return tuple(one for one in found if one is not None)


def _prime(frame: Frame, span: Span) -> Prime | None:
    last = min(span.last, span.first + frame.wide(PLATEAU + 2.0))
    rail = without_spikes(frame.rail[span.first : last])
    if len(rail) < frame.wide(1.0) + 2 or not np.isfinite(rail).all():
        return None
    top = float(np.median(rail[frame.wide(0.8) :]))
    over = np.flatnonzero(rail >= BUILT * top)
    if not over.size:
        return None
    built = span.first + min(int(over[0]) + frame.wide(0.3), len(rail) - 2)
    plateau = frame.rail[built:last]
    before = float(np.median(frame.rail[max(span.first - frame.wide(0.5), 0) : max(span.first, 1)]))
    volts = frame.get(c.BATTERY)
    shown = None if volts is None else float(np.nanmedian(volts[span.first : last]))
    build = Estimate(float(over[0]) * frame.step, frame.step / 1.7)
    return Prime(middle_of(plateau, frame.resolution), build, before, (span.last - span.first) * frame.step, shown)


def cranking(frame: Frame, phases: Phases) -> Estimate | None:
    """Rail pressure in the later half of the longest cranking."""
    spans = [s for s in phases.spans if s.phase == CRANK and s.last - s.first >= max(frame.wide(0.6), 3)]
    if not spans:
        return None
    longest = max(spans, key=lambda s: s.last - s.first)
    level = middle_of(frame.rail[(longest.first + longest.last) // 2 : longest.last], frame.resolution)
    return level if level.error < UNCLEAR else None


def held(frame: Frame, phases: Phases) -> Held | None:
    """How the pressure lasts after the longest switch-off; None when the log ends too soon."""
    spans = [s for s in phases.spans if s.phase == HELD]
    if not spans:
        return None
    span = max(spans, key=lambda s: s.last - s.first)
    seconds = frame.seconds[span.last - 1] - frame.seconds[span.first]
    if seconds < LEAST_HELD:
        return None
    rail = without_spikes(frame.rail[span.first : span.last])
    second = frame.wide(1.0)
    # The engine runs down and its pump stops a moment later; from one second on nothing feeds the rail.
    raw = frame.rail[span.first : span.last]
    start = middle_of(raw[second : 3 * second + 1], frame.resolution)
    tail = raw[-max(frame.wide(min(5.0, 0.1 * float(seconds))), 3) :]
    return Held(start, middle_of(tail, frame.resolution), float(seconds), _half(rail, start.value, frame))


def _half(rail: Floats, start: float, frame: Frame) -> float | None:
    below = np.flatnonzero(rail < 0.5 * start)
    return float(below[0]) * frame.step if below.size and start > 0.0 else None
