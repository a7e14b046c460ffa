"""Mixture, fuel trim, misfire and torque at a running condition, from the pressure and flow that are really there.

The control unit opens the injectors for the target pressure across them. What flows follows the pressure that is
there (square-root law), what is leaked into the manifold comes on top, and what it is compared with is the air:

    m0 = (injected * fuelling + leaked + purge) / (wanted * (1 + unmeasured air))

At idle and cruise a lambda control takes back what it sees, up to its authority; full load and a snap of the throttle
are open loop, so there the whole error stays. That rule is a simplification (judgement: most control units leave
closed loop at wide throttle; some carry part of a learnt trim over, which is not modelled).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from diag.fuelsystem.balance import FlowState
from diag.fuelsystem.circuit import Circuit
from diag.fuelsystem.electrics import supply
from diag.fuelsystem.injectors import fuel_wanted
from diag.fuelsystem.lines import hole_constant, leak_constant
from diag.fuelsystem.normal import normal_below
from diag.fuelsystem.points import OperatingCondition
from diag.fuelsystem.pump import pump_line

Array = NDArray[np.float64]

AIR_SHARE = {"idle": 1.0, "cruise": 0.25, "snap": 0.06, "full load": 0.04, "cranking": 1.0}
"""How much a steady leak of air or vapour at idle is of what the engine takes elsewhere: air flow grows four times to
a light cruise and some twenty-five times to full power, and the vacuum that draws it goes (judgement)."""

BASE_LAMBDA = {"idle": 1.0, "cruise": 1.0, "snap": 0.92, "full load": 0.88, "cranking": 0.8}
"""Lambda that a sound engine is set to (judgement; textbooks put the most power near 0.85 to 0.9)."""

BOOSTED_LAMBDA = 0.80
"""The same at full load in boost, where fuel cools (judgement)."""

COLD_FUEL, STARTING_FUEL, WARM_FUEL = 0.0125, 0.022, 0.002
"""Fuel for a cold engine by the kelvin that the control unit takes it to be colder: share more on a warm engine, and
in the logarithm while cranking; and share less by the kelvin that it takes a warm engine to be warmer. Handbooks on
engine control, from memory, give about twice the fuel at -20 C and eight times as much for a start as for warm
running."""

LEAN_LIMIT, LEAN_WIDTH = 1.38, 0.08
"""Lambda at which half the firings fail for want of fuel, and the width of the change (Heywood, Internal Combustion
Engine Fundamentals, chapter 9, lean operating limits of spark-ignition engines; from memory)."""

RICH_LIMIT, RICH_WIDTH = 0.50, 0.06
"""The same for too much fuel (from memory)."""

BEST_LAMBDA, TORQUE_CURVE = 0.88, 2.2
"""Torque falls as 1 - 2.2 (lambda - 0.88)^2: 3 % less at lambda 1, 11 % at 1.1 (Heywood, chapter 15, mean effective
pressure against mixture; from memory)."""

LEAST_FLOW, LEAST_FIRING, FREE_PRESSURE = 1.5, 0.2, 5.0e5
"""Free flow of the pump against what idle burns, share of firings, and pressure before a hole in Pa, below which an
engine does not run at all (judgement)."""

TINY = 1e-12


@dataclass(frozen=True, slots=True)
class Running:
    """How the engine runs, all shares; ``before`` and ``mixture`` are fuel against right, before and after the trim.

    ``shown`` is what a lambda display makes of it, ``by_log`` what display and trim together say.
    """

    before: Array
    mixture: Array
    trim: Array
    shown: Array
    by_log: Array
    misfire: Array
    torque: Array


def unknown_pressure_share(p: Mapping[str, Array], at: OperatingCondition, manifold: Array) -> Array:
    """What a control unit asks more or less that reckons with a rail pressure that does not follow the manifold."""
    if at.engine in ("off", "cranking"):
        return np.ones(())
    across = np.maximum(p["target pressure"] - manifold, 0.05 * p["target pressure"])
    return np.exp(0.5 * p["pressure correction"] * np.log(p["target pressure"] / across))


def temperature_fuel(colder: Array, at: OperatingCondition) -> Array:
    """Fuel asked for against right, of a control unit that takes the engine to be colder by so many kelvin."""
    if at.engine == "cranking":
        return np.exp(STARTING_FUEL * colder)
    return 1.0 + COLD_FUEL * np.maximum(colder, 0.0) + WARM_FUEL * np.minimum(colder, 0.0)


def fuel_ratio(p: Mapping[str, Array], at: OperatingCondition, c: Circuit, s: FlowState) -> Array:
    """Fuel that reaches the cylinders against what the air that is there needs, before any correction."""
    wanted = np.maximum(fuel_wanted(p, at), TINY)
    asked = (
        p["fuelling"] * temperature_fuel(p["engine shown colder by"], at) * unknown_pressure_share(p, at, c.manifold)
    )
    if at.engine == "idle":
        asked = asked * p["idle fuelling"]
    if at.engine in ("full load", "snap"):
        asked = asked * p["load fuelling"]
    share = AIR_SHARE.get(at.engine, 1.0)
    holes = p["injector leak"] + p["extra injector leak"] + p["diaphragm leak"] + p["damper leak"]
    leaked = leak_constant(holes, p["fuel density"]) * np.sqrt(np.maximum(s.rail - c.manifold, 0.0))
    there = s.injector_flow * asked + leaked
    return (there / wanted + share * p["purge vapour"]) / (1.0 + share * p["air behind the meter"])


def _failing(ratio: Array, base: Array) -> Array:
    """Share of firings that a cylinder loses to its mixture."""
    lam = base / np.maximum(ratio, 0.02)
    lean = normal_below((lam - LEAN_LIMIT) / LEAN_WIDTH)
    rich = normal_below((RICH_LIMIT - lam) / RICH_WIDTH)
    return np.minimum(lean + rich, 1.0)


def base_lambda(at: OperatingCondition, manifold: Array) -> Array:
    """Lambda that a sound engine has at this condition."""
    usual = np.asarray(BASE_LAMBDA.get(at.engine, 1.0))
    return np.where(manifold > 0.0, BOOSTED_LAMBDA, usual) if at.engine == "full load" else usual


def _torque_of(lam: Array) -> Array:
    return np.maximum(1.0 - TORQUE_CURVE * (lam - BEST_LAMBDA) ** 2, 0.0)


def running(p: Mapping[str, Array], at: OperatingCondition, c: Circuit, s: FlowState) -> Running:
    """Mixture, trim, misfire and torque of an engine that runs; shapes broadcast.

    "shown" is what a lambda display makes of it: missed firings leave oxygen, which it takes for lean.
    """
    base = base_lambda(at, c.manifold)
    before = np.maximum(fuel_ratio(p, at, c, s), 0.01)
    sparks = {"idle": "idle spark loss", "cranking": "cranking spark loss", "cruise": "idle spark loss"}
    sparking = 1.0 - p[sparks.get(at.engine, "load spark loss")]
    if at.heat == "hot":
        sparking = sparking * (1.0 - p["hot spark loss"])
    other = 1.0 - sparking * (1.0 - p["burning loss"])
    # what the sensor will never see as right: lost firings and its own error
    false = np.log1p(-0.95 * np.minimum(other, 0.9)) - np.log1p(p["lambda error"])
    trim = np.zeros(())
    if at.engine in ("idle", "cruise"):
        most = np.log1p(p["trim authority"])
        trim = np.clip(-(np.log(before) + false), -most, most)
    mixture = before * np.exp(trim)
    misfire = _misfire(p, at, mixture, base, other)
    torque = _torque_of(base / mixture) / _torque_of(base) * (1.0 - misfire)
    if at.engine in ("full load", "snap"):
        torque = torque * (1.0 - p["power loss"])
    if at.engine == "idle":
        torque = torque * np.minimum(p["idle air"] + 0.3 * p["air behind the meter"], 1.0)
    shown = mixture * np.exp(false)
    return Running(before, mixture, np.expm1(trim), shown, shown * np.exp(-trim), misfire, torque)


def idles(p: Mapping[str, Array]) -> Array:
    """1 where the engine can run at all, cold and without load: fuel, spark and injection for an idle are there.

    From the pump's free flow and the narrowest hole on its way, so that no condition has to be solved for it.
    """
    cold = OperatingCondition(engine="idle")
    circuit = supply(p, cold)
    line = pump_line(p, cold, circuit, np.zeros(()))
    through = hole_constant(p["feed restriction hole"], p["fuel density"])
    flow = np.minimum(np.minimum(line.q0, line.limit), np.sqrt(FREE_PRESSURE / through))
    fires = (1.0 - p["idle spark loss"]) * (1.0 - p["injection loss"])
    return ((flow > LEAST_FLOW * p["idle demand"]) & (fires > LEAST_FIRING)).astype(float)


def _misfire(p: Mapping[str, Array], at: OperatingCondition, mixture: Array, base: Array, other: Array) -> Array:
    """Share of all firings that are lost: spark, fuel that does not burn, mixture, one odd cylinder, shut injectors."""
    each = 1.0 / p["injector count"]
    odd = p["weakest injector"]
    if at.engine in ("full load", "snap"):
        odd = odd * p["far injectors"]
    common = _failing(mixture, base)
    mixed = (1.0 - each) * common + each * _failing(mixture * odd, base)
    return 1.0 - (1.0 - other) * (1.0 - mixed) * (1.0 - p["injection loss"])
