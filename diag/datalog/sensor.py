"""What a log says about its own sensors: ends of scale, offset at rest, wrong range, absolute taken for gauge."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from diag.datalog import channels as c
from diag.datalog.frame import Frame
from diag.datalog.log import Log
from diag.datalog.numbers import Floats
from diag.datalog.phases import Phases
from diag.datalog.robust import Estimate
from diag.datalog.slope import Follow

AT_END = 0.004  # share of rows at one extreme figure from which a sensor counts as railing; judgement
AIR_BAND = 0.12  # share of the air's pressure within which an offset looks like it
OFF_ZERO = 13_800.0  # Pa at rest from which the sensor's zero is doubted: 2 psi, as the book asks of a gauge
RANGES = ((2.0 / 3.0, "a sensor of half as much range again (100 entered for 150)"),
          (3.0 / 2.0, "a sensor of two thirds of that range (150 entered for 100)"),
          (0.5, "a sensor of twice that range"), (2.0, "a sensor of half that range"))  # fmt: skip
RATIO_BAND = 0.05


@dataclass(frozen=True, slots=True)
class Suspicion:
    """Something that the figures say about a sensor: ``kind`` is a fixed word, ``text`` a sentence."""

    kind: str
    channel: str
    text: str


@dataclass(frozen=True, slots=True)
class Railing:
    """A channel that sticks at an end of its scale: the figure, SI, the share of rows, and which end."""

    channel: str
    value: float
    share: float
    top: bool


def railing(log: Log, running: np.ndarray) -> tuple[Railing, ...]:
    """Channels whose highest or lowest figure comes again and again, as no real pressure does."""
    found = []
    for name in (c.RAIL, c.MANIFOLD):
        values = log.values.get(name)
        if values is None:
            continue
        there = values[np.isfinite(values) & running]
        for top in (True, False):
            one = _stuck(there, top)
            if one is not None:
                found.append(Railing(name, one[0], one[1], top))
    return tuple(found)


def _stuck(values: Floats, top: bool) -> tuple[float, float] | None:
    if values.size < 50:
        return None
    end = float(values.max() if top else values.min())
    step = np.diff(np.unique(values))
    small = float(step.min()) if step.size else 0.0
    share = float(np.mean(values == end))
    # Next to a true end of scale there is much less than at it: a real peak is rounded.
    inside = end - 3.0 * small if top else end + 3.0 * small
    near = float(np.mean((values > inside) & (values < end) if top else (values < inside) & (values > end)))
    runs = _longest_run(values == end)
    lonely = len(step) < 3
    return (end, share) if not lonely and share > AT_END and share > 2.0 * near and runs >= 4 else None


def _longest_run(flags: np.ndarray) -> int:
    edges = np.flatnonzero(np.diff(np.concatenate([[0], flags.astype(np.int8), [0]])))
    return int(np.max(edges[1::2] - edges[::2])) if edges.size else 0


def suspicions(
    frame: Frame,
    phases: Phases,
    rest: Estimate | None,
    follow: Follow | None,
    rails: tuple[Railing, ...],
    target: float | None,
) -> tuple[Suspicion, ...]:
    """All doubts about the sensors that the figures give reason for.

    Args:
        target: wanted rail pressure with the hose off, Pa; None when it is not known.
    """
    found = [_end_of_scale(one) for one in rails]
    found += _zero(rest, frame.air)
    found += _range(follow, target)
    return tuple(found)


def _end_of_scale(one: Railing) -> Suspicion:
    end = "upper" if one.top else "lower"
    text = (
        f"{c.CHANNELS[one.channel].title} sticks at one figure in {100 * one.share:.0f} % of the rows with the engine "
        f"running: the {end} end of the sensor's or the logger's scale."
    )
    return Suspicion("railing", one.channel, text)


def _zero(rest: Estimate | None, air: float) -> list[Suspicion]:
    if rest is None:
        return []
    if abs(rest.value - air) < AIR_BAND * air:
        text = (
            "At rest the rail sensor shows one atmosphere: an absolute sensor read as a gauge, or as much pressure "
            "still held. Let the pressure off and look again."
        )
        return [Suspicion("absolute", c.RAIL, text)]
    if rest.high < -3_500.0:
        return [Suspicion("offset", c.RAIL, "At rest the rail sensor shows less than nothing: its zero, its ground or "
                          "its 5 V supply is off.")]  # fmt: skip
    if rest.value > OFF_ZERO:
        return [Suspicion("offset", c.RAIL, "At rest the rail sensor does not show zero: pressure still held, or its "
                          "zero, ground or 5 V supply is off. Let the pressure off and look again.")]  # fmt: skip
    return []


def _range(follow: Follow | None, target: float | None) -> list[Suspicion]:
    """Slope and base off by one and the same ratio that two usual ranges make."""
    if follow is None:
        return []
    line = follow.line
    for ratio, words in RANGES:
        near = abs(line.slope.value - ratio) < max(RATIO_BAND * ratio, 2.0 * line.slope.error)
        based = target is not None and abs(line.at_zero.value / target - ratio) < RATIO_BAND * ratio + 0.02
        if near and (based or target is None) and follow.ceiling is None:
            both = f"Slope and base pressure are {ratio:.2f} of what they should be"
            alone = f"The slope is {ratio:.2f} of what it should be"
            return [Suspicion("range", c.RAIL, f"{both if based else alone}: {words} would show just that.")]
    return []


def manifold_doubts(frame: Frame, phases: Phases) -> tuple[Suspicion, ...]:
    """A manifold channel that does not come back to the air's pressure, or never moves."""
    if c.MANIFOLD not in frame.values:
        return ()
    there = frame.manifold[np.isfinite(frame.manifold)]
    found = []
    if there.size and float(np.percentile(there, 99.0) - np.percentile(there, 1.0)) < 2_000.0 and phases.running.any():
        found.append(Suspicion("dead", c.MANIFOLD, "The manifold channel hardly moves although the engine runs."))
    if there.size and float(np.percentile(there, 1.0)) < -frame.air:
        text = "The manifold channel goes below a perfect vacuum: its unit or its zero is wrong."
        found.append(Suspicion("offset", c.MANIFOLD, text))
    return tuple(found)
