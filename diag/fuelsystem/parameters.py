"""Every quantity of the model that a cause in the rule book may act on: name, unit family, limits, typical value.

The names are the vocabulary of the rule book; lint refuses any other. Values are SI: pressures in Pa gauge unless the
words say otherwise, flows in m3/s, areas in m2, lengths in m.
"""

from __future__ import annotations

from diag.fuelsystem.constants import BAR, INHG, LITRE_PER_HOUR, SEA_LEVEL
from diag.fuelsystem.engine_parameters import ENGINE
from diag.fuelsystem.parameter import JUDGEMENT as _JUDGEMENT
from diag.fuelsystem.parameter import PRACTICE as _PRACTICE
from diag.fuelsystem.parameter import Parameter
from diag.fuelsystem.parameter import table as _table

_LH = LITRE_PER_HOUR
NO_HOLE = 0.05
"""Bore that stands for "no restriction hole", m."""

NO_LIMIT = 1.0e8
"""Pressure that stands for "no second regulator", Pa."""

NO_END = 1.0e6
"""Seconds that stand for "the supply never runs out"."""


_FUEL_AND_TANK = _table(
    ("fuel density", "density", 650.0, 900.0, 740.0, "density of the fuel in the lines, kg/m3", "EN 228: 720 to 775"),
    ("fuel viscosity", "viscosity", 2e-4, 1e-2, 5e-4, "dynamic viscosity, Pa.s", "AFDC: 0.37 to 0.44 cP at 60 F"),
    ("fuel vapour pressure", "absolute pressure", 5e3, 1.1e5, 6.0e4, "Reid vapour pressure, 37.8 C", "EN 228 class A"),
    ("fuel temperature", "temperature", 233.0, 353.0, 295.0, "fuel at the pump inlet", _JUDGEMENT),
    ("atmosphere", "absolute pressure", 4.5e4, 1.1e5, SEA_LEVEL, "air pressure around the car", "ISO 2533"),
    ("tank pressure", "pressure", -3e4, 3e4, 0.0, "gauge pressure in the tank when its vent works", _JUDGEMENT),
    ("tank vent restriction", "fraction", 0.0, 1.0, 0.0, "0 free, 1 blocked", _JUDGEMENT),
    ("tank level", "fraction", 0.02, 1.0, 0.5, "share of the tank that is full", _JUDGEMENT),
    ("tank volume", "volume", 2e-3, 0.2, 0.045, "volume of the tank", _JUDGEMENT),
)

_PUMP = _table(
    (
        "pump rated flow",
        "flow",
        2 * _LH,
        2500 * _LH,
        220 * _LH,
        "flow of all pumps at rated pressure and volts",
        _JUDGEMENT,
    ),
    (
        "pump rated pressure",
        "pressure",
        0.2 * BAR,
        10 * BAR,
        3 * BAR,
        "pressure at which the flow is stated",
        _PRACTICE,
    ),
    ("pump rated volts", "voltage", 5.0, 30.0, 13.5, "terminal volts at which the flow is stated", _PRACTICE),
    (
        "pump slope",
        "fraction",
        0.02,
        1.5,
        0.25,
        "share of the rated flow lost between no pressure and rated pressure",
        "fitted to a published pair at 45 psi: 12.0 V 700 lb/h, 13.5 V 800 lb/h, and judgement",
    ),
    ("pump flow factor", "ratio", 0.0, 1.5, 1.0, "1 as new; wear brings it down", _JUDGEMENT),
    (
        "pump relief pressure",
        "pressure",
        0.2 * BAR,
        20 * BAR,
        7 * BAR,
        "where the pump's own relief valve opens",
        "service texts: 64 to 87 psi; larger pumps 80 to 130 psi from memory",
    ),
    ("pump inlet restriction", "fraction", 0.0, 1.0, 0.0, "0 clean strainer, 1 blocked", _JUDGEMENT),
    ("vapour at pump inlet", "fraction", 0.0, 1.0, 0.0, "share of the flow lost to vapour or air", _JUDGEMENT),
    ("in-tank hose leak", "area", 0.0, 1e-4, 0.0, "hole between the pump outlet and the tank", _JUDGEMENT),
    ("pump check valve leak", "area", 0.0, 1e-5, 4e-12, "what the check valve lets back after switch-off", _JUDGEMENT),
    ("pump stuck", "fraction", 0.0, 1.0, 0.0, "above 0.5 the pump does not turn although it is fed", _JUDGEMENT),
    ("pump direction", "ratio", 0.0, 1.0, 1.0, "1 right, next to nothing turning backwards", _JUDGEMENT),
    ("second pump share", "fraction", 0.0, 1.0, 1.0, "share of the second pump's flow that arrives", _JUDGEMENT),
    ("second pump part", "fraction", 0.0, 0.9, 0.0, "part of the rated flow that the second pump gives", _JUDGEMENT),
    ("second pump staged", "fraction", 0.0, 1.0, 0.0, "1: the second pump only runs at full load", _JUDGEMENT),
    (
        "pump duty",
        "fraction",
        0.0,
        1.0,
        1.0,
        "average share of the volts that a speed controller passes on",
        _JUDGEMENT,
    ),
    (
        "seconds of full load",
        "time",
        0.0,
        NO_END,
        NO_END,
        "how long the pot or tank in front of the pump lasts at full load",
        _JUDGEMENT,
    ),
    ("pump hot slowing", "fraction", 0.0, 1.0, 0.0, "share of its flow that the pump loses once it is hot", _JUDGEMENT),
    ("pump efficiency", "fraction", 0.03, 0.8, 0.25, "hydraulic over electric power at the rated point", _JUDGEMENT),
)

_ELECTRICS = _table(
    ("battery volts", "voltage", 0.0, 30.0, 12.5, "across the battery, engine off", _PRACTICE),
    ("charging lift", "voltage", -2.0, 4.0, 1.4, "volts gained when the engine charges", _PRACTICE),
    ("feed wire resistance", "resistance", 0.0, 20.0, 0.035, "wire from battery plus to pump plus", _JUDGEMENT),
    ("feed joint resistance", "resistance", 0.0, 20.0, 0.0, "what a bad joint adds to the feed wire", _JUDGEMENT),
    ("ground resistance", "resistance", 0.0, 20.0, 0.012, "pump minus to battery minus", _JUDGEMENT),
    (
        "contact resistance",
        "resistance",
        0.0,
        20.0,
        0.012,
        "relay, fuse and plug contacts on the plus side",
        _JUDGEMENT,
    ),
    ("pump supply", "fraction", 0.0, 1.0, 1.0, "1 the pump gets current, 0 it does not", _JUDGEMENT),
    ("cranking supply", "fraction", 0.0, 1.0, 1.0, "1 the pump is fed while cranking, 0 it is not", _JUDGEMENT),
    ("key-on supply", "fraction", 0.0, 1.0, 1.0, "1 the pump is fed with the key on and no engine, 0 not", _JUDGEMENT),
    ("running supply", "fraction", 0.0, 1.0, 1.0, "1 the pump is fed while the engine runs, 0 it is not", _JUDGEMENT),
    ("hot supply", "fraction", 0.0, 1.0, 1.0, "1 the pump is still fed when all is hot, 0 it is not", _JUDGEMENT),
    ("pump runs on", "fraction", 0.0, 1.0, 0.0, "1: the pump never stops, as with welded contacts", _JUDGEMENT),
    ("pump current factor", "ratio", 0.0, 5.0, 1.0, "current against that of a sound motor", _JUDGEMENT),
    ("load drop", "voltage", 0.0, 5.0, 0.35, "volts lost when lamps and fans are switched on", _JUDGEMENT),
)

_LINES = _table(
    ("feed bore", "bore", 5e-4, 0.05, 7.9e-3, "inside diameter of the feed line", "SAE J517 sizes"),
    ("feed length", "length", 0.05, 30.0, 4.0, "length of the feed line", _JUDGEMENT),
    (
        "feed restriction hole",
        "bore",
        1e-4,
        NO_HOLE,
        NO_HOLE,
        "a kink or choke as the bore of a sharp hole",
        _JUDGEMENT,
    ),
    ("filter restriction", "ratio", 0.0, 1e4, 1.0, "times the drop of a clean filter", _JUDGEMENT),
    ("filter clean drop", "pressure", 0.0, 1e5, 7e3, "drop over a clean filter at rated pump flow", _JUDGEMENT),
    ("return bore", "bore", 5e-4, 0.05, 7.9e-3, "inside diameter of the return line", "SAE J517 sizes"),
    ("return length", "length", 0.05, 30.0, 3.5, "length of the return line", _JUDGEMENT),
    ("return bends", "count", 0.0, 60.0, 5.0, "right-angle bends in the return line", _JUDGEMENT),
    (
        "return restriction hole",
        "bore",
        1e-4,
        NO_HOLE,
        NO_HOLE,
        "a kink or choke as the bore of a sharp hole",
        _JUDGEMENT,
    ),
    ("tank return entry bore", "bore", 5e-4, 0.05, 6.5e-3, "narrowest bore of the stub into the tank", _JUDGEMENT),
    (
        "return check valve pressure",
        "pressure",
        0.0,
        5e5,
        0.0,
        "what a check valve in the return holds back",
        _JUDGEMENT,
    ),
)

_REGULATOR = _table(
    (
        "target pressure",
        "pressure",
        0.2 * BAR,
        10 * BAR,
        3 * BAR,
        "what the rail should read with the hose off",
        _PRACTICE,
    ),
    (
        "set pressure",
        "pressure",
        0.0,
        15 * BAR,
        3 * BAR,
        "rail pressure, reference open, at small flow",
        "force balance",
    ),
    ("screw out pressure", "pressure", 0.0, 15 * BAR, 2.1 * BAR, "set pressure with the screw fully out", _JUDGEMENT),
    ("screw in pressure", "pressure", 0.0, 20 * BAR, 5.2 * BAR, "set pressure with the screw fully in", _JUDGEMENT),
    ("diaphragm diameter", "bore", 8e-3, 0.1, 32e-3, "effective diameter of the diaphragm", "illustrative model"),
    ("seat diameter", "bore", 5e-4, 0.02, 5e-3, "bore of the valve seat", "illustrative model"),
    ("spring rate", "stiffness", 1e3, 5e5, 3e4, "rate of the set spring, N/m", "illustrative model"),
    (
        "valve lift limit",
        "length",
        0.0,
        0.01,
        1e-3,
        "lift at which the valve is wide open",
        "a quarter of the seat diameter in theory; taken 20 % less, since real valves have less",
    ),
    ("valve lift floor", "length", 0.0, 0.01, 0.0, "least lift of a valve that is stuck open", _JUDGEMENT),
    ("valve discharge", "ratio", 0.2, 1.0, 0.65, "discharge coefficient of the valve", "illustrative model"),
    ("reference gain", "ratio", 0.0, 1.5, 1.0, "times the slope that the areas give", "force balance"),
    (
        "boost gain",
        "ratio",
        0.0,
        12.0,
        1.0,
        "times what a positive reference adds: a rising-rate regulator",
        _JUDGEMENT,
    ),
    ("diaphragm lag", "time", 0.0, 60.0, 0.05, "time constant of the valve after a change of reference", _JUDGEMENT),
    ("set pressure hot shift", "pressure", -4e5, 4e5, 0.0, "added to the set pressure when all is hot", _JUDGEMENT),
    ("pressure swing", "pressure", 0.0, 2e5, 0.0, "half the swing of a valve that chatters", _JUDGEMENT),
    ("diaphragm friction", "pressure", 0.0, 2e5, 1.0e3, "half the gap between an up and a down sweep", _JUDGEMENT),
    ("friction side", "ratio", -1.0, 1.0, 0.0, "which side of the gap the valve came to rest, -1 to 1", _JUDGEMENT),
    ("diaphragm leak", "area", 0.0, 1e-5, 0.0, "hole in the diaphragm, fuel goes to the manifold", _JUDGEMENT),
    ("seat leak", "area", 0.0, 1e-5, 4e-12, "hole that stays when the valve is shut", _JUDGEMENT),
    ("screw effect", "fraction", 0.0, 1.0, 1.0, "share of the adjuster's travel that reaches the spring", _JUDGEMENT),
    ("ports swapped", "fraction", 0.0, 1.0, 0.0, "1: rail on the seat, return on the diaphragm", "force balance"),
    (
        "second regulator pressure",
        "pressure",
        0.0,
        NO_LIMIT,
        NO_LIMIT,
        "another regulator near the pump opens here",
        _JUDGEMENT,
    ),
    ("dead end", "fraction", 0.0, 1.0, 0.0, "1: plumbed without a return", _JUDGEMENT),
    ("bonnet leak", "area", 0.0, 1e-5, 0.0, "fuel leak from the regulator body to the outside", _JUDGEMENT),
)

_REFERENCE_AND_ENGINE = _table(
    ("reference vacuum share", "fraction", 0.0, 1.0, 1.0, "share of manifold vacuum that arrives", _JUDGEMENT),
    ("reference boost share", "fraction", 0.0, 1.0, 1.0, "share of boost that arrives", _JUDGEMENT),
    (
        "reference hand share",
        "fraction",
        0.0,
        1.0,
        1.0,
        "share of a hand pump's pressure that moves the valve",
        _JUDGEMENT,
    ),
    (
        "reference vacuum held",
        "fraction",
        0.0,
        1.0,
        0.0,
        "share of idle vacuum that stays when it should go",
        _JUDGEMENT,
    ),
    ("reference lag", "time", 0.0, 60.0, 0.03, "time constant of the hose from manifold to regulator", _JUDGEMENT),
    (
        "idle vacuum",
        "vacuum",
        0.0,
        1.0e5,
        18 * INHG,
        "manifold vacuum at idle, Pa below the atmosphere",
        "TM 9-8000 and service texts: 15 to 22 inHg",
    ),
    ("boost pressure", "pressure", 0.0, 5e5, 0.0, "manifold gauge pressure at full load", _JUDGEMENT),
    ("injector flow", "flow", 0.1 * _LH, 500 * _LH, 18 * _LH, "one injector held open at 3 bar", _PRACTICE),
    ("injector count", "count", 1.0, 24.0, 4.0, "injectors on the rail", _PRACTICE),
    ("injector leak", "area", 0.0, 1e-6, 4e-12, "holes of all injectors when shut", _JUDGEMENT),
    ("damper leak", "area", 0.0, 1e-5, 0.0, "hole in a damper's diaphragm, fuel goes to the manifold", _JUDGEMENT),
    ("extra injector leak", "area", 0.0, 1e-5, 0.0, "cold-start or extra injector that does not close", _JUDGEMENT),
    ("trapped air", "volume", 0.0, 5e-4, 0.0, "air caught in rail or hoses at the pressure of the outside", _JUDGEMENT),
    ("hot rail temperature", "temperature", 280.0, 420.0, 338.0, "fuel in the rail after a hot stop", _JUDGEMENT),
    ("idle demand", "flow", 0.0, 200 * _LH, 2.2 * _LH, "fuel burnt at idle", _JUDGEMENT),
    ("full load demand", "flow", 0.0, 2500 * _LH, 58 * _LH, "fuel burnt at full load", "power times BSFC"),
    ("outside leak", "area", 0.0, 1e-5, 0.0, "leak at a joint, rail or hose", _JUDGEMENT),
    (
        "rail compliance",
        "compliance",
        1e-14,
        1e-9,
        3e-12,
        "fuel stored per pascal in rail and hoses, m3/Pa",
        _JUDGEMENT,
    ),
    (
        "cooling shrink",
        "pressure",
        0.0,
        3e5,
        900.0,
        "pressure lost to cooling in each minute after switch-off",
        _JUDGEMENT,
    ),
)

_INSTRUMENTS = _table(
    ("gauge offset", "pressure", -2e5, 2e5, 0.0, "main gauge reads this much high", "gauge grades"),
    ("gauge scale", "ratio", 0.2, 5.0, 1.0, "main gauge shows this times the truth", "gauge grades"),
    ("gauge sees pump side", "fraction", 0.0, 1.0, 0.0, "1: tapped before the filter", _JUDGEMENT),
    ("gauge in return", "fraction", 0.0, 1.0, 0.0, "1: teed into the return below the regulator", _JUDGEMENT),
    ("gauge stuck", "fraction", 0.0, 1.0, 0.0, "1: blocked snubber, the needle stays where it was", _JUDGEMENT),
    ("gauge stuck at", "pressure", -5e5, 1e6, 0.0, "what is shut in with it; below nothing: down", _JUDGEMENT),
    ("gauge hot offset", "pressure", -1e5, 1e5, 0.0, "added while the gauge is hot", "ASME B40.100 on sealed cases"),
    ("sensor scale", "ratio", 0.2, 5.0, 1.0, "rail sensor shows this times the truth", "ratiometric transfer"),
    ("sensor offset", "pressure", -2e5, 2e5, 0.0, "rail sensor reads this much high", "ratiometric transfer"),
)

PARAMETERS: dict[str, Parameter] = {
    **_FUEL_AND_TANK, **_PUMP, **_ELECTRICS, **_LINES, **_REGULATOR, **_REFERENCE_AND_ENGINE, **_INSTRUMENTS, **ENGINE,
}  # fmt: skip
"""Registry of all parameters by name."""
