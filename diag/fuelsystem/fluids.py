"""Fuels and air: density, viscosity, vapour pressure, burning figures, and the standard atmosphere."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from diag.fuelsystem.constants import GRAVITY, HORSEPOWER, POUND, SEA_LEVEL

REID_TEMPERATURE = 310.95
"""100 F, where Reid vapour pressure is stated, K."""


@dataclass(frozen=True, slots=True)
class Fuel:
    """What a fuel is to the pipes and to the engine.

    ``density`` kg/m3 and ``viscosity`` Pa.s at 20 C with their spread (standard deviation, relative); ``vapour``
    Reid vapour pressure in Pa with relative spread; ``vapour_slope`` K in ln(p) = -slope/T; ``stoichiometric`` air
    over fuel by mass; ``bsfc`` and ``bsfc_boosted`` low and high in kg/J; ``volume`` fuel volume against petrol at
    equal lambda.
    """

    name: str
    density: float
    density_spread: float
    viscosity: float
    viscosity_spread: float
    vapour: float
    vapour_spread: float
    vapour_slope: float
    stoichiometric: float
    volume: float
    bsfc: tuple[float, float]
    bsfc_boosted: tuple[float, float]
    source: str


_LB_HP_H = POUND / (HORSEPOWER * 3600.0)  # one lb/hp.h in kg/J


def _bsfc(low: float, high: float) -> tuple[float, float]:
    return low * _LB_HP_H, high * _LB_HP_H


FUELS: dict[str, Fuel] = {
    "petrol": Fuel("petrol", 740.0, 0.012, 5.0e-4, 0.12, 6.2e4, 0.15, 3000.0, 14.6, 1.0,
                   _bsfc(0.45, 0.50), _bsfc(0.55, 0.65), "EN 228, AFDC tables; vapour slope from memory"),
    "E10": Fuel("E10", 745.0, 0.012, 5.2e-4, 0.12, 6.5e4, 0.15, 3050.0, 14.01, 1.036,
                _bsfc(0.46, 0.52), _bsfc(0.57, 0.68), "ideal mix of petrol and ethanol"),
    "E85": Fuel("E85", 782.0, 0.01, 1.05e-3, 0.12, 5.5e4, 0.2, 3600.0, 9.8, 1.412,
                _bsfc(0.65, 0.70), _bsfc(0.78, 0.88), "ASTM D5798 vapour classes; viscosity an estimate from memory"),
    "ethanol": Fuel("ethanol", 789.4, 0.004, 1.194e-3, 0.05, 1.593e4, 0.05, 5107.0, 9.0, 1.522,
                    _bsfc(0.70, 0.80), _bsfc(0.85, 0.95), "CoolProp 8 at 20 C and 37.8 C; BSFC from memory"),
    "methanol": Fuel("methanol", 791.0, 0.004, 5.853e-4, 0.05, 3.2e4, 0.05, 4600.0, 6.47, 2.112,
                     _bsfc(0.95, 1.05), _bsfc(1.1, 1.3), "CoolProp 8 at 20 C and 37.8 C; trade BSFC figures"),
}  # fmt: skip
"""The fuels the program knows, by the words a car field uses."""


def vapour_pressure(reid: ArrayLike, temperature: ArrayLike, slope: ArrayLike = 3000.0) -> NDArray[np.float64]:
    """Vapour pressure, Pa, at ``temperature`` (K) from the Reid figure by Clausius and Clapeyron. Any shape."""
    kelvin = np.asarray(temperature, dtype=float)
    return np.asarray(reid, dtype=float) * np.exp(np.asarray(slope) * (1.0 / REID_TEMPERATURE - 1.0 / kelvin))


def air_pressure(altitude: ArrayLike) -> NDArray[np.float64]:
    """Pressure of the standard atmosphere, Pa, at ``altitude`` in m up to 11 km (ISO 2533). Any shape."""
    height = np.asarray(altitude, dtype=float)
    geopotential = 6356766.0 * height / (6356766.0 + height)
    return SEA_LEVEL * (1.0 - 0.0065 * geopotential / 288.15) ** (GRAVITY * 0.0289644 / (8.31432 * 0.0065))


def fuel_burnt(power: ArrayLike, specific: ArrayLike, density: ArrayLike) -> NDArray[np.float64]:
    """Fuel volume flow, m3/s, for a power in W at a specific consumption in kg/J. Any shape."""
    return np.asarray(
        np.asarray(power, dtype=float) * np.asarray(specific, dtype=float) / np.asarray(density, dtype=float)
    )
