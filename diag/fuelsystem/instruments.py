"""Between the fuel and the eye: zero, scale, heat, place and a blocked snubber."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from numpy.typing import ArrayLike, NDArray

from diag.fuelsystem.constants import SEA_LEVEL
from diag.fuelsystem.fluids import air_pressure
from diag.fuelsystem.points import OperatingCondition

Array = NDArray[np.float64]


def shown(p: Mapping[str, Array], at: OperatingCondition, rail: Array, pump_side: Array, below: Array) -> Array:
    """What the gauge or sensor named in the condition shows, Pa.

    Args:
        rail, pump_side, below: gauge pressure at the rail, before the filter, and below the regulator, Pa.
    """
    if at.gauge == "second":
        return rail
    if at.gauge == "sensor":
        return sensed(p, rail)
    there = np.where(p["gauge sees pump side"] > 0.5, pump_side, rail)
    there = np.where(p["gauge in return"] > 0.5, below, there)
    there = np.where(p["gauge stuck"] > 0.5, np.maximum(p["gauge stuck at"], 0.0), there)
    reading = there * p["gauge scale"] + p["gauge offset"]
    if at.heat == "hot":
        reading = reading + p["gauge hot offset"]
    return np.maximum(reading, np.minimum(p["gauge offset"], 0.0) - 5.0e4)


def sensed(p: Mapping[str, Array], rail: Array) -> Array:
    """What the control unit's rail sensor shows, Pa."""
    return rail * p["sensor scale"] + p["sensor offset"]


GRADES: dict[str, tuple[float, float]] = {
    "4A": (0.001, 0.001),
    "3A": (0.0025, 0.0025),
    "2A": (0.005, 0.005),
    "1A": (0.01, 0.01),
    "A": (0.02, 0.01),
    "B": (0.03, 0.02),
    "C": (0.04, 0.03),
    "D": (0.05, 0.05),
    "0.6": (0.006, 0.006),
    "1.0": (0.01, 0.01),
    "1.6": (0.016, 0.016),
    "2.5": (0.025, 0.025),
    "4.0": (0.04, 0.04),
}
"""Limit as a share of span in the outer quarters and in the middle half: ASME B40.100 grades and EN 837-1 classes
(grades A, D and 4A and the EN ladder from instrument pages; the others from memory)."""


def grade_limit(grade: str, span: float, pressure: float) -> float:
    """Greatest error a gauge of this grade may have at a pressure, Pa."""
    outer, middle = GRADES[grade]
    return span * (middle if 0.25 * span <= pressure <= 0.75 * span else outer)


def sensor_volts(pressure: ArrayLike, full_scale: ArrayLike, supply: ArrayLike = 5.0) -> Array:
    """Output of a ratiometric sensor, V: 10 % of supply at nothing, 90 % at full scale."""
    share = np.asarray(pressure, dtype=float) / np.asarray(full_scale, dtype=float)
    return np.asarray(np.asarray(supply, dtype=float) * (0.1 + 0.8 * share))


def sensor_reading(volts: ArrayLike, full_scale: ArrayLike, supply: ArrayLike = 5.0) -> Array:
    """Pressure that a control unit takes from a ratiometric sensor's volts, Pa."""
    share: Array = (np.asarray(volts, dtype=float) / np.asarray(supply, dtype=float) - 0.1) / 0.8
    reading: Array = np.asarray(full_scale, dtype=float) * share
    return reading


GLYCERINE_EXPANSION = 5.0e-4
"""Relative growth of glycerine's volume per kelvin (from memory)."""


def sealed_case_hot(celsius: ArrayLike, filled: ArrayLike = 0.85, sealed_at: float = 20.0) -> Array:
    """How much too low a sealed liquid-filled gauge reads when its case is warm, Pa; negative: too high. Any shape.

    The air left in the case warms up and is squeezed by the growing glycerine; its pressure works against the tube.
    """
    warmer = np.asarray(celsius, dtype=float) - sealed_at
    room = 1.0 - np.asarray(filled, dtype=float)
    left = np.maximum(room - np.asarray(filled, dtype=float) * GLYCERINE_EXPANSION * warmer, 0.01 * room)
    pressure = SEA_LEVEL * (sealed_at + 273.15 + warmer) / (sealed_at + 273.15) * room / left
    return np.subtract(pressure, SEA_LEVEL)


def sealed_case_altitude(metres: ArrayLike, sealed_at: float = 0.0) -> Array:
    """How much too low a sealed gauge reads when it is carried up a hill, Pa: the air's loss of pressure."""
    return np.subtract(air_pressure(sealed_at), air_pressure(metres))
