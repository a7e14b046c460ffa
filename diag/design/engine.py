"""Desk answers about fuel for the engine: injectors at this pressure, pump against demand, wire drop."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from diag.design.answer import Answer, Curve, Table, Units, Working, imagine, known, quantiles, sharpening_fields
from diag.fuelsystem.car import Car, describe_fuel
from diag.fuelsystem.constants import CATALOGUE_PRESSURE, PSI
from diag.fuelsystem.electrics import supply, wire_resistance
from diag.fuelsystem.fluids import FUELS
from diag.fuelsystem.injectors import injector_flow
from diag.fuelsystem.points import condition
from diag.fuelsystem.pump import pump_line
from diag.fuelsystem.solve import solve
from diag.quantities import awg_area, show
from diag.support.errors import QuantityError

Array = NDArray[np.float64]
PUMP_SPARE = 1.15
"""A pump should give this times the demand (from memory: margin 15 to 20 %)."""

DUTY = 0.8
"""Share of the time injectors may be open at full load (common practice, no source)."""

DROP_LIMIT = 0.5
"""Volts that may be lost in all between battery and pump (service texts: over 0.5 V may be a fault, over 1 V is)."""

_GAUGES = (18, 16, 14, 12, 10, 8)


def injector_flow_at(car: Car, pressure: float | None = None, manifold: float = 0.0,
                     units: Units | None = None) -> Answer:  # fmt: skip
    """What one injector and all of them flow at a rail pressure.

    Args:
        pressure: rail gauge pressure, Pa; None takes the target.
        manifold: manifold gauge pressure, Pa, negative for vacuum.

    Raises:
        QuantityError: when the rail is not above the manifold, or figures contradict each other.
    """
    u = units or Units()
    p = imagine(car)
    rail = p["target pressure"] if pressure is None else np.full_like(p["target pressure"], pressure)
    across = rail - manifold
    if float(np.median(across)) <= 0.0:
        raise QuantityError(
            f"A rail at {u.pressure_text(float(np.median(rail)))} is not above a manifold at "
            f"{u.pressure_text(manifold)}: no fuel flows in.", "Check both figures.", "Injector flow"
        )  # fmt: skip
    each = injector_flow(p["injector flow"], across)
    every = each * p["injector count"]
    factor = float(np.sqrt(np.median(across) / CATALOGUE_PRESSURE))
    points = [x * PSI for x in (25, 30, 35, 40, 43.5, 45, 50, 55, 58, 60, 65, 70, 80)]
    spans = [quantiles(injector_flow(p["injector flow"], np.full_like(each, x))) for x in points]
    low, middle, high = zip(*spans, strict=True)
    rows = tuple((u.pressure_text(x), f"{np.sqrt(x / CATALOGUE_PRESSURE):.3f}", show(mid, "flow", "cc/min"))
                 for x, mid in zip(points, middle, strict=True))  # fmt: skip
    return Answer(
        "Injector flow at this pressure",
        (
            f"One injector: {_cc(each)}, {factor:.3f} times its flow at 3 bar.",
            f"All {float(np.median(p['injector count'])):.0f}: {u.span_text(every, 'flow')} held open, "
            f"{u.flow_text(DUTY * float(np.median(every)))} at {DUTY:.0%} duty.",
            f"One psi more or less changes the fuel by {50 * PSI / float(np.median(across)):.1f} %.",
        ),
        (
            Working("Pressure across", "rail - manifold, both gauge",
                    f"{u.pressure_text(float(np.median(rail)))} with {u.manifold_text(manifold)}", "definition"),
            Working("Flow", "flow at 3 bar x square root of (pressure across / 3 bar)",
                    f"{show(float(np.median(p['injector flow'])), 'flow', 'cc/min')} x {factor:.3f}",
                    "square-root law; 3 bar as catalogue pressure is common practice, some state 39 to 40 psi"),
        ),
        ("Injectors of one set differ by about 3 %.", known(car, "injector-flow", "injector-count", "target-pressure")),
        table=Table(("Pressure across", "Factor", "One injector"), rows),
        curve=Curve("Flow of one injector over pressure across it", "pressure across", "pressure", "flow", "flow",
                    tuple(points), middle, low, high,
                    marks=(("here", float(np.median(across)), float(np.median(each))),)),
        sharpen=sharpening_fields(car, p, every),
    )  # fmt: skip


def _cc(flow: Array) -> str:
    low, middle, high = (show(v, "flow", "cc/min") for v in quantiles(flow))
    return f"{middle} ({low} to {high})"


def pump_keeps_up(car: Car, units: Units | None = None) -> Answer:
    """Does the pump cover full load on this fuel at base plus boost, with the volts that really arrive.

    Raises:
        QuantityError: when figures contradict each other.
    """
    u = units or Units()
    p = imagine(car)
    at = {"engine": "full load", "hose": "on"}
    rail = p["target pressure"] + p["boost pressure"]
    circuit = supply(p, condition(at))
    line = pump_line(p, condition(at), circuit, np.zeros(()))
    held = solve(p, at, ("true rail pressure", "pump volts", "filter drop", "feed drop", "pump amps"))

    def gives(pressure: Array) -> Array:
        flow = np.minimum(line.q0 - line.q1 * pressure, line.limit)
        return np.maximum(flow - line.relief_slope * np.maximum(pressure - line.relief_at, 0.0), 0.0)

    available = gives(rail + held["feed drop"])
    demand = p["full load demand"]
    ratio = available / demand
    enough = float(np.mean(ratio > 1.0))
    verdict = "yes" if np.quantile(ratio, 0.1) > PUMP_SPARE else "no" if enough < 0.35 else "marginal"
    points = [x * PSI for x in range(10, 121, 5)]
    spans = [quantiles(gives(np.full_like(rail, x))) for x in points]
    low, middle, high = zip(*spans, strict=True)
    fuel = FUELS[describe_fuel(car)]
    rows = tuple((name, f"{f.volume:.2f}", u.flow_text(float(np.median(demand)) * f.volume / fuel.volume))
                 for name, f in FUELS.items())  # fmt: skip
    word = {"yes": "Yes", "no": "No", "marginal": "Marginal"}[verdict]
    return Answer(
        "Does the pump keep up at full load",
        (
            f"{word}: the pump gives {np.median(ratio):.2f} times the demand (nine of ten cars "
            f"{np.quantile(ratio, 0.05):.2f} to {np.quantile(ratio, 0.95):.2f}); {PUMP_SPARE} is wanted.",
            f"Demand at full load on {fuel.name}: {u.span_text(demand, 'flow')}.",
            f"At {u.span_text(rail)} on the rail the pump gives {u.span_text(available, 'flow')}.",
            f"Rail pressure to expect at full load: {u.span_text(held['true rail pressure'])}.",
        ),
        (
            Working("Demand", "power x fuel per power and time / density, or 80 % duty of all injectors",
                    u.flow_text(float(np.median(demand))), "trade figures of BSFC for this fuel"),
            Working("Pump", "stated flow x [(1 + s) volts / stated volts - s pressure / stated pressure], s about 0.25",
                    f"{u.flow_text(float(np.median(p['pump rated flow'])))} stated, "
                    f"{np.median(held['pump volts']):.1f} V at the pump",
                    "fitted to a published pair (12.0 V 700 lb/h, 13.5 V 800 lb/h at 45 psi)"),
            Working("Pressure at the pump", "base + boost + filter and feed line",
                    f"{u.pressure_text(float(np.median(rail)))} + "
                    f"{u.pressure_text(float(np.median(held['feed drop'])))}",
                    "force balance; Darcy and Weisbach"),
        ),
        (known(car, "engine-power", "pump-flow", "pump-pressure", "pump-volts", "boost", "fuel", "wire"),),
        verdict,
        Table(("Fuel", "Volume against petrol", "Demand at the same power"), rows),
        Curve("Pump flow over pressure at this car's volts", "pressure", "pressure", "flow", "flow",
              tuple(points), middle, low, high, levels=(("full-load demand", float(np.median(demand))),),
              marks=(("full load", float(np.median(rail)), float(np.median(available))),)),
        sharpening_fields(car, p, ratio),
        ("A pump that falls behind makes the engine run lean under load, which can wreck it: do not test by driving "
         "flat out.",) if verdict != "yes" else (),
    )  # fmt: skip


def wire_drop(car: Car, amps: float | None = None) -> Answer:
    """Volts lost between battery and pump, and what that costs in flow.

    Args:
        amps: measured pump current; None takes what such a pump draws at target pressure.

    Raises:
        QuantityError: for a current that cannot be, or contradictory figures.
    """
    if amps is not None and not 0.0 < amps <= 60.0:
        raise QuantityError(f"{amps:g} A is no pump's current.", "Give a current between 0 and 60 A.", "Wire drop")
    p = imagine(car)
    held = solve(p, {"engine": "idle", "hose": "off"},
                 ("pump amps", "feed volt drop", "ground volt drop", "pump volts", "battery volts"))  # fmt: skip
    current = held["pump amps"] if amps is None else np.full_like(held["pump amps"], amps)
    feed = current * (p["feed wire resistance"] + p["contact resistance"])
    ground = current * p["ground resistance"]
    total = feed + ground
    slope = p["pump slope"]
    lost = (1 + slope) * total / p["pump rated volts"]
    middle = float(np.median(total))
    verdict = "yes" if np.quantile(total, 0.9) < DROP_LIMIT else "no" if middle > 2 * DROP_LIMIT else "marginal"
    length = car.number("wire-length") or 4.5
    rows = tuple(
        (f"{g} AWG", f"{awg_area(g) * 1e6:.2f} mm2",
         f"{float(wire_resistance(awg_area(g), length)) * float(np.median(current)):.2f} V")
        for g in _GAUGES
    )  # fmt: skip
    lo, mid, hi = quantiles(total)
    return Answer(
        "Volts lost on the way to the pump",
        (
            f"At {np.median(current):.1f} A the plus side loses {np.median(feed):.2f} V, the ground side "
            f"{np.median(ground):.2f} V, together {mid:.2f} V ({lo:.2f} V to {hi:.2f} V).",
            f"That costs about {100 * float(np.median(lost)):.0f} % of the pump's flow.",
            {"yes": f"This is within the usual {DROP_LIMIT} V.", "no": f"Over {2 * DROP_LIMIT} V: a fault by any book.",
             "marginal": f"Over {DROP_LIMIT} V may be a fault, over {2 * DROP_LIMIT} V is one: measure it."}[verdict],
        ),
        (
            Working("Wire", "resistance = resistivity x length / area, copper 1.7241e-8 ohm m at 20 C",
                    f"{length:.1f} m one way, {1e3 * float(np.median(p['feed wire resistance'])):.0f} milliohm",
                    "IACS copper; American wire gauge table"),
            Working("Drop", "volts = current x (wire + contacts + ground)",
                    f"{np.median(current):.1f} A x {1e3 * float(np.median(total / current)):.0f} milliohm",
                    "Ohm's law"),
            Working("Flow lost", "(1 + s) x drop / stated volts, s about 0.25",
                    f"{100 * float(np.median(lost)):.0f} %", "published pump pair: 14 % flow for 12.5 % volts"),
        ),
        (known(car, "wire", "wire-length", "pump-flow", "battery-volts"),
         "Relays, plugs and grounds differ most from car to car: a meter beats this sum."),
        verdict,
        Table(("Wire", "Copper", "Drop in the plus wire"), rows),
        sharpen=sharpening_fields(car, p, total),
    )  # fmt: skip
