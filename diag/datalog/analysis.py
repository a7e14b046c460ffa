"""Everything that one log says, with its uncertainty; the one call that the rest of the program makes."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from diag.datalog import channels as c
from diag.datalog.flow import LEAST_VOLTS, FlowLoss, Level, drift, flow_loss, level_of, volt_effect
from diag.datalog.frame import Frame, frame_of
from diag.datalog.log import Log
from diag.datalog.phases import BOOST, CRUISE, IDLE, LOAD, OVERRUN, Flags, Phases, phases_of, settled
from diag.datalog.ripple import Movement, Ripple, movement_of, ripple_of
from diag.datalog.robust import Estimate, Line
from diag.datalog.sensor import Railing, Suspicion, manifold_doubts, railing, suspicions
from diag.datalog.slope import Follow, Lag, aligned, follow, lag_of
from diag.datalog.standing import Held, Prime, cranking, held, primes, resting

LOW_VOLTS = "cruise, low volts"
TOP_SHARE = 0.85  # of the highest boost from which on a moment belongs to the top of a pull


@dataclass(frozen=True, slots=True)
class Analysis:
    """What a log says, SI. ``None`` and empty: the log cannot say."""

    log: Log
    frame: Frame
    phases: Phases
    levels: dict[str, Level]
    follow: Follow | None
    lag: Lag | None
    loss: FlowLoss | None
    volts: Line | None
    drift: Estimate | None
    ripple: Ripple | None
    movement: Movement | None
    primes: tuple[Prime, ...]
    cranking: Estimate | None
    rest: Estimate | None
    held: Held | None
    rails: tuple[Railing, ...]
    doubts: tuple[Suspicion, ...]


def analysed(log: Log, target: float | None = None) -> Analysis:
    """Analyse a log.

    Args:
        target: wanted rail pressure with the reference hose off, Pa, to compare the base with; None when not known.
    """
    frame = frame_of(log)
    phases = phases_of(frame)
    line, lag = _followed(frame, phases)
    loss = flow_loss(frame, phases)
    rest = resting(frame, phases)
    running = phases.running[np.clip(np.searchsorted(frame.seconds, log.seconds), 0, len(frame.seconds) - 1)]
    rails = railing(log, running)
    doubts = suspicions(frame, phases, rest, line, rails, target) + manifold_doubts(frame, phases)
    return Analysis(
        log=log,
        frame=frame,
        phases=phases,
        levels=_levels(frame, phases),
        follow=line,
        lag=lag,
        loss=loss,
        volts=volt_effect(frame, phases, line, loss),
        drift=drift(frame, phases, line),
        ripple=ripple_of(log, frame, phases),
        movement=movement_of(frame, phases),
        primes=primes(frame, phases),
        cranking=cranking(frame, phases),
        rest=rest,
        held=held(frame, phases),
        rails=rails,
        doubts=doubts,
    )


def _followed(frame: Frame, phases: Phases) -> tuple[Follow | None, Lag | None]:
    """The line, found twice: as logged, to see how late the rail follows, and with that taken out."""
    if c.MANIFOLD not in frame.values:
        return None, None
    first = follow(frame, phases)
    lag = None if first is None else lag_of(frame, phases, first.line)
    if lag is None:
        return first, None
    return follow(aligned(frame, lag), settled(frame, phases, 3.0 * lag.seconds.value)) or first, lag


ALIKE = 3_000.0  # Pa of manifold pressure around the most frequent one that make one level


def _alike(frame: Frame, which: Flags) -> Flags:
    """Moments near the most frequent manifold pressure, so that a level belongs to one; all without a manifold."""
    there = frame.manifold[which & np.isfinite(frame.manifold)]
    if there.size < 3:
        return np.ones(len(which), dtype=bool)
    counts, edges = np.histogram(there, bins=np.arange(there.min(), there.max() + 2.0 * ALIKE, ALIKE))
    at = int(np.argmax(counts))
    return np.asarray(np.abs(frame.manifold - 0.5 * (edges[at] + edges[at + 1])) < ALIKE)


def _dimmed(frame: Frame, which: Flags) -> tuple[Flags, Flags] | None:
    """A cruise with good volts and one with low volts, each at its manifold pressure; None when the volts hold."""
    volts = frame.get(c.BATTERY)
    if volts is None or which.sum() < 40:
        return None
    low, high = (float(v) for v in np.nanpercentile(volts[which], (15.0, 85.0)))
    if high - low < LEAST_VOLTS:
        return None
    good, dim = which & (volts >= high - 0.2), which & (volts <= low + 0.2)
    return good & _alike(frame, good), dim & _alike(frame, dim)


def _levels(frame: Frame, phases: Phases) -> dict[str, Level]:
    """The car in each steady phase; of pulls the moments near the highest manifold pressure."""
    found = {}
    for phase in (IDLE, CRUISE, OVERRUN):
        which = phases.mask(phase) & phases.steady
        level = level_of(frame, which & _alike(frame, which), phase)
        if level is not None:
            found[phase] = level
    dim = _dimmed(frame, phases.mask(CRUISE) & phases.steady)
    if dim is not None:
        found[CRUISE] = level_of(frame, dim[0], CRUISE) or found[CRUISE]
        low = level_of(frame, dim[1], LOW_VOLTS)
        if low is not None:
            found[LOW_VOLTS] = low
    boosted = phases.mask(BOOST) & phases.steady
    if boosted.any():
        top = float(np.percentile(frame.manifold[boosted], 95.0))
        boosted &= frame.manifold > TOP_SHARE * top
    for phase, which in ((LOAD, phases.mask(LOAD) & phases.steady), (BOOST, boosted)):
        level = level_of(frame, which, phase)
        if level is not None:
            found[phase] = level
    return found
