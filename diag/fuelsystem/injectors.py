"""What the engine takes from the rail, by the square-root law."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from numpy.typing import ArrayLike, NDArray

from diag.fuelsystem.constants import CATALOGUE_PRESSURE
from diag.fuelsystem.points import OperatingCondition

Array = NDArray[np.float64]

CRUISE_DEMAND = 4.0
"""Fuel at a light cruise against that at idle (trade judgement)."""

LOW_REVS = 0.45
"""Fuel of a full pull low in the revs against that at the top (trade judgement)."""

SNAP_DEMAND = 0.3
"""Fuel at the moment of a snapped throttle, revs still low, against full load (trade judgement)."""

CRANKING_DEMAND = 1.5
"""Fuel while cranking against that at idle (trade judgement)."""


def injector_flow(catalogue: ArrayLike, difference: ArrayLike, stated_at: ArrayLike = CATALOGUE_PRESSURE) -> Array:
    """Flow of an injector at another pressure across it: times the square root of the ratio. Any shape."""
    ratio = np.maximum(np.asarray(difference, dtype=float), 0.0) / np.asarray(stated_at, dtype=float)
    return np.asarray(np.asarray(catalogue, dtype=float) * np.sqrt(ratio))


def fuel_wanted(p: Mapping[str, Array], at: OperatingCondition) -> Array:
    """What the engine burns at this condition when all is right, m3/s."""
    if at.engine == "full load":
        return p["full load demand"] * (LOW_REVS if at.rpm == "low" else 1.0)
    if at.engine == "snap":
        return SNAP_DEMAND * p["full load demand"]
    return {"idle": 1.0, "cruise": CRUISE_DEMAND, "cranking": CRANKING_DEMAND}.get(at.engine, 0.0) * p["idle demand"]


def demand_constant(p: Mapping[str, Array], at: OperatingCondition) -> Array:
    """m3/s per square root of pascal across the injectors at this condition.

    The control unit opens the injectors as long as it thinks right for the target pressure; what then flows follows
    the pressure that is really there. Held open all the time they cannot pass more than their rated flow.
    """
    if at.engine == "off":
        return np.zeros(())
    asked = fuel_wanted(p, at) / np.sqrt(p["target pressure"])
    most = p["injector flow"] * p["injector count"] / np.sqrt(CATALOGUE_PRESSURE)
    return np.asarray(np.minimum(asked, most))
