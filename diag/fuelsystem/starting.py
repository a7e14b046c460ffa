"""How long the starter turns before the engine runs: filling the line, driving vapour out of the rail, and firing.

    seconds = (sound engine's start + time to fill + time to purge vapour) / share of firings that count

After standing, fuel runs back through the pump's check valve by its own weight and leaves the feed empty. After a hot
stop the rail boils unless what is held is above the vapour pressure of its hot fuel: that is what the check valve, the
seat and the injectors have to hold pressure for.
"""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from diag.fuelsystem.balance import FlowState
from diag.fuelsystem.circuit import Circuit
from diag.fuelsystem.constants import GRAVITY
from diag.fuelsystem.fluids import vapour_pressure
from diag.fuelsystem.injectors import fuel_wanted
from diag.fuelsystem.lines import leak_constant
from diag.fuelsystem.mixture import fuel_ratio
from diag.fuelsystem.normal import normal_below
from diag.fuelsystem.points import OperatingCondition
from diag.fuelsystem.switchoff import after_switch_off, leak_paths, stored

Array = NDArray[np.float64]

SOUND_START = 0.9
"""Seconds that a sound engine needs to be found in step and to fire (judgement)."""

PRIME_SECONDS = 0.8
"""Seconds that the pump runs on the key before most people crank (judgement; the control unit would allow two)."""

LINE_HEAD = 0.4
"""Metres by which the feed line's fuel stands above that in the tank (judgement)."""

PURGE_SECONDS = 5.0
"""Seconds of cranking that a rail full of vapour takes (judgement)."""

CRANKED_SECONDS = 10.0
"""How long the starter turns before plugs are taken out to look at them (the usual advice; judgement)."""

LONGEST = 60.0
"""Seconds of cranking that stand for "does not start"."""

LEAN_START, RICH_START = 0.6, 3.2
"""Fuel against right at which half the firings of a start fail (judgement; floods and dry starts)."""

SPRAYS = 0.7e5
"""Pressure across an injector below which it dribbles instead of spraying, Pa (judgement: it is made for 2.5 bar)."""

RUNS_UP, RUNS_UP_SPREAD = 0.35, 0.12
"""Share of firings below which an engine coughs and does not run up by itself (judgement: friction while cranking takes
about a third of the work of a full firing)."""

LEAST_VOLTS = 8.0
"""Battery volts while cranking at which half the starts fail for want of spark and speed (judgement)."""

HEADWAY = 0.25
"""Spread of those limits in the logarithm (judgement)."""


def held(p: Mapping[str, Array], at: OperatingCondition, c: Circuit) -> Array:
    """Pressure left in the rail after standing, gauge Pa; nothing when no time is said."""
    stood = OperatingCondition(pump="off", heat=at.heat, minutes=at.minutes)
    left = after_switch_off(p, stood, c.valve.opens_at)
    return np.where(p["pump runs on"] > 0.5, c.valve.opens_at, left)


def run_back(p: Mapping[str, Array], at: OperatingCondition) -> Array:
    """Fuel that left the feed line for the tank while standing, m3, never more than the line holds."""
    line = 0.25 * np.pi * p["feed bore"] ** 2 * p["feed length"]
    hole = leak_constant(p["pump check valve leak"] + p["in-tank hose leak"], p["fuel density"])
    seconds = 60.0 * (at.minutes or 0.0)
    return np.minimum(0.9 * line, hole * np.sqrt(p["fuel density"] * GRAVITY * LINE_HEAD) * seconds)


def vapour_share(p: Mapping[str, Array], at: OperatingCondition, left: Array) -> Array:
    """Share of the rail that boiled after a hot stop, from what is held against the vapour pressure there."""
    if at.heat != "hot":
        return np.zeros(())
    need = vapour_pressure(p["fuel vapour pressure"], p["hot rail temperature"]) - p["atmosphere"]
    return np.clip((need - left) / 5.0e4, 0.0, 1.0)


def flooding(p: Mapping[str, Array], at: OperatingCondition, left: Array, c: Circuit) -> Array:
    """Fuel that leaked into the engine while standing, against what two seconds of cranking inject."""
    paths = leak_paths(p, OperatingCondition(pump="off", minutes=at.minutes))
    every = sum(paths.values())
    into = (paths["injectors"] + paths["diaphragm"]) / np.maximum(every, 1e-18)
    lost = stored(p, c.valve.opens_at) * np.maximum(c.valve.opens_at - left, 0.0)
    return into * lost / (2.0 * np.maximum(fuel_wanted(p, at), 1e-12))


def _sprayed(p: Mapping[str, Array], at: OperatingCondition, c: Circuit, s: FlowState) -> Array:
    """Fuel that leaves the injectors as a mist while cranking, against right."""
    mist = np.clip((s.rail - c.manifold) / SPRAYS, 0.0, 1.0)
    return fuel_ratio(p, at, c, s) * p["cranking fuelling"] * mist


def _counts(p: Mapping[str, Array], at: OperatingCondition, c: Circuit, s: FlowState, extra: Array) -> Array:
    """Share of firings that count towards running up while cranking."""
    ratio = np.maximum(_sprayed(p, at, c, s) + extra, 1e-3)
    fires = normal_below(np.log(ratio / LEAN_START) / HEADWAY) * normal_below(np.log(RICH_START / ratio) / HEADWAY)
    fires = fires * (1.0 - p["cranking spark loss"]) * (1.0 - p["burning loss"]) * (1.0 - p["injection loss"])
    fires = fires * normal_below((c.supply.battery - LEAST_VOLTS) / 0.5)
    return fires * normal_below((fires - RUNS_UP) / RUNS_UP_SPREAD)


def left_on_plugs(
    p: Mapping[str, Array], at: OperatingCondition, c: Circuit, s: FlowState, waiting: Array, flood: Array
) -> Array:
    """Fuel that ten seconds of cranking leave on the plugs, against what a sound engine is given; what does not burn
    for want of spark, or is no good to burn, comes on top. ``waiting`` is from ``starting``, ``flood`` as there."""
    sprayed = _sprayed(p, at, c, s) * (1.0 - p["injection loss"])
    sprayed = sprayed * (1.0 - np.minimum(waiting / CRANKED_SECONDS, 1.0))
    unburnt = 1.0 - (1.0 - p["cranking spark loss"]) * (1.0 - p["burning loss"])
    return sprayed * (1.0 + unburnt) + flood


def starting(
    p: Mapping[str, Array], at: OperatingCondition, c: Circuit, s: FlowState, left: Array, flood: Array
) -> tuple[Array, Array]:
    """Seconds spent waiting for fuel in line and rail, and seconds of cranking in all; ``LONGEST``: never starts.

    Args:
        left: what the rail ``held``, Pa.
        flood: what leaked into the engine meanwhile, as ``flooding`` has it.
    """
    rate = np.maximum(np.minimum(c.coefficients["q0"], c.coefficients["q_limit"]), 1e-9)
    fill = run_back(p, at) + stored(p, s.rail) * np.maximum(s.rail - left, 0.0)
    fill = fill + p["trapped air"] * np.maximum(1.0 - left / np.maximum(s.rail, 1.0), 0.0)
    waiting = np.maximum(fill / rate - PRIME_SECONDS * (p["key-on supply"] > 0.5), 0.0)
    waiting = waiting + PURGE_SECONDS * vapour_share(p, at, left)
    counts = _counts(p, at, c, s, flood)
    waiting = np.minimum(waiting, LONGEST)
    return waiting, np.minimum((SOUND_START + waiting) / np.maximum(counts, 0.01), LONGEST)
