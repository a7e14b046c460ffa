"""What the manifold does and how much of it arrives at the regulator's diaphragm."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from diag.fuelsystem.points import OperatingCondition, pull_seconds

Array = NDArray[np.float64]

CRUISE_SHARE = 0.75
"""Vacuum at a light cruise against that at idle (trade judgement)."""

FULL_LOAD_VACUUM = 1.7e3
"""What an open throttle still holds back, Pa (trade judgement: about half an inch of mercury)."""

CRANKING_VACUUM = 5.0e3
"""Vacuum while cranking, Pa (trade judgement)."""


SNAP_SECONDS = 0.3
"""How soon after the throttle is snapped open the mixture decides whether the engine picks up (trade judgement)."""


def manifold_pressure(p: Mapping[str, Array], at: OperatingCondition) -> Array:
    """Gauge pressure in the intake manifold, Pa, negative for vacuum."""
    idle = p["idle vacuum"] if at.vacuum is None else np.asarray(at.vacuum)
    if at.engine == "off":
        return np.zeros(())
    if at.engine == "cranking":
        return np.asarray(-CRANKING_VACUUM)
    if at.engine == "full load":
        told = np.where(p["boost pressure"] > 0.0, p["boost pressure"], at.usual_boost)
        boost = told if at.boost is None else np.asarray(at.boost)
        return np.where(boost > 0.0, boost, -FULL_LOAD_VACUUM)
    if at.engine == "snap":
        return np.asarray(-FULL_LOAD_VACUUM)
    if at.engine == "cruise" and at.vacuum is None:
        return -CRUISE_SHARE * idle
    return -np.asarray(idle, dtype=float)


def reference_pressure(p: Mapping[str, Array], at: OperatingCondition, manifold: Array) -> Array:
    """Gauge pressure over the regulator's diaphragm, Pa: open air, the manifold through its hose, or a hand pump."""
    if at.hose == "off":
        return np.zeros(())
    if at.hose == "hand":
        asked = np.maximum(at.reference, -0.97 * p["atmosphere"])
        return asked * p["reference hand share"]
    if at.hose == "through":
        asked = np.maximum(at.reference, -0.97 * p["atmosphere"])
        return _arriving(p, asked) * p["reference hand share"]
    arrived = _arriving(p, manifold)
    if at.engine not in ("full load", "snap"):
        return arrived
    idle = -p["idle vacuum"]
    arrived = np.where(
        p["reference vacuum held"] > 0.0, np.minimum(arrived, p["reference vacuum held"] * idle), arrived
    )
    seconds = SNAP_SECONDS if at.engine == "snap" else pull_seconds(at)
    late = np.exp(-seconds / np.maximum(p["reference lag"] + p["diaphragm lag"], 1e-3))
    return arrived + late * (_arriving(p, idle) - arrived)


def _arriving(p: Mapping[str, Array], sent: Array) -> Array:
    """What the hose passes on of a steady gauge pressure at its manifold end, Pa."""
    return sent * np.where(sent < 0.0, p["reference vacuum share"], p["reference boost share"])
