"""Desk answer about the return: can it carry this pump, and what bore or seat would."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from diag.design.answer import Answer, Curve, Table, Units, Working, imagine, known, quantiles, sharpening_fields
from diag.fuelsystem.car import Car
from diag.fuelsystem.circuit import return_drop
from diag.fuelsystem.constants import LITRE_PER_HOUR, PSI
from diag.fuelsystem.regulator import wide_open_drop
from diag.fuelsystem.solve import solve
from diag.quantities import show

Array = NDArray[np.float64]

BORES = (4.8e-3, 6.0e-3, 7.0e-3, 7.9e-3, 8.6e-3, 9.5e-3, 10.3e-3, 11.1e-3, 12.7e-3, 14.2e-3, 17.5e-3)
"""Inside diameters of hard tube and hose that can be bought, m (SAE J517 and common hose; some from memory)."""

SEATS = (3e-3, 4e-3, 5e-3, 6e-3, 8e-3, 10e-3, 12e-3)
SPARE = 2 * PSI
"""What the floor should stay below the lowest pressure the regulator must hold (trade judgement)."""


def floor_pressure(p: Mapping[str, Array], flow: Array, bore: Array | float | None = None,
                   seat: Array | float | None = None) -> tuple[Array, Array]:  # fmt: skip
    """Return-line and wide-open seat drop, Pa, at a return flow; together the pressure no screw can go below."""
    line = dict(p)
    if bore is not None:  # a wider line gets a stub to suit
        wide = np.full_like(p["return bore"], bore)
        line |= {"return bore": wide, "tank return entry bore": np.maximum(p["tank return entry bore"], 0.85 * wide)}
    s = p["seat diameter"] if seat is None else np.full_like(p["seat diameter"], seat)
    lift = 0.25 * s * np.minimum(4.0 * p["valve lift limit"] / p["seat diameter"], 1.0)
    return return_drop(line, flow), wide_open_drop(flow, s, p["fuel density"], lift, p["valve discharge"])


def _floor(p: Mapping[str, Array], flow: Array, bore: float | None = None, seat: float | None = None) -> Array:
    line, valve = floor_pressure(p, flow, bore, seat)
    return line + valve


def _bore_row(p: Mapping[str, Array], flow: Array, wanted: Array, bore: float) -> tuple[float, ...]:
    floor = _floor(p, flow, bore=bore)
    return (bore, *quantiles(floor), _share_that_fit(floor, wanted))


def _share_that_fit(floor: Array, wanted: Array) -> float:
    return float(np.mean(floor + SPARE <= wanted))


def return_capacity(car: Car, units: Units | None = None) -> Answer:
    """Can this return and seat carry this pump, with the lowest pressure the regulator must hold.

    Raises:
        QuantityError: when figures contradict each other.
    """
    u = units or Units()
    p = imagine(car)
    wanted = np.maximum(p["target pressure"] - p["idle vacuum"], 0.3e5)
    hardest = p | {"set pressure": wanted}
    state = solve(hardest, {"engine": "idle", "hose": "off"}, ("return flow", "true rail pressure"))
    flow = state["return flow"]
    line, seat = floor_pressure(p, flow)
    fit = _share_that_fit(line + seat, wanted)
    verdict = "yes" if fit > 0.9 else "no" if fit < 0.35 else "marginal"
    bores = [_bore_row(p, flow, wanted, bore) for bore in BORES]
    seats = [(seat_, _share_that_fit(_floor(p, flow, seat=seat_), wanted)) for seat_ in SEATS]
    results = [
        f"At idle about {u.span_text(flow, 'flow')} comes back through the return.",
        f"The line then costs {u.span_text(line)} and the wide-open seat {u.span_text(seat)}.",
        f"The regulator must be able to come down to {u.span_text(wanted)} at idle with the hose on.",
        _verdict_sentence(verdict, line, seat, u),
    ]
    results += _cures(verdict, bores, seats, u)
    at = np.linspace(0.0, 1.5 * float(np.median(flow)), 25)[1:]
    spans = [quantiles(_floor(p, np.full_like(flow, q))) for q in at]
    low, middle, high = zip(*spans, strict=True)
    rows = tuple((show(b, "bore", u.bore), u.pressure_text(mid), f"{u.pressure_text(lo)} to {u.pressure_text(hi)}",
                  f"{share:.0%}") for b, lo, mid, hi, share in bores)  # fmt: skip
    return Answer(
        "Can this return carry this pump",
        tuple(results),
        _working(p, flow, line, seat, u),
        (
            "Computed floors are lower bounds: real regulators have drillings and real hose ends are tighter.",
            known(car, "pump-flow", "return-bore", "return-length", "return-bends", "tank-entry-bore", "seat-diameter"),
        ),
        verdict,
        Table(("Return bore", "Floor", "Nine of ten cars", "Cars that fit"), rows),
        Curve("Lowest pressure this return and seat allow", "return flow", "flow", "floor", "pressure",
              tuple(float(q) for q in at), middle, low, high,
              levels=(("lowest the regulator must hold", float(np.median(wanted))),),
              marks=(("this pump at idle", float(np.median(flow)), float(np.median(line + seat))),)),
        sharpening_fields(car, p, line + seat - wanted),
    )  # fmt: skip


def _verdict_sentence(verdict: str, line: Array, seat: Array, u: Units) -> str:
    floor = float(np.median(line + seat))
    more = "the return line" if float(np.median(line)) > float(np.median(seat)) else "the seat"
    if verdict == "yes":
        return f"Yes: the floor of {u.pressure_text(floor)} stays below what the regulator must hold."
    if verdict == "no":
        return f"No: the floor of {u.pressure_text(floor)} is too high, most of it from {more}; the screw cannot help."
    return f"Marginal: the floor of {u.pressure_text(floor)} is near what the regulator must hold, most from {more}."


def _cures(verdict: str, bores: list[tuple[float, ...]], seats: list[tuple[float, float]], u: Units) -> list[str]:
    if verdict == "yes":
        return []
    said = []
    bore = next((b[0] for b in bores if b[-1] > 0.9), None)
    seat = next((s for s, share in seats if share > 0.9), None)
    said.append(f"A return of {show(bore, 'bore', u.bore)} would do with this seat." if bore
                else "No wider return alone would do; the seat is in the way.")  # fmt: skip
    said.append(f"A seat of {show(seat, 'bore', u.bore)} would do with this return." if seat
                else "No larger seat alone would do; the return is in the way.")  # fmt: skip
    return said


def _working(p: Mapping[str, Array], flow: Array, line: Array, seat: Array, u: Units) -> tuple[Working, ...]:
    m = {name: float(np.median(v)) for name, v in p.items()}
    q = float(np.median(flow))
    speed = q / (0.25 * np.pi * m["return bore"] ** 2)
    return (
        Working("Return flow", "pump flow at the lowest wanted rail pressure less what the engine burns",
                f"{u.flow_text(q)}; pump stated {u.flow_text(m['pump rated flow'])}", "balance of the whole system"),
        Working("Line drop", "(f L/d + 12 f per bend + 1 exit + 0.8 stub) x density v^2 / 2",
                f"{show(m['return bore'], 'bore', u.bore)} bore, {m['return length']:.1f} m, "
                f"{m['return bends']:.0f} bends, "
                f"{speed:.1f} m/s: {u.pressure_text(float(np.median(line)))}",
                "Darcy and Weisbach, Churchill 1977, Crane TP-410 for bends"),
        Working("Seat drop", "density/2 x (flow / (Cd pi d lift))^2, lift 0.8 of a quarter seat diameter",
                f"{show(m['seat diameter'], 'bore', u.bore)} seat at {q / LITRE_PER_HOUR:.0f} L/h: "
                f"{u.pressure_text(float(np.median(seat)))}", "sharp orifice, Cd 0.65"),
        Working("Floor", "floor = line drop + seat drop; while lift is left, back-pressure does not add to the rail",
                u.pressure_text(float(np.median(line + seat))), "force balance of a bypass regulator"),
    )  # fmt: skip
