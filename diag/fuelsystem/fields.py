"""What can be told about a car: every field with its question, unit family, limits and words. All may be unknown."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from diag.fuelsystem.constants import BAR, HORSEPOWER, INHG, LITRE_PER_HOUR
from diag.fuelsystem.fluids import FUELS
from diag.fuelsystem.instruments import GRADES

CHOICE = "choice"
YES_NO = "yes no"


@dataclass(frozen=True, slots=True)
class CarField:
    """One field.

    ``kind`` is a kind of ``diag.quantities``, "choice" or "yes no"; ``low`` and ``high`` are SI and inclusive;
    ``words`` explain the field to someone who never heard of it; ``unit`` is assumed for a bare number.
    """

    id: str
    title: str
    ask: str
    kind: str
    choices: tuple[str, ...] = ()
    low: float = 0.0
    high: float = 0.0
    words: str = ""
    unit: str = ""


_LH = LITRE_PER_HOUR


def _number(id_: str, title: str, ask: str, kind: str, low: float, high: float, words: str, unit: str = "") -> CarField:
    return CarField(id_, title, ask, kind, (), low, high, words, unit)


def _choice(id_: str, title: str, ask: str, choices: tuple[str, ...], words: str) -> CarField:
    return CarField(id_, title, ask, CHOICE, choices, 0.0, 0.0, words)


_LIST = (
    _choice("fuel", "Fuel", "Which fuel is in the tank?", tuple(FUELS),
            "Alcohol fuels need far more volume, attack some rubbers and burn differently."),
    _number("fuel-level", "Fuel in the tank", "How full is the tank?", "fraction", 0.0, 1.0,
            "An empty or nearly empty tank explains many complaints."),
    _number("target-pressure", "Target rail pressure", "What should the rail pressure be?", "pressure",
            0.3 * BAR, 10 * BAR, "The figure from the car's papers or the builder, read on a gauge at the rail."),
    _choice("target-hose", "Target stated with the hose", "Is that target meant with the reference hose on or off?",
            ("off", "on"), "With the hose on, idle vacuum makes the reading lower by about half a psi per inHg."),
    _number("regulator-low", "Lowest setting of the regulator", "What is the regulator's lowest setting?", "pressure",
            0.0, 10 * BAR, "The low end of the adjustment range in the regulator's papers."),
    _number("regulator-high", "Highest setting of the regulator", "What is the regulator's highest setting?",
            "pressure", 0.2 * BAR, 15 * BAR, "The high end of the adjustment range in the regulator's papers."),
    _number("seat-diameter", "Seat bore of the regulator", "How wide is the regulator's valve seat?", "bore",
            1e-3, 15e-3, "The hole that the valve closes; it decides how much fuel the regulator can pass."),
    _number("diaphragm-diameter", "Diaphragm diameter", "How wide is the diaphragm that moves?", "bore",
            10e-3, 80e-3, "The effective diameter, about the middle of the free ring of the diaphragm.", "mm"),
    _choice("pumps", "Pumps", "One pump, two together, or a second that comes in later?", ("one", "two", "staged"),
            "Staged: the second pump only runs at high load."),
    _choice("pump-place", "Place of the pump", "Is the pump in the tank or outside?", ("in tank", "outside"),
            "A pump outside the tank must be fed by gravity or it draws air and vapour."),
    _number("pump-flow", "Rated pump flow", "How much do all pumps together deliver, by their papers?", "flow",
            5 * _LH, 2000 * _LH, "Stated at a pressure and at volts; add up when there are two pumps."),
    _number("pump-pressure", "Pressure of the rated flow", "At which pressure is that flow stated?", "pressure",
            0.2 * BAR, 8 * BAR, "Most often 3 bar or 40 to 45 psi."),
    _number("pump-volts", "Volts of the rated flow", "At how many volts is that flow stated?", "voltage", 6.0, 28.0,
            "12.0 or 13.5 volts; the difference is about a seventh of the flow."),
    _number("pump-relief", "Relief pressure of the pump", "At which pressure does the pump's relief valve open?",
            "pressure", 1 * BAR, 18 * BAR, "What the pump makes at most when nothing can flow."),
    _number("feed-bore", "Bore of the feed line", "How wide is the feed line inside?", "bore", 2e-3, 30e-3,
            "The inside diameter; the narrowest long stretch counts."),
    _number("feed-length", "Length of the feed line", "How long is the feed line?", "length", 0.1, 20.0,
            "From the pump to the rail."),
    _number("return-bore", "Bore of the return line", "How wide is the return line inside?", "bore", 2e-3, 30e-3,
            "The inside diameter; the narrowest long stretch counts."),
    _number("return-length", "Length of the return line", "How long is the return line?", "length", 0.1, 20.0,
            "From the regulator to the tank."),
    _number("return-bends", "Bends in the return", "How many right-angle bends are in the return?", "count", 0, 40,
            "Sweeping bends and hose-end elbows; two at 45 degrees count as one."),
    _number("tank-entry-bore", "Bore of the tank stub", "How narrow is the return's stub into the tank?", "bore",
            1e-3, 30e-3, "The narrowest place at the tank, often smaller than the hose on it."),
    _number("idle-vacuum", "Vacuum at idle", "How much manifold vacuum at warm idle?", "vacuum", 0.0, 28 * INHG,
            "Read on a vacuum gauge teed into the reference hose."),
    _number("boost", "Boost", "How much boost at full load?", "pressure", 0.0, 4 * BAR,
            "Manifold pressure above the atmosphere; 0 for an engine without a charger."),
    _number("altitude", "Altitude", "How high above sea level is the car?", "altitude", -430.0, 5000.0,
            "Vacuum at idle falls by about one inHg per 300 m."),
    _number("injector-flow", "Flow of one injector", "How much does one injector flow, held open at 3 bar?", "flow",
            1 * _LH, 400 * _LH, "From its papers; cc/min is the usual unit.", "cc/min"),
    _number("injector-count", "Number of injectors", "How many injectors are on the rail?", "count", 1, 24,
            "All of them."),
    _number("engine-power", "Engine power", "How much power does the engine make?", "power",
            5 * HORSEPOWER, 3000 * HORSEPOWER, "At the crank; a fair guess will do."),
    _number("wire", "Wire to the pump", "How thick is the wire to the pump?", "wire", 1e-7, 5e-5,
            "Copper area, or its gauge number."),
    _number("wire-length", "Length of the wire", "How long is the wire from battery to pump?", "length", 0.2, 20.0,
            "One way; the ground back to the battery is counted apart."),
    _number("battery-volts", "Battery volts", "What does the battery read with the engine off?", "voltage", 4.0, 30.0,
            "Across its posts. A figure above 13 is taken as read with the engine running."),
    _number("gauge-span", "Span of the gauge", "Up to what does the pressure gauge read?", "pressure",
            1 * BAR, 40 * BAR, "The last figure on its dial."),
    _choice("gauge-grade", "Grade of the gauge", "Which accuracy grade is printed on the dial?", tuple(GRADES),
            "A letter (ASME B40.100) or a class such as 1.6 (EN 837-1), in percent of the span."),
)  # fmt: skip

FIELDS: dict[str, CarField] = {field.id: field for field in _LIST}
"""Every field by id."""

FIELD_OF: dict[str, str] = {
    "set pressure": "target-pressure", "target pressure": "target-pressure", "idle vacuum": "idle-vacuum",
    "pump rated flow": "pump-flow", "pump rated pressure": "pump-pressure", "pump rated volts": "pump-volts",
    "pump relief pressure": "pump-relief", "feed bore": "feed-bore", "feed length": "feed-length",
    "return bore": "return-bore", "return length": "return-length", "return bends": "return-bends",
    "tank return entry bore": "tank-entry-bore", "seat diameter": "seat-diameter",
    "diaphragm diameter": "diaphragm-diameter", "screw out pressure": "regulator-low",
    "screw in pressure": "regulator-high", "boost pressure": "boost", "atmosphere": "altitude",
    "injector flow": "injector-flow", "injector count": "injector-count", "full load demand": "engine-power",
    "feed wire resistance": "wire", "battery volts": "battery-volts", "tank level": "fuel-level",
    "fuel density": "fuel", "fuel viscosity": "fuel",
}  # fmt: skip
"""Parameter of the fuel system -> the car field that would tell it. The only such map; others are parts of it."""

_WANTED = frozenset({"set pressure", "target pressure"})  # told of the car as it should be, whatever was renewed


def fields_of(parameters: Iterable[str]) -> set[str]:
    """Fields that tell of parts with these parameters; what is told of them after a renewal is about the new part."""
    return {FIELD_OF[name] for name in parameters if name in FIELD_OF and name not in _WANTED}
