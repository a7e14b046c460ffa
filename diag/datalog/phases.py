"""What the car was doing at every moment of a log."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from diag.datalog import channels as c
from diag.datalog.frame import Frame
from diag.datalog.log import STOPPED
from diag.datalog.numbers import Floats

Flags = NDArray[np.bool_]

REST, PRIME, CRANK, IDLE, CRUISE, LOAD, BOOST, OVERRUN, MOVING, HELD, UNKNOWN = (
    "at rest", "pump prime", "cranking", "idle", "cruise", "open throttle", "boost", "overrun", "changing",
    "switched off", "not known",
)  # fmt: skip
PHASES = (REST, PRIME, CRANK, IDLE, CRUISE, LOAD, BOOST, OVERRUN, MOVING, HELD, UNKNOWN)
RUNNING = (IDLE, CRUISE, LOAD, BOOST, OVERRUN, MOVING)
FIRES = 450.0  # rpm from which an engine runs by itself; common practice, no source
HIGHEST_IDLE = 1600.0  # rpm; cold engines idle high
OPEN = 6_000.0  # Pa below the air up to which the throttle counts as open; judgement
BOOSTED = 6_000.0  # Pa above the air from which it is boost; judgement
VACUUM = 8_000.0  # Pa below the air that only a running engine makes
WARM_UP = 3.0  # s after the start that belong to no phase yet


@dataclass(frozen=True, slots=True)
class Span:
    """One phase from ``first`` up to and not including ``last`` (places in the frame)."""

    phase: str
    first: int
    last: int


@dataclass(frozen=True, slots=True)
class Phases:
    """``code`` (n,) holds places in ``PHASES``; ``steady`` (n,) marks moments in which nothing changes quickly."""

    code: NDArray[np.int8]
    steady: Flags
    spans: tuple[Span, ...]
    idle_speed: float | None

    def mask(self, *phases: str) -> Flags:
        """Where the car was in one of these phases."""
        return np.isin(self.code, [PHASES.index(p) for p in phases])

    @property
    def running(self) -> Flags:
        """Where the engine ran."""
        return self.mask(*RUNNING)


def phases_of(frame: Frame) -> Phases:
    """The phase of every moment, from engine speed where it was logged, else from the manifold."""
    code = np.full(len(frame.seconds), PHASES.index(UNKNOWN), dtype=np.int8)
    turning = _turning(frame)
    if turning is None:
        return Phases(code, np.zeros(len(code), dtype=bool), _spans(code, frame), None)
    rpm = frame.get(c.RPM)
    cranking = np.zeros(len(code), dtype=bool) if rpm is None else turning & (rpm < FIRES)
    steady = _steady(frame)
    idle_speed = _idle_speed(frame, turning & ~cranking & steady)
    _name_running(code, frame, turning & ~cranking, steady, idle_speed)
    code[cranking] = PHASES.index(CRANK)
    _name_standing(code, frame, turning)
    return Phases(code, steady, _spans(code, frame), idle_speed)


def _turning(frame: Frame) -> Flags | None:
    rpm = frame.get(c.RPM)
    if rpm is not None:
        return np.asarray(np.nan_to_num(rpm) > STOPPED)
    if c.MANIFOLD not in frame.values:
        return None
    far = np.abs(np.nan_to_num(frame.manifold)) > VACUUM
    # Between two moments of vacuum or boost the engine ran on, unless that took long.
    return _closed(np.asarray(far), frame.wide(15.0))


def _closed(flags: Flags, width: int) -> Flags:
    """Flags with gaps of up to ``width`` between two set ones filled."""
    at = np.flatnonzero(flags)
    result = flags.copy()
    for first, last in zip(at[:-1][np.diff(at) > 1], at[1:][np.diff(at) > 1], strict=True):
        if last - first <= width:
            result[first:last] = True
    return result


def change(values: Floats, width: int) -> Floats:
    """How much a channel changes from ``width`` readings before to ``width`` after: (n,); the ends repeat."""
    if len(values) <= 2 * width:
        return np.zeros(len(values))
    inner = values[2 * width :] - values[: -2 * width]
    return np.concatenate([np.full(width, inner[0]), inner, np.full(width, inner[-1])])


STEADY_PRESSURE, STEADY_SPEED = 4_000.0, 250.0  # change within a second that still counts as steady; judgement


def _steady(frame: Frame) -> Flags:
    width = frame.wide(0.5)
    steady = np.abs(np.nan_to_num(change(frame.manifold, width))) < STEADY_PRESSURE
    rpm = frame.get(c.RPM)
    if rpm is not None:
        steady &= np.abs(np.nan_to_num(change(rpm, width))) < STEADY_SPEED
    # A reference hose and a sensor need a moment after a change: whatever moved just before is left out as well.
    settled = steady.copy()
    for back in range(1, frame.wide(0.6) + 1):
        settled[back:] &= steady[:-back]
    same = np.zeros(len(settled), dtype=bool)
    same[width:] = frame.stretch[width:] == frame.stretch[:-width]
    return np.asarray(settled & same)


def settled(frame: Frame, phases: Phases, seconds: float) -> Phases:
    """The same phases, steady only where nothing has moved for this long; unchanged when hardly anything is left."""
    more = frame.wide(seconds) - frame.wide(0.6)
    if more <= 0:
        return phases
    steady = phases.steady.copy()
    for back in range(1, more + 1):
        steady[back:] &= phases.steady[:-back]
    enough = (steady & phases.running).sum() > max(0.15 * (phases.steady & phases.running).sum(), 60)
    return replace(phases, steady=steady) if enough else phases


def _idle_speed(frame: Frame, candidates: Flags) -> float | None:
    """The engine speed at which the car idles: the most frequent low one."""
    rpm = frame.get(c.RPM)
    if rpm is None:
        return None
    low = rpm[candidates & (rpm < HIGHEST_IDLE)]
    throttle = frame.get(c.THROTTLE)
    if throttle is not None and low.size:
        closed = float(np.nanpercentile(throttle[candidates], 5.0)) + 0.03
        low = rpm[candidates & (rpm < HIGHEST_IDLE) & (throttle <= closed)]
    if low.size < max(5, frame.wide(2.0)):
        return None
    counts, edges = np.histogram(low, bins=np.arange(400.0, HIGHEST_IDLE + 50.0, 50.0))
    top = int(np.argmax(counts))
    return float(0.5 * (edges[top] + edges[top + 1]))


def _name_running(code: NDArray[np.int8], frame: Frame, on: Flags, steady: Flags, idle_speed: float | None) -> None:
    manifold, rpm = frame.manifold, frame.get(c.RPM)
    code[on] = PHASES.index(MOVING)
    code[on & steady] = PHASES.index(CRUISE)
    code[on & (manifold > -OPEN)] = PHASES.index(LOAD)
    code[on & (manifold > BOOSTED)] = PHASES.index(BOOST)
    if rpm is not None and idle_speed is not None:
        idle = on & steady & (rpm < 1.2 * idle_speed + 50.0) & ~(manifold > -2.0 * OPEN)
        code[idle] = PHASES.index(IDLE)
        usual = np.nanmedian(manifold[idle]) if np.isfinite(manifold[idle]).any() else np.nan
        deep = on & (rpm > 1.5 * idle_speed) & (manifold < usual - 3_000.0)
        code[deep] = PHASES.index(OVERRUN)


def _name_standing(code: NDArray[np.int8], frame: Frame, turning: Flags) -> None:
    """Rest, prime and switched off, for every stretch in which the engine stands still."""
    edges = np.flatnonzero(np.diff(np.concatenate([[False], ~turning, [False]]).astype(np.int8)))
    work = _working_pressure(frame, turning)
    for first, last in zip(edges[::2], edges[1::2], strict=True):
        ran = first > 0 and frame.stretch[first - 1] == frame.stretch[first]
        at = int(first)
        for begin, end in pump_runs(frame, int(first), int(last), work, fresh=not ran):
            code[at:begin] = PHASES.index(HELD if ran or at > first else REST)
            code[begin:end] = PHASES.index(PRIME)
            at = end
        low = bool(np.nanmedian(frame.rail[at:last]) < 0.3 * work) if at < last else True
        code[at:last] = PHASES.index(HELD if ran or at > first else REST if low else UNKNOWN)


def _working_pressure(frame: Frame, turning: Flags) -> float:
    rail = frame.rail[turning] if turning.any() else frame.rail
    there = rail[np.isfinite(rail)]
    return float(np.percentile(there, 60.0)) if there.size else 1.0


def pump_runs(frame: Frame, first: int, last: int, work: float, fresh: bool) -> list[tuple[int, int]]:
    """Where the pump runs while the engine stands: by its volts where logged, else from a rise of the rail on.

    Args:
        work: usual rail pressure with the engine running, Pa.
        fresh: nothing ran just before, so that a rail that is up from the first moment is not taken for the pump.
    """
    volts = frame.get(c.PUMP_VOLTS)
    if volts is not None:
        on = np.nan_to_num(volts[first:last]) > 4.0
        edges = np.flatnonzero(np.diff(np.concatenate([[False], on, [False]]).astype(np.int8)))
        return [(first + int(a), first + int(b)) for a, b in zip(edges[::2], edges[1::2], strict=True)]
    rail = without_spikes(frame.rail[first:last])
    ahead = frame.wide(0.5)
    if len(rail) <= ahead + 2:
        return []
    rises = np.flatnonzero(rail[ahead:] - rail[:-ahead] > 0.2 * work)
    runs: list[tuple[int, int]] = []
    for start in rises:
        if runs and first + start < runs[-1][1]:
            continue
        begin = int(start) + int(np.argmax(rail[start : start + ahead + 1] > rail[start] + 0.05 * work))
        runs.append((first + begin, first + _run_end(rail, begin, frame)))
    return runs


def without_spikes(values: Floats) -> Floats:
    """Running medians of five: (n,); single wrong readings are gone and edges stay sharp."""
    if len(values) < 5:
        return values
    padded = np.concatenate([values[:2][::-1], values, values[-2:][::-1]])
    with np.errstate(all="ignore"):
        return np.asarray(np.median(np.lib.stride_tricks.sliding_window_view(padded, 5), axis=1))


def _run_end(rail: Floats, start: int, frame: Frame) -> int:
    """Where the rail begins to fall again after a rise, or the engine is cranked."""
    second = frame.wide(1.0)
    level = float(np.nanmedian(rail[start + second : start + 3 * second + 1])) if start + second < len(rail) else np.nan
    if not np.isfinite(level):
        return len(rail)
    fallen = np.flatnonzero(rail[start + 2 * second :] < 0.96 * level)
    return int(start + 2 * second + fallen[0]) if fallen.size else len(rail)


def _spans(code: NDArray[np.int8], frame: Frame) -> tuple[Span, ...]:
    cuts = np.flatnonzero((np.diff(code) != 0) | (np.diff(frame.stretch) != 0)) + 1
    bounds: Sequence[int] = [0, *cuts.tolist(), len(code)]
    return tuple(Span(PHASES[code[a]], a, b) for a, b in itertools.pairwise(bounds) if b > a)
