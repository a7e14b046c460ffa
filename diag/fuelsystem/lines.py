"""Pipes, bends and holes: Darcy-Weisbach with Churchill's friction factor, and sharp-edged orifices."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from diag.fuelsystem.constants import BEND_DIAMETERS, ORIFICE, TUBE_ROUGHNESS

Array = NDArray[np.float64]


def reynolds(flow: ArrayLike, bore: ArrayLike, density: ArrayLike, viscosity: ArrayLike) -> Array:
    """Reynolds number of a full round pipe; flow m3/s, bore m. Any shape."""
    return 4.0 * np.asarray(density) * np.abs(flow) / (np.pi * np.asarray(viscosity) * np.asarray(bore))


def friction_factor(reynolds_number: ArrayLike, relative_roughness: ArrayLike = 0.0) -> Array:
    """Darcy friction factor for every flow regime in one formula (Churchill 1977). Any shape, Re > 0."""
    return churchill(np.maximum(np.asarray(reynolds_number, dtype=float), 1e-3), relative_roughness)


def churchill(re: Array, relative_roughness: ArrayLike = 0.0) -> Array:
    """Churchill's formula without the guard against Re of zero; ``re`` at least 1e-3."""
    a = -2.457 * np.log(np.exp(-0.9 * np.log(re * (1.0 / 7.0))) + 0.27 * np.asarray(relative_roughness))
    a = a * a
    a = a * a
    a = a * a
    a = a * a
    b = 37530.0 / re
    b = b * b
    b = b * b
    b = b * b
    turbulent = a + b * b
    laminar = 8.0 / re
    laminar = laminar * laminar * laminar
    laminar = laminar * laminar
    return 8.0 * np.sqrt(np.sqrt(np.cbrt(laminar * laminar + 1.0 / (turbulent * np.sqrt(turbulent)))))


def line_drop(
    flow: ArrayLike,
    bore: ArrayLike,
    length: ArrayLike,
    density: ArrayLike,
    viscosity: ArrayLike,
    bends: ArrayLike = 0.0,
    minor: ArrayLike = 0.0,
    roughness: float = TUBE_ROUGHNESS,
) -> Array:
    """Pressure lost in a line, Pa. Any shape; flow m3/s, bore and length m.

    Args:
        bends: number of smooth right-angle bends, each worth ``BEND_DIAMETERS`` diameters of tube.
        minor: sum of loss coefficients on the line's own velocity (1.0: the exit into the tank).
    """
    d = np.asarray(bore, dtype=float)
    area = 0.25 * np.pi * d * d
    f = friction_factor(reynolds(flow, d, density, viscosity), roughness / d)
    k = f * (np.asarray(length) / d + BEND_DIAMETERS * np.asarray(bends)) + minor
    return k * 0.5 * np.asarray(density) * (np.asarray(flow) / area) ** 2


def hole_constant(bore: ArrayLike, density: ArrayLike, discharge: ArrayLike = ORIFICE) -> Array:
    """Pascal per (m3/s)^2 of a sharp hole."""
    d = np.asarray(bore, dtype=float)
    return 0.5 * np.asarray(density) / (np.asarray(discharge) * 0.25 * np.pi * d * d) ** 2


def leak_constant(area: ArrayLike, density: ArrayLike, discharge: ArrayLike = ORIFICE) -> Array:
    """m3/s per square root of pascal through a hole of ``area`` m2."""
    return np.asarray(discharge) * np.asarray(area, dtype=float) * np.sqrt(2.0 / np.asarray(density))
