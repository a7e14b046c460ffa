"""Pressure after switch-off: the rail's store empties through every leak that is not clamped off."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from diag.fuelsystem.lines import leak_constant
from diag.fuelsystem.points import OperatingCondition
from diag.fuelsystem.regulator import valve_constant
from diag.fuelsystem.rows import row_by_row

Array = NDArray[np.float64]

_STEPS = 48
CLAMPED = 5.0e-12
"""The most that a clamped hose still lets through, as a hole in m2 (trade judgement)."""


def leak_paths(p: Mapping[str, Array], at: OperatingCondition) -> dict[str, Array]:
    """Every way out of the rail after switch-off, m3/s per square root of pascal."""
    density = p["fuel density"]
    sealed = leak_constant(CLAMPED, density)
    stuck = valve_constant(p["seat diameter"], density, p["valve discharge"]) * p["valve lift floor"]
    through = np.where(p["dead end"] > 0.5, 0.0, leak_constant(p["seat leak"], density) + stuck)
    second = np.where(p["second regulator pressure"] < 1e4, leak_constant(1e-6, density), 0.0)
    pump = leak_constant(p["pump check valve leak"] + p["in-tank hose leak"], density) + second
    if at.clamp in ("feed", "both"):
        pump = np.minimum(pump, sealed)
    if at.clamp in ("return", "both"):
        through = np.minimum(through, sealed)
    return {
        "pump check valve": pump,
        "regulator seat": through,
        "injectors": leak_constant(p["injector leak"] + p["extra injector leak"], density),
        "outside": leak_constant(p["outside leak"] + p["bonnet leak"], density),
        "diaphragm": leak_constant(p["diaphragm leak"] + p["damper leak"], density),
    }


def decay(start: Array, leak: Array, compliance: Array, shrink: Array, seconds: float) -> Array:
    """Pressure after ``seconds``, Pa: dP/dt = -leak sqrt(P) / compliance - shrink, never below zero. Any shape.

    Implicit steps in sqrt(P), growing in length, so that a sudden fall is followed as well as a slow one.
    """
    if seconds <= 0.0:
        return np.asarray(start, dtype=float)
    a = leak / compliance
    root = np.sqrt(np.maximum(np.asarray(start, dtype=float), 0.0))
    edges = seconds * (np.arange(_STEPS + 1) / _STEPS) ** 3
    for dt in np.diff(edges):
        # trapezium in root: 2 du/dt = -a - shrink/u; the implicit quadratic keeps it from passing zero
        half = 0.5 * a * dt
        left = root * root - half * root - shrink * dt
        root = 0.5 * (np.sqrt(np.maximum(half * half + 4.0 * np.maximum(left, 0.0), 0.0)) - half)
        root = np.maximum(root, 0.0)
    return np.asarray(root * root)


def closing_pressure(p: Mapping[str, Array], at: OperatingCondition, running: Array, opens_at: Array) -> Array:
    """Where the slow fall begins, Pa: with the pump stopped the valve passes fuel until its spring shuts it.

    That takes a moment, since rail and hoses store little. A return clamped as the pump stops, or none at all, leaves
    the running pressure standing.
    """
    if at.clamp in ("return", "both"):
        return running
    return np.where(p["dead end"] > 0.5, running, np.minimum(running, opens_at))


def after_switch_off(p: Mapping[str, Array], at: OperatingCondition, start: Array) -> Array:
    """Rail pressure, Pa, ``at.minutes`` after the pump stopped; long after (no minutes said) nothing is left."""
    if at.minutes is None:
        return np.zeros_like(start)
    seconds = 60.0 * at.minutes

    def after(start: Array, leak: Array, compliance: Array, shrink: Array) -> Array:
        return decay(start, leak, compliance, shrink, seconds)

    leak = np.asarray(sum(leak_paths(p, at).values()))
    return row_by_row(after, np.asarray(start), leak, np.asarray(stored(p, start)), p["cooling shrink"] / 60.0)


def stored(p: Mapping[str, Array], pressure: Array) -> Array:
    """Fuel that rail and hoses give back per pascal, m3/Pa; trapped air (isothermal) adds V Pa / (Pa + P)^2."""
    air = p["atmosphere"]
    return p["rail compliance"] + p["trapped air"] * air / (air + np.maximum(pressure, 0.0)) ** 2
