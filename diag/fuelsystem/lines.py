"""Pipes, bends and holes: Darcy-Weisbach with Churchill's friction factor, and sharp-edged orifices."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from diag.fuelsystem.constants import ORIFICE, TUBE_ROUGHNESS

Array = NDArray[np.float64]


def reynolds(flow: ArrayLike, bore: ArrayLike, density: ArrayLike, viscosity: ArrayLike) -> Array:
    """Reynolds number of a full round pipe; flow m3/s, bore m. Any shape."""
    return np.asarray(4.0 * np.asarray(density) * np.abs(flow) / (np.pi * np.asarray(viscosity) * np.asarray(bore)))


def churchill(re: Array, relative_roughness: ArrayLike = 0.0) -> Array:
    """Darcy friction factor for every flow regime in one formula (Churchill 1977). Any shape; ``re`` at least 1e-3."""
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


def line_terms(
    bore: ArrayLike, straight: ArrayLike, density: ArrayLike, viscosity: ArrayLike, roughness: float = TUBE_ROUGHNESS
) -> tuple[Array, Array, Array]:
    """What ``line_constant`` needs of a line: friction and Reynolds constant, relative roughness. Any shape.

    Args:
        straight: length in diameters, bends included (a smooth right-angle bend is ``BEND_DIAMETERS``).
    """
    d, rho = np.asarray(bore, dtype=float), np.asarray(density)
    return np.asarray(straight) * minor_constant(1.0, d, rho), reynolds(1.0, d, rho, viscosity), roughness / d


def line_constant(flow: Array, square: Array, friction: Array, reynolds_of_one: Array, rough: Array) -> Array:
    """Pascal per (m3/s)^2 of a line at this flow; ``square`` is what its holes and fittings add."""
    return square + friction * churchill(np.maximum(reynolds_of_one * flow, 1e-3), rough)


def minor_constant(loss: ArrayLike, bore: ArrayLike, density: ArrayLike) -> Array:
    """Pascal per (m3/s)^2 of a fitting with this loss coefficient on the velocity in ``bore``."""
    d = np.asarray(bore, dtype=float)
    return np.asarray(np.asarray(loss) * 0.5 * np.asarray(density) / (0.25 * np.pi * d * d) ** 2)


def hole_constant(bore: ArrayLike, density: ArrayLike, discharge: ArrayLike = ORIFICE) -> Array:
    """Pascal per (m3/s)^2 of a sharp hole."""
    return minor_constant(1.0 / np.square(discharge), bore, density)


def leak_constant(area: ArrayLike, density: ArrayLike, discharge: ArrayLike = ORIFICE) -> Array:
    """m3/s per square root of pascal through a hole of ``area`` m2."""
    return np.asarray(np.asarray(discharge) * np.asarray(area, dtype=float) * np.sqrt(2.0 / np.asarray(density)))
