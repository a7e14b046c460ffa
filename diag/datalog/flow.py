"""What the pressure across the injectors loses with fuel flow, with volts, and over the run."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from diag.datalog import channels as c
from diag.datalog.frame import Frame
from diag.datalog.numbers import Floats
from diag.datalog.phases import Flags, Phases
from diag.datalog.robust import Estimate, Line, middle_of, robust_line
from diag.datalog.slope import Follow, Points, condensed

LEAST_RANGE = 0.35  # the flow must range over this share of its highest
LEAST_VOLTS = 0.7  # V over which the volts must range
LEAST_RUN = 240.0  # s of running without which there is no drift
BINS = 25
MANIFOLD_BIN = 3_000.0  # Pa that count as the same manifold pressure
TEN_MINUTES = 600.0


@dataclass(frozen=True, slots=True)
class FlowLoss:
    """Pressure across the injectors over fuel flow.

    ``unit`` is "m3/s" for a logged flow, "duty" for a share of injector opening, "air" for a stand-in from speed and
    manifold pressure with 1 for the highest. ``fall`` is Pa between the small flows and the highest tenth of them;
    ``knee`` the flow from which it falls, when it falls from somewhere on.
    """

    unit: str
    points: Points
    line: Line
    fall: Estimate
    knee: float | None


def fuel_flow(frame: Frame) -> tuple[Floats | None, str]:
    """The best measure of fuel flow that the log has, and what it is."""
    for name, unit in ((c.FLOW, "m3/s"), (c.DUTY, "duty")):
        found = frame.get(name)
        if found is not None and np.isfinite(found).sum() > 20:
            return found, unit
    rpm = frame.get(c.RPM)
    if rpm is None or c.MANIFOLD not in frame.values:
        return None, ""
    air = rpm * np.maximum(frame.manifold + frame.air, 0.0)
    top = float(np.nanmax(air)) if np.isfinite(air).any() else 0.0
    return (air / top, "air") if top > 0.0 else (None, "")


def flow_loss(frame: Frame, phases: Phases) -> FlowLoss | None:
    """How the pressure across the injectors falls with flow; None when flow or its range is missing."""
    flow, unit = fuel_flow(frame)
    good = phases.running & phases.steady
    if flow is None or c.MANIFOLD not in frame.values or good.sum() < 30:
        return None
    across = frame.rail - frame.manifold
    top = float(np.nanpercentile(flow[good], 99.5))
    low = float(np.nanpercentile(flow[good], 1.0))
    if not top > 0.0 or (top - low) < LEAST_RANGE * top:
        return None
    points = condensed(flow[good], across[good], frame.seconds[good], (top - low) / BINS)
    if len(points.x) < 8:
        return None
    line = robust_line(points.x, points.y)
    small, large = points.x < low + 0.35 * (top - low), points.x > low + 0.88 * (top - low)
    if small.sum() < 3 or large.sum() < 2:
        return FlowLoss(
            unit, points, line, Estimate(-line.slope.value * (top - low), line.slope.error * (top - low)), None
        )
    a, b = _level(points, small), _level(points, large)
    fall = Estimate(a.value - b.value, float(np.hypot(a.error, b.error)))
    return FlowLoss(unit, points, line, fall, _knee(points, a, fall))


def _level(points: Points, which: Flags) -> Estimate:
    order = np.argsort(points.seconds[which])
    return middle_of(points.y[which][order])


def _knee(points: Points, level: Estimate, fall: Estimate) -> float | None:
    """The flow from which on most of a clear fall happens."""
    if fall.low < 10_000.0:
        return None
    order = np.argsort(points.x)
    short = level.value - points.y[order] > 0.25 * fall.value
    held = np.flatnonzero(~short)
    at = int(held[-1]) + 1 if held.size else 0
    return float(points.x[order][min(at, len(short) - 1)])


def volt_effect(frame: Frame, phases: Phases, follow: Follow | None, loss: FlowLoss | None) -> Line | None:
    """Pa that the rail gains for each volt at the pump or battery, with manifold and flow taken out."""
    volts = frame.get(c.PUMP_VOLTS)
    volts = frame.get(c.BATTERY) if volts is None else volts
    good = phases.running & phases.steady
    if volts is None or follow is None or good.sum() < 60:
        return None
    low, high = (float(v) for v in np.nanpercentile(volts[good], (2.0, 98.0)))
    if high - low < LEAST_VOLTS:
        return None
    gap = frame.rail - follow.line.at(frame.manifold)
    flow, _ = fuel_flow(frame)
    if loss is not None and flow is not None:
        gap = gap - loss.line.slope.value * (flow - np.nanmedian(flow[good]))
    x, y, when = _within_bins(frame.manifold[good], volts[good], gap[good], frame.seconds[good])
    points = condensed(x, y, when, max((high - low) / 12.0, 0.02))
    return robust_line(points.x, points.y) if len(points.x) >= 6 else None


def _within_bins(manifold: Floats, *channels: Floats) -> list[Floats]:
    """Volts and rail as differences from their middles at the same manifold pressure; the last channel as it is.

    What the manifold does to the rail, and a slope that the volts have bent, are gone then.
    """
    bins = np.floor(np.nan_to_num(manifold) / MANIFOLD_BIN)
    found = [channel.copy() for channel in channels]
    for number in np.unique(bins):
        here = bins == number
        for channel in found[:-1]:
            channel[here] -= np.nanmean(channel[here])
    return found


def drift(frame: Frame, phases: Phases, follow: Follow | None) -> Estimate | None:
    """Pa that the rail gains (negative: loses) in ten minutes of running at the same manifold pressure."""
    if follow is None:
        return None
    limit = np.inf if follow.ceiling is None else follow.ceiling.above
    good = phases.running & phases.steady & (frame.manifold < min(limit, 0.0))
    times = frame.seconds[good]
    if good.sum() < 60 or float(np.ptp(times)) < LEAST_RUN:
        return None
    gap = (frame.rail - follow.line.at(frame.manifold))[good]
    # Ten moments of the run, one median each, so that a long idle at one end does not decide.
    points = condensed(times, gap, times, float(np.ptp(times)) / 20.0, each=3)
    line = robust_line(points.x, points.y, points.bin)
    return Estimate(line.slope.value * TEN_MINUTES, line.slope.error * TEN_MINUTES)


@dataclass(frozen=True, slots=True)
class Level:
    """The car in one phase: rail, manifold and volts, Pa and V, and how long it was there, s."""

    phase: str
    rail: Estimate
    manifold: float | None
    volts: float | None
    flow: float | None  # m3/s, where a flow was logged
    seconds: float
    lowest: float
    highest: float


def level_of(frame: Frame, which: Flags, phase: str) -> Level | None:
    """What was read while ``which`` holds; None for less than a second of it."""
    which = which & np.isfinite(frame.rail)
    count = int(which.sum())
    if count * frame.step < 1.0 or count < 3:
        return None

    def middle(name: str) -> float | None:
        found = frame.get(name)
        if found is None or not np.isfinite(found[which]).any():
            return None
        return float(np.nanmedian(found[which]))

    rail = frame.rail[which]
    low, high = (float(v) for v in np.percentile(rail, (2.0, 98.0)))
    volts = middle(c.BATTERY)
    return Level(
        phase,
        middle_of(rail, frame.resolution),
        middle(c.MANIFOLD),
        volts,
        middle(c.FLOW),
        count * frame.step,
        low,
        high,
    )
