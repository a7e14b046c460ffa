"""What the manifold does and how much of it arrives at the regulator's diaphragm."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from diag.fuelsystem.points import Condition

Array = NDArray[np.float64]

CRUISE_SHARE = 0.75
"""Vacuum at a light cruise against that at idle (trade judgement)."""

FULL_LOAD_VACUUM = 1.7e3
"""What an open throttle still holds back, Pa (trade judgement: about half an inch of mercury)."""

CRANKING_VACUUM = 5.0e3
"""Vacuum while cranking, Pa (trade judgement)."""


def manifold_pressure(p: Mapping[str, Array], at: Condition) -> Array:
    """Gauge pressure in the intake manifold, Pa, negative for vacuum."""
    idle = p["idle vacuum"] if at.vacuum is None else np.asarray(at.vacuum)
    if at.engine == "off":
        return np.zeros(())
    if at.engine == "cranking":
        return np.asarray(-CRANKING_VACUUM)
    if at.engine == "full load":
        boost = p["boost pressure"] if at.boost is None else np.asarray(at.boost)
        return np.where(boost > 0.0, boost, -FULL_LOAD_VACUUM)
    if at.engine == "cruise" and at.vacuum is None:
        return -CRUISE_SHARE * idle
    return -np.asarray(idle, dtype=float)


def reference_pressure(p: Mapping[str, Array], at: Condition, manifold: Array) -> Array:
    """Gauge pressure over the regulator's diaphragm, Pa: open air, the manifold through its hose, or a hand pump."""
    if at.hose == "off":
        return np.zeros(())
    if at.hose == "hand":
        asked = np.maximum(at.reference, -0.97 * p["atmosphere"])
        return asked * p["reference hand share"]
    share = np.where(manifold < 0.0, p["reference vacuum share"], p["reference boost share"])
    return manifold * share
