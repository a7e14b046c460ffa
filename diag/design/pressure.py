"""Desk answers about pressure: what the rail should read, and whether the regulator's range fits."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from diag.design.answer import Answer, Curve, Table, Units, Working, imagine, known, quantiles, sharpening_fields
from diag.fuelsystem.car import Car, hose_off_target
from diag.fuelsystem.constants import INHG, PSI
from diag.fuelsystem.regulator import reference_slope, screw_sensitivity
from diag.fuelsystem.solve import solve
from diag.quantities import show
from diag.support.errors import QuantityError

Array = NDArray[np.float64]
_VACUUMS = (24, 22, 20, 18, 16, 14, 12, 10, 8, 5, 2)
_BOOSTS = (3, 6, 10, 15, 20, 25, 30)
MARGIN = 3 * PSI
"""Travel that an adjuster should have left beyond the wanted setting (trade judgement)."""


def rail_at(draws: Mapping[str, Array], manifold: float) -> Array:
    """True rail pressure of each imagined car, reference hose on: at idle under vacuum, at full load under boost."""
    if manifold > 0.0:
        settings: dict[str, str | float] = {"engine": "full load", "hose": "on", "boost": manifold}
    else:
        settings = {"engine": "idle", "hose": "on", "vacuum": -manifold}
    return solve(draws, settings, ("true rail pressure",))["true rail pressure"]


def healthy_band(car: Car, low: float, high: float, points: int = 7) -> tuple[tuple[float, float, float], ...]:
    """Manifold pressure with the 5 % and 95 % points of the rail, gauge Pa, of sound cars like this one.

    Empty when figures of the car contradict each other.
    """
    if car.impossible():
        return ()
    draws = imagine(car)
    deepest = -0.95 * float(np.min(draws["atmosphere"]))
    found = []
    for manifold in np.linspace(max(low, deepest), high, points):
        bottom, _, top = quantiles(rail_at(draws, float(manifold)))
        found.append((float(manifold), bottom, top))
    return tuple(found)


def _manifolds(car: Car, asked: float | None) -> list[float]:
    boost = car.number("boost") or 0.0
    top = max(boost, asked or 0.0)
    points = [-v * INHG for v in _VACUUMS] + [0.0] + [b * PSI for b in _BOOSTS if b * PSI < 1.3 * top]
    chosen = [boost] if boost else []
    if asked is not None and abs(asked - boost) > 100.0:
        chosen.append(asked)
    return sorted([m for m in points if all(abs(m - c) > 0.1 * PSI for c in chosen)] + chosen)


def expected_rail_pressure(car: Car, manifold: float | None = None, units: Units | None = None) -> Answer:
    """What the rail of this car should read over manifold pressure when everything is sound.

    Args:
        manifold: gauge Pa to answer for, negative for vacuum; None takes idle.

    Raises:
        QuantityError: when figures contradict each other or the vacuum is deeper than the air allows.
    """
    u = units or Units()
    draws = imagine(car)
    if manifold is not None and -manifold >= 0.97 * float(np.min(draws["atmosphere"])):
        raise QuantityError(
            f"{show(-manifold, 'vacuum', u.vacuum)} is deeper than the air there allows.", "Measure it again.", "Vacuum"
        )
    asked = -float(np.median(draws["idle vacuum"])) if manifold is None else manifold
    base = solve(draws, {"engine": "idle", "hose": "off"}, ("true rail pressure", "return flow"))
    there = rail_at(draws, asked)
    points = _manifolds(car, asked)
    spans = [quantiles(rail_at(draws, m)) for m in points]
    rows = tuple(
        (u.manifold_text(m), u.pressure_text(mid), f"{u.pressure_text(low)} to {u.pressure_text(high)}")
        for m, (low, mid, high) in zip(points, spans, strict=True)
    )
    low, middle, high = zip(*spans, strict=True)
    settings: dict[str, str | float] = {"engine": "idle", "hose": "on", "vacuum": max(-asked, 0.0)}
    lift = solve(draws, settings, ("valve lift",))["valve lift"]
    spent = float(np.mean(lift >= 0.999 * draws["valve lift limit"]))
    slope = reference_slope(draws["diaphragm diameter"], draws["seat diameter"]) * draws["reference gain"]
    results = (
        f"At {u.manifold_text(asked)} with the hose on: {u.span_text(there)}.",
        f"At idle with the hose off: {u.span_text(base['true rail pressure'])}.",
        f"Injectors then see {u.span_text(there - asked)} across them.",
    )
    return Answer(
        "Rail pressure to expect",
        results,
        _pressure_working(car, draws, asked, slope, base["return flow"], u),
        (
            "The span holds nine out of ten sound cars like this one; gauge error comes on top.",
            known(car, "target-pressure", "pump-flow", "return-bore", "seat-diameter"),
        ),
        table=Table(("Manifold", "Rail should read", "Nine of ten cars"), rows),
        curve=Curve("Rail pressure over manifold pressure, hose on", "manifold", "pressure", "rail", "pressure",
                    tuple(points), middle, low, high, marks=(("asked", asked, float(np.median(there))),)),
        sharpen=sharpening_fields(car, draws, there),
        cautions=(
            f"In {spent:.0%} of imagined cars like this the valve is wide open at idle: screw and reference hose then "
            "do nothing, and the return-line question tells why.",
        )
        if spent > 0.1
        else (),
    )  # fmt: skip


def _pressure_working(
    car: Car, draws: Mapping[str, Array], manifold: float, slope: Array, bypass: Array, u: Units
) -> tuple[Working, ...]:
    middle = {name: float(np.median(draws[name])) for name in ("set pressure", "target pressure", "spring rate")}
    target = "told" if car.number("target-pressure") else "not told, usual for such cars"
    return (
        Working("Base", "set pressure = spring preload / (diaphragm area - seat area)",
                f"target {u.pressure_text(middle['target pressure'])} ({target}), "
                f"set at small flow {u.pressure_text(middle['set pressure'])}", "force balance of a bypass regulator"),
        Working("Reference", "rail moves by slope x manifold, slope = diaphragm area / (diaphragm - seat area)",
                f"slope {float(np.median(slope)):.3f} x {u.manifold_text(manifold)}",
                "force balance; 1:1 in the trade"),
        Working("Rise with flow", "rise = spring rate x lift / (diaphragm area - seat area)",
                f"bypass {u.flow_text(float(np.median(bypass)))}, spring {middle['spring rate'] / 1e3:.0f} N/mm",
                "force balance; spring and diaphragm are those of an illustrative regulator unless told"),
        Working("Limits", "wide open: rail = return back-pressure + seat drop; starved: rail = what the pump can give",
                "solved for each of 512 imagined cars", "Darcy and Weisbach with Churchill's friction factor"),
    )  # fmt: skip


def regulator_range(car: Car, units: Units | None = None) -> Answer:
    """Whether base, idle and base plus boost fit the regulator and the pump, with the margin at both ends.

    Raises:
        QuantityError: when the target is unknown or figures contradict each other.
    """
    u = units or Units()
    draws = imagine(car)
    base = hose_off_target(car)
    if base is None:
        raise QuantityError("The target pressure is not known.", "Tell target-pressure first.", "Regulator range")
    boost = car.number("boost") or 0.0
    low, high = (car.number(f"regulator-{end}") for end in ("low", "high"))
    floor = solve(draws, {"engine": "idle", "hose": "on", "screw": "out"}, ("true rail pressure", "valve lift"))
    wide = floor["valve lift"] >= 0.999 * draws["valve lift limit"]
    idle = base - draws["idle vacuum"]
    relief = draws["pump relief pressure"]
    rows, verdicts = [], []

    def row(what: str, value: float, limit: float | None, above: bool, need: float) -> None:
        if limit is None:
            rows.append((what, u.pressure_text(value), "not known", "-"))
            return
        spare = value - limit if above else limit - value
        verdicts.append("no" if spare < 0 else "marginal" if spare < need else "yes")
        word = {"no": "does not fit", "marginal": "little left", "yes": "fits"}[verdicts[-1]]
        rows.append((what, u.pressure_text(value), u.pressure_text(limit), f"{u.pressure_text(spare)}, {word}"))

    row("Base above the lowest setting", base, low, True, MARGIN)
    row("Base below the highest setting", base, high, False, MARGIN)
    if boost:
        row("Base plus boost below the pump's relief", base + boost, float(np.quantile(relief, 0.1)), False, 2 * MARGIN)
    share = float(np.mean(wide & (floor["true rail pressure"] > idle + PSI)))
    verdicts.append("no" if share > 0.5 else "marginal" if share > 0.1 else "yes")
    worst = "no" if "no" in verdicts else "marginal" if "marginal" in verdicts else "yes"
    results = (
        f"Base {u.pressure_text(base)}, at idle {u.span_text(idle)}, at full boost {u.pressure_text(base + boost)}.",
        *(f"{r[0]}: {r[3]}." for r in rows if r[3] != "-"),
        f"In {share:.0%} of imagined cars like this the return and seat cannot come down to the idle pressure.",
    )
    return Answer(
        "Does base plus boost fit the regulator",
        results,
        (
            Working("Rail at boost", "base + slope x boost", f"{u.pressure_text(base)} + {u.pressure_text(boost)}",
                    "force balance, slope about 1"),
            Working("Margin", "distance of the wanted pressure from each limit",
                    f"at least {u.pressure_text(MARGIN)} of adjuster travel at both ends", "trade judgement"),
            Working("Screw", "pressure per mm = spring rate / (diaphragm area - seat area)",
                    u.span_text(1e-3 * screw_sensitivity(draws["spring rate"], draws["diaphragm diameter"],
                                                         draws["seat diameter"])) + " for each mm of travel",
                    "force balance; spring and diaphragm of an illustrative regulator unless told"),
            Working("Floor", "return line drop + wide-open seat drop at idle's return flow",
                    u.span_text(floor["true rail pressure"]) + " with the screw out", "see the return-line question"),
        ),
        (known(car, "regulator-low", "regulator-high", "pump-relief", "boost", "return-bore", "seat-diameter"),),
        worst,
        Table(("Condition", "Wanted", "Limit", "Margin"), tuple(rows)),
        sharpen=sharpening_fields(car, draws, floor["true rail pressure"]),
        cautions=("Pressure above the rating of a hose or regulator is unsafe whatever the spring allows: "
                  "check the ratings printed on them.",),
    )  # fmt: skip
