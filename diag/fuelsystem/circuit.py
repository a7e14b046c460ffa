"""From the parameters of a car and a condition to the coefficients of the steady balance."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from diag.fuelsystem.constants import BEND_DIAMETERS
from diag.fuelsystem.electrics import Supply, supply
from diag.fuelsystem.injectors import CRUISE_DEMAND, demand_constant
from diag.fuelsystem.lines import hole_constant, leak_constant, line_constant, line_terms, minor_constant
from diag.fuelsystem.parameters import NO_HOLE, NO_LIMIT
from diag.fuelsystem.points import OperatingCondition
from diag.fuelsystem.pump import pump_line
from diag.fuelsystem.reference import manifold_pressure, reference_pressure
from diag.fuelsystem.regulator import Valve, valve

Array = NDArray[np.float64]

ENTRY_LOSS = 0.8
"""Loss of the stub into the tank on its own velocity, besides the exit: a sharp reduction and a short bore
(library: sharp contraction 0.35, exit 1.0; the rest trade judgement)."""

PINCHED_HOLE = 2.0e-4
"""What a pinched hose still lets through, as a bore in m (trade judgement)."""

OPEN_HOSE = 0.6
"""Length of hose from the regulator into the container when the return is opened, m (trade judgement)."""

RUNNING_MINUTES = 5.0
"""Minutes that the engine is taken to have run when nothing is said (trade judgement)."""

PULL_MINUTES = 2.0
"""The longest that anyone holds full load (trade judgement)."""

DRIVEN_MINUTES = 90.0
"""A hot car has been driven this long with the tank closed (trade judgement: the longest of its usual drives)."""

TANK_GIVES_WAY = 5.0e4
"""Suction at which a closed tank folds in instead of pulling harder, Pa (trade judgement: steel stands that much)."""

SECOND_RISE = 2.0e4
"""A second regulator passes the rated pump flow this far above its setting, Pa (trade judgement)."""

DEAD_END_RISE = 1.0e3
"""How far a regulator without return lets the rail creep above its opening pressure, Pa (trade judgement)."""


@dataclass(frozen=True, slots=True)
class Circuit:
    """A car at a condition: coefficients for ``balance`` and what the readings need besides."""

    coefficients: dict[str, Array]
    supply: Supply
    valve: Valve
    tank: Array
    manifold: Array
    reference: Array


def tank_gauge(p: Mapping[str, Array], at: OperatingCondition) -> Array:
    """Gauge pressure in the tank, Pa; a blocked vent lets burnt fuel pull a vacuum, and heat or air raise it.

    The vacuum is that of the air above the fuel stretching by the fuel burnt, until the tank itself gives way.
    """
    if at.tank_cap == "open":
        return np.zeros(())
    blocked = p["tank vent restriction"]
    if at.engine_turns:
        minutes = RUNNING_MINUTES if at.minutes is None else at.minutes
        used = p["idle demand"] * minutes * 60.0
        if at.engine == "full load":
            used = p["full load demand"] * min(minutes, PULL_MINUTES) * 60.0
        if at.heat == "hot":
            used = used + CRUISE_DEMAND * p["idle demand"] * DRIVEN_MINUTES * 60.0
        room = p["tank volume"] * np.maximum(1.0 - p["tank level"], 0.05)
        return p["tank pressure"] - blocked * np.minimum(p["atmosphere"] * used / (room + used), TANK_GIVES_WAY)
    return p["tank pressure"] + (5.0e3 * blocked if at.heat == "hot" else 0.0)


def _line(p: Mapping[str, Array], bore: Array, straight: Array) -> tuple[Array, Array, Array]:
    return line_terms(bore, straight, p["fuel density"], p["fuel viscosity"])


def _hole(bore: Array, density: Array) -> Array:
    return np.where(bore >= 0.999 * NO_HOLE, 0.0, hole_constant(bore, density))


def _return(p: Mapping[str, Array], at: OperatingCondition) -> dict[str, Array]:
    bore, density = p["return bore"], p["fuel density"]
    if at.return_line == "opened":
        friction, reynolds, rough = _line(p, bore, OPEN_HOSE / bore)
        square = minor_constant(1.0, bore, density)
    else:
        straight = p["return length"] / bore + BEND_DIAMETERS * p["return bends"]
        friction, reynolds, rough = _line(p, bore, straight)
        square = _hole(p["return restriction hole"], density)
        entry = p["tank return entry bore"]
        square = square + minor_constant(1.0, np.minimum(bore, entry), density)
        square = square + np.where(entry < bore, minor_constant(ENTRY_LOSS, entry, density), 0.0)
        if at.return_line == "pinched":
            square = square + hole_constant(PINCHED_HOLE, density)
    return {"return_square": square, "return_friction": friction, "return_reynolds": reynolds, "return_rough": rough}


def return_drop(p: Mapping[str, Array], flow: Array) -> Array:
    """Pressure lost in the return as fitted, Pa, at a flow in m3/s: line, bends, kinks and the stub into the tank."""
    c = _return(p, OperatingCondition())
    whole = line_constant(flow, c["return_square"], c["return_friction"], c["return_reynolds"], c["return_rough"])
    return whole * flow * flow


def _feed(p: Mapping[str, Array]) -> dict[str, Array]:
    bore, density = p["feed bore"], p["fuel density"]
    friction, reynolds, rough = _line(p, bore, p["feed length"] / bore)
    clean = p["filter clean drop"] * p["filter restriction"] / p["pump rated flow"]
    square = _hole(p["feed restriction hole"], density) + minor_constant(1.5, bore, density)
    return {
        "feed_linear": 0.5 * clean,
        "feed_square": square + 0.5 * clean / p["pump rated flow"],
        "feed_friction": friction,
        "feed_reynolds": reynolds,
        "feed_rough": rough,
    }


def _to_open_air(p: Mapping[str, Array]) -> Array:
    """Holes through which the rail loses fuel against about the outside's pressure, m2."""
    return p["outside leak"] + p["bonnet leak"] + p["injector leak"] + p["extra injector leak"]


def _resistance(constant: Array) -> Array:
    """Pascal per (m3/s)^2 of a valve that passes ``constant`` m3/s per root pascal."""
    return 1.0 / np.maximum(constant, 1e-18) ** 2


def build(p: Mapping[str, Array], at: OperatingCondition) -> Circuit:
    """The coefficients of this car at a condition; every array keeps the smallest shape that holds its parameters."""
    density, rated = p["fuel density"], p["pump rated flow"]
    tank = tank_gauge(p, at)
    circuit = supply(p, at)
    line = pump_line(p, at, circuit, tank)
    manifold = manifold_pressure(p, at)
    reference = reference_pressure(p, at, manifold)
    outlet = np.zeros(()) if at.return_line == "opened" else tank + p["return check valve pressure"]
    v = valve(p, at, reference, outlet)
    feed = _feed(p)
    guess = v.opens_at + 4.0e3 + 1.2 * (feed["feed_linear"] * rated + feed["feed_square"] * rated * rated) - tank
    coefficients = {
        "tank": tank,
        "outlet": outlet,
        "q0": line.q0,
        "q1": line.q1,
        "q_limit": line.limit,
        "relief_at": line.relief_at,
        "relief_slope": line.relief_slope,
        "second_at": p["second regulator pressure"],
        "second_slope": np.where(p["second regulator pressure"] < 0.99 * NO_LIMIT, rated / SECOND_RISE, 0.0),
        "hose_leak": leak_constant(p["in-tank hose leak"], density),
        **feed,
        "manifold": manifold,
        "injectors": demand_constant(p, at),
        "outside": leak_constant(_to_open_air(p), density),
        "diaphragm_leak": leak_constant(p["diaphragm leak"] + p["damper leak"], density),
        "reference": reference,
        "dead_at": np.where(p["dead end"] > 0.5, v.opens_at + DEAD_END_RISE, 1e12),
        **_return(p, at),
        "valve": v.constant,
        "leak": v.leak,
        "lift_low": v.lift_low,
        "lift_high": v.lift_high,
        "resist_low": _resistance(v.constant * v.lift_low + v.leak),
        "resist_high": _resistance(v.constant * v.lift_high + v.leak),
        "spring": v.spring,
        "area_rail": v.area_rail,
        "area_return": v.area_return,
        "force": v.force,
        "scale": p["pump rated pressure"] / rated,
        "start": guess,
    }
    return Circuit(coefficients, circuit, v, tank, manifold, reference)
