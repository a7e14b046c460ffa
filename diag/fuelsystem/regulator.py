"""The diaphragm regulator as a force balance, with closed formulas for the desk.

Rail P, return outlet B, reference Pm (all gauge), diaphragm area A, seat area S, preload F0, rate k, lift x:

    P (A - S) + B S = Pm A + F0 + k x
    Q = Cd pi ds x sqrt(2 (P - B) / rho), x no more than the lift limit

Set pressure F0 / (A - S) is the rail pressure with the reference open at no flow. Flow forces are neglected.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from diag.fuelsystem.points import OperatingCondition

Array = NDArray[np.float64]

LIFT_SHARE = 0.8
"""Real valves have less than the ideal lift of a quarter of the seat diameter; a documented assumption."""


A_TURN = 6.0e4
"""What about one turn of the adjuster does to the set pressure, Pa (judgement: 8 to 10 psi a turn)."""


def ideal_lift(seat: ArrayLike) -> Array:
    """Lift at which the slot around the seat is as large as the seat itself, m: ds/4."""
    return 0.25 * np.asarray(seat, dtype=float)


def areas(diaphragm: ArrayLike, seat: ArrayLike) -> tuple[Array, Array]:
    """Diaphragm and seat area, m2; a seat larger than 90 % of the diaphragm is brought to that."""
    d = np.asarray(diaphragm, dtype=float)
    s = np.minimum(np.asarray(seat, dtype=float), 0.9 * d)
    return 0.25 * np.pi * d * d, 0.25 * np.pi * s * s


def reference_slope(diaphragm: ArrayLike, seat: ArrayLike) -> Array:
    """Rail pressure per pascal of reference: A / (A - S)."""
    a, s = areas(diaphragm, seat)
    return a / (a - s)


def screw_sensitivity(spring: ArrayLike, diaphragm: ArrayLike, seat: ArrayLike = 0.0) -> Array:
    """Pascal of set pressure per metre of screw travel: k / (A - S)."""
    a, s = areas(diaphragm, seat)
    return np.asarray(spring, dtype=float) / (a - s)


def valve_constant(seat: ArrayLike, density: ArrayLike, discharge: ArrayLike = 0.65) -> Array:
    """m3/s per metre of lift and per square root of pascal."""
    return np.asarray(
        np.asarray(discharge) * np.pi * np.asarray(seat, dtype=float) * np.sqrt(2.0 / np.asarray(density))
    )


def wide_open_drop(flow: ArrayLike, seat: ArrayLike, density: ArrayLike, lift: ArrayLike | None = None,
                   discharge: ArrayLike = 0.65) -> Array:  # fmt: skip
    """Pressure lost over the fully open seat, Pa."""
    full = ideal_lift(seat) if lift is None else np.asarray(lift, dtype=float)
    return (np.asarray(flow, dtype=float) / (valve_constant(seat, density, discharge) * full)) ** 2


@dataclass(frozen=True, slots=True)
class Valve:
    """The regulator of one condition in the form that ``balance`` takes."""

    constant: Array
    leak: Array
    lift_low: Array
    lift_high: Array
    spring: Array
    area_rail: Array
    area_return: Array
    force: Array
    opens_at: Array


def _setting(p: Mapping[str, Array], at: OperatingCondition) -> Array:
    """What the spring asks for; "slack" is a regulator whose set spring is taken out."""
    if at.screw == "slack":
        return np.zeros(())
    found, low, high = p["set pressure"], p["screw out pressure"], p["screw in pressure"]
    goal = {"as found": found, "out": low, "in": high, "turned out": np.maximum(found - A_TURN, np.minimum(low, found)),
            "turned in": np.minimum(found + A_TURN, np.maximum(high, found))}[at.screw]  # fmt: skip
    asked = found + p["screw effect"] * (goal - found)
    return np.maximum(asked + p["set pressure hot shift"], 0.0) if at.heat == "hot" else asked


def friction(p: Mapping[str, Array], reference: Array) -> Array:
    """What friction adds to the rail: it holds the valve back against the last move of the reference, Pa."""
    moved = np.sign(reference)
    side = np.where(moved == 0.0, 0.5 * p["friction side"], -moved)
    return p["diaphragm friction"] * side


def _gain(p: Mapping[str, Array], reference: Array) -> Array:
    """What a change of the reference makes of the spring's force against what the areas give."""
    return p["reference gain"] * np.where(reference > 0.0, p["boost gain"], 1.0)


def valve(p: Mapping[str, Array], at: OperatingCondition, reference: Array, back: Array) -> Valve:
    """The regulator of this car at a condition; ``back`` is the gauge pressure where the return ends, Pa."""
    whole, seat = areas(p["diaphragm diameter"], p["seat diameter"])
    ring = whole - seat
    swapped = p["ports swapped"] > 0.5
    # Swapped, the return's pressure lies under the diaphragm; it could only help once fuel already flows, so it is
    # left out: the valve then opens where the rail alone can push it off its seat.
    rail, outlet = np.where(swapped, seat, ring), np.where(swapped, 0.0, seat)
    force = (_setting(p, at) + friction(p, reference)) * ring + reference * _gain(p, reference) * whole
    shut = p["dead end"] > 0.5
    low = np.where(shut, 0.0, p["valve lift floor"])
    high = np.where(shut, 0.0, np.maximum(p["valve lift limit"], low))
    c = valve_constant(p["seat diameter"], p["fuel density"], p["valve discharge"])
    leak = np.where(shut, 0.0, 0.61 * p["seat leak"] * np.sqrt(2.0 / p["fuel density"]))
    opens = np.maximum((force - back * outlet) / rail, 0.0)
    return Valve(c, leak, low, high, p["spring rate"], rail, outlet, force, opens)
