"""The pump: a straight line in pressure and volts through its rated point, capped by its inlet and its relief valve."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from diag.fuelsystem.constants import GRAVITY
from diag.fuelsystem.electrics import Supply
from diag.fuelsystem.fluids import vapour_pressure
from diag.fuelsystem.points import OperatingCondition, pull_seconds

Array = NDArray[np.float64]

INLET_DROP = 15.0e3
"""Pressure above vapour pressure that a clean strainer and the pump inlet need at rated flow, Pa (trade judgement:
trouble begins at 1 to 2 psi of suction on warm fuel)."""

RELIEF_RISE = 0.10
"""A relief valve passes the rated flow at this much above its opening pressure (trade judgement)."""

BOILING_BAND = 3.0e3
"""Petrol is a mixture and boils over a band of pressures, Pa (trade judgement)."""

HOT_RISE = 10.0
"""Kelvin that the fuel at the pump gains at the setting "heat: hot" (trade judgement)."""


EMPTY_POT = 0.15
"""What a pump still gives once the pot before it has run empty, froth included (trade judgement)."""


@dataclass(frozen=True, slots=True)
class PumpLine:
    """Flow against pressure rise d: min(q0 - q1 d, limit) less relief_slope (d - relief_at); m3/s and Pa."""

    q0: Array
    q1: Array
    limit: Array
    relief_at: Array
    relief_slope: Array


def size_factor(p: Mapping[str, Array], at: OperatingCondition) -> Array:
    """Share of the stated flow that the pumps running at this condition are good for."""
    part = p["second pump part"]
    share = p["second pump share"]
    if at.engine != "full load":
        share = share * (1.0 - p["second pump staged"])
    size = (p["pump flow factor"] * p["pump direction"] * (1.0 - part * (1.0 - share))) * (
        1.0 - p["vapour at pump inlet"]
    )
    size = np.where(p["pump stuck"] > 0.5, 0.0, size)
    if at.engine == "full load":
        size = size * np.where(p["seconds of full load"] < pull_seconds(at), EMPTY_POT, 1.0)
    return size * (1.0 - p["pump hot slowing"]) if at.heat == "hot" else size


def _effective(push: Array) -> Array:
    """What pushes liquid in when ``push`` is left above vapour pressure, Pa; it fades instead of stopping at zero."""
    return BOILING_BAND * np.logaddexp(0.0, push / BOILING_BAND)


def pump_line(p: Mapping[str, Array], at: OperatingCondition, circuit: Supply, tank: Array) -> PumpLine:
    """The pump of this car at a condition; ``tank`` is the tank's gauge pressure, Pa.

    With volts V at the motor: Q = rated flow * factor * [(1 + s) V/V0 - s d/p0]; V itself falls with d because the
    current rises, so that Q stays a straight line in d.
    """
    slope = p["pump slope"]
    size = p["pump rated flow"] * size_factor(p, at)
    duty = circuit.duty
    resistance = circuit.feed + circuit.ground
    free = (duty * circuit.battery - duty * duty * resistance * circuit.standing) / p["pump rated volts"]
    lost = duty * duty * resistance * circuit.per_pascal / p["pump rated volts"]
    q0 = np.maximum(size * (1.0 + slope) * free, 0.0)
    q1 = p["pump rated flow"] * ((1.0 + slope) * lost + slope / p["pump rated pressure"])
    warm = p["fuel temperature"] + (HOT_RISE if at.heat == "hot" else 0.0)
    head = p["fuel density"] * GRAVITY * 0.25 * p["tank level"]
    push = p["atmosphere"] + tank + head - vapour_pressure(p["fuel vapour pressure"], warm)
    limit = p["pump rated flow"] * (1.0 - p["pump inlet restriction"]) * np.sqrt(_effective(push) / INLET_DROP)
    relief_slope = p["pump rated flow"] / (RELIEF_RISE * p["pump relief pressure"])
    return PumpLine(q0, q1, limit, p["pump relief pressure"], relief_slope)
