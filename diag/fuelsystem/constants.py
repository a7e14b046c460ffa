"""Figures of physics that are the same on every car, SI."""

from __future__ import annotations

from diag.quantities import units

PSI = units.PSI
BAR = 1.0e5
INHG = units.MERCURY * units.GRAVITY * units.INCH
LITRE_PER_HOUR = 1.0e-3 / 3600.0
SEA_LEVEL = units.ATMOSPHERE
GRAVITY = units.GRAVITY
CATALOGUE_PRESSURE = 3.0e5
"""Pressure across an injector at which catalogues state its flow, Pa (common practice, no source)."""

ORIFICE = 0.61
"""Discharge coefficient of a sharp edge: pi/(pi + 2) from slot theory."""

TUBE_ROUGHNESS = 1.5e-6
"""Drawn tube, m (White, Fluid Mechanics, table of roughness; from memory)."""

BEND_DIAMETERS = 12.0
"""A smooth bend of two to three bend diameters drops as much as this many diameters of straight tube
(Crane TP-410: K = 12 fT)."""

HORSEPOWER = 550 * units.FOOT * units.POUND_FORCE
POUND = units.POUND

SET_TO_TARGET = "set pressure brought to target"
"""Among the parameters that a stretch of the job drew anew: the base pressure was set on purpose, as after a repair."""
