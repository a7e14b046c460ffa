"""Everything about how the engine runs at a condition, by name, from one solution of the fuel system."""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping

import numpy as np
from numpy.typing import NDArray

from diag.fuelsystem.balance import FlowState
from diag.fuelsystem.circuit import Circuit
from diag.fuelsystem.mixture import idles, running
from diag.fuelsystem.points import OperatingCondition
from diag.fuelsystem.starting import flooding, held, left_on_plugs, starting

Array = NDArray[np.float64]
At = tuple[Mapping[str, Array], OperatingCondition, Circuit, FlowState]

_STEADY = (
    "mixture error", "mixture before trim", "mixture shown", "mixture by the log", "size of the mixture error",
    "fuel trim", "misfire share", "torque share",
)  # fmt: skip
STARTING = ("starting seconds", "filling seconds", "start flooding", "cranking fuel")
"""What is told of the start, also of an engine that never runs."""

_OTHER = ("idles", "pressure swing", "idle air share", "pump strain", "inlet shortfall")
_NO_RATIO = {"starting seconds": "time", "filling seconds": "time", "pressure swing": "pressure"}

RUNNING: tuple[str, ...] = (*_STEADY, *STARTING, *_OTHER)
KINDS: Mapping[str, str] = {name: _NO_RATIO.get(name, "ratio") for name in RUNNING}
"""What can be asked of the engine, with its unit family. Shares are plain numbers: a mixture error of 0.1 is a tenth
too rich, -0.1 a tenth too lean; a trim of 0.1 is a tenth added; a torque share of 1 is what a sound engine gives."""


def _starting(p: Mapping[str, Array], at: OperatingCondition, c: Circuit, s: FlowState) -> dict[str, Array]:
    left = held(p, at, c)
    flood = flooding(p, at, left, c)
    waits, seconds = starting(p, at, c, s, left, flood)
    return {
        "starting seconds": seconds,
        "filling seconds": waits,
        "start flooding": flood,
        "cranking fuel": left_on_plugs(p, at, c, s, waits, flood),
    }


def _steady(p: Mapping[str, Array], at: OperatingCondition, c: Circuit, s: FlowState) -> dict[str, Array]:
    runs = running(p, at, c, s)
    return {
        "mixture error": runs.mixture - 1.0,
        "mixture before trim": runs.before - 1.0,
        "mixture shown": runs.shown - 1.0,
        "mixture by the log": runs.by_log - 1.0,
        "size of the mixture error": np.abs(runs.by_log - 1.0),
        "fuel trim": runs.trim,
        "misfire share": runs.misfire,
        "torque share": runs.torque,
    }


def _other(p: Mapping[str, Array], at: OperatingCondition, c: Circuit, s: FlowState) -> dict[str, Array]:
    free = np.maximum(c.coefficients["q0"] - c.coefficients["q1"] * s.rise, 1e-12)
    return {
        "idles": idles(p),
        "pressure swing": p["pressure swing"],
        "idle air share": p["idle air"] + p["air behind the meter"],
        "pump strain": s.rise / p["pump rated pressure"],
        "inlet shortfall": np.clip(1.0 - c.coefficients["q_limit"] / free, 0.0, 1.0),
    }


_GROUPS: tuple[tuple[tuple[str, ...], Callable[..., dict[str, Array]]], ...] = (
    (_STEADY, _steady),
    (STARTING, _starting),
    (_OTHER, _other),
)


def engine_readings(
    p: Mapping[str, Array], at: OperatingCondition, c: Circuit, s: FlowState, wanted: Collection[str]
) -> dict[str, Array]:
    """What of ``RUNNING`` is wanted, in shapes that broadcast to the cars."""
    found: dict[str, Array] = {}
    for names, work in _GROUPS:
        if not set(names).isdisjoint(wanted):
            found |= work(p, at, c, s)
    return found
