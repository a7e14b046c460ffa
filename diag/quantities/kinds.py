"""The kinds of quantity: their units, the usual unit, and what is believable for a car's fuel system."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from functools import cache

from diag.quantities import units as u
from diag.quantities.units import Unit, fold
from diag.support.errors import UnknownNameError


@dataclass(frozen=True, slots=True)
class Kind:
    """A kind of quantity.

    Args:
        name: as the rule book says it.
        a: with its article, for messages.
        si: what the inside value is, for documentation.
        units: the units it may be typed in; ``usual`` is taken when nobody says otherwise.
        low, high: the believable range, SI, both ends included; wide, since fields have their own limits.
        example: what to type.
    """

    name: str
    a: str
    si: str
    units: tuple[Unit, ...] = field(repr=False)
    usual: str
    low: float
    high: float
    example: str


_LIST = (
    Kind("pressure", "a pressure", "Pa above atmosphere", u.PRESSURE, "psi", -u.ATMOSPHERE, 2.5e6, "43.5 psi"),
    Kind("vacuum", "a vacuum", "Pa below atmosphere", u.VACUUM, "inHg", 0.0, u.ATMOSPHERE, "20 inHg"),
    Kind("absolute pressure", "an absolute pressure", "Pa", u.PRESSURE, "kPa", 0.0, 2.6e6, "101 kPa"),
    Kind("length", "a length", "m", u.LENGTH, "m", 0.0, 100.0, "4 m"),
    Kind("bore", "a bore", "m", u.LENGTH, "mm", 0.0, 0.1, "8 mm, 3/8 in or dash 6"),
    Kind("altitude", "an altitude", "m above sea level", u.LENGTH, "m", -450.0, 6000.0, "350 m"),
    Kind("flow", "a flow", "m3/s", u.FLOW, "L/h", 0.0, 2.0e-3, "160 L/h or 1 pint in 30 s"),
    Kind("mass flow", "a mass flow", "kg/s", u.MASS_FLOW, "kg/h", 0.0, 1.5, "120 kg/h"),
    Kind("volume", "a volume", "m3", u.VOLUME, "L", 0.0, 0.5, "0.5 L"),
    Kind("voltage", "a voltage", "V", u.VOLTAGE, "V", -60.0, 60.0, "12.6 V"),
    Kind("current", "a current", "A", u.CURRENT, "A", -1000.0, 1000.0, "8 A"),
    Kind("resistance", "a resistance", "ohm", u.RESISTANCE, "ohm", 0.0, 1.0e8, "0.2 ohm"),
    Kind("time", "a time", "s", u.TIME, "s", 0.0, 3.2e9, "90 s or 5 min"),
    Kind("temperature", "a temperature", "K", u.TEMPERATURE, "C", 203.15, 1273.15, "20 C"),
    Kind(
        "temperature difference",
        "a difference in temperature",
        "K",
        u.TEMPERATURE_DIFFERENCE,
        "K",
        -500.0,
        500.0,
        "20 K",
    ),
    Kind("power", "a power", "W", u.POWER, "hp", 0.0, 3.0e6, "300 hp"),
    Kind("count", "a count", "number", u.COUNT, "off", 0.0, 1000.0, "4"),
    Kind("fraction", "a share", "share from 0 to 1", u.SHARE, "share", 0.0, 1.0, "25 % or 1/4"),
    Kind("percent", "a share", "share from 0 to 1", u.SHARE, "%", 0.0, 1.0, "25 %"),
    Kind("wire", "a wire size", "m2 of copper", u.WIRE, "mm2", 1.0e-8, 2.0e-4, "2.5 mm2 or 14 AWG"),
    Kind("speed", "an engine speed", "revolutions per minute", u.SPEED, "rpm", 0.0, 25000.0, "900 rpm"),
    Kind("area", "an area", "m2", u.AREA, "mm2", 0.0, 1.0, "3 mm2"),
    Kind("ratio", "a ratio", "number", u.RATIO, "to 1", -1000.0, 1000.0, "1:1 or 1.2"),
    Kind("density", "a density", "kg/m3", u.DENSITY, "kg/m3", 500.0, 1500.0, "740 kg/m3"),
    Kind("viscosity", "a viscosity", "Pa s", u.VISCOSITY, "mPa s", 1.0e-5, 1.0, "0.5 mPa s"),
    Kind("stiffness", "a spring rate", "N/m", u.STIFFNESS, "N/mm", 0.0, 1.0e7, "20 N/mm"),
    Kind("compliance", "a compliance", "m3/Pa", u.COMPLIANCE, "cc/bar", 0.0, 1.0e-6, "0.5 cc/bar"),
)
KINDS: dict[str, Kind] = {kind.name: kind for kind in _LIST}
PRESSURES = frozenset({"pressure", "vacuum", "absolute pressure"})


def kind_of(name: str) -> Kind:
    """The kind with this name.

    Raises:
        UnknownNameError: there is none.
    """
    kind = KINDS.get(name)
    if kind is None:
        raise UnknownNameError("kind of quantity", name, KINDS)
    return kind


def units_of(kind: str) -> tuple[str, ...]:
    """The names of the units a kind may be typed and shown in, the usual one first."""
    found = kind_of(kind)
    return (found.usual, *(unit.name for unit in found.units if unit.name != found.usual))


@cache
def _spellings(kind: str) -> tuple[dict[str, Unit], dict[str, Unit | None]]:
    """Exact spellings, and folded ones; None marks a folded spelling that two units share (mohm, Mohm)."""
    exact: dict[str, Unit] = {}
    folded: dict[str, Unit | None] = {}
    for unit in kind_of(kind).units:
        for said in (unit.name, *unit.said):
            exact.setdefault(said.replace(" ", ""), unit)
            key = fold(said)
            folded[key] = unit if folded.get(key, unit) is unit else None
    return exact, folded


_PER = re.compile(r"(?<=\S) (?:per|an?) (?=\S)", re.IGNORECASE)


def find_unit(text: str, kind: str) -> Unit | None:
    """The unit of this kind that a spelling means; None when there is none or it could be two."""
    exact, folded = _spellings(kind)
    spelled = text.replace(" ", "")
    return exact.get(spelled) or folded.get(fold(_PER.sub("/", text)))


def kinds_with(text: str) -> list[str]:
    """The kinds that know this spelling of a unit."""
    return [name for name in KINDS if find_unit(text, name) is not None]


def near_units(text: str, kind: str) -> list[str]:
    """Units of the kind whose spelling is near a mistyped one."""
    _, folded = _spellings(kind)
    spelled = fold(text)
    if folded.get(spelled, kind) is None:  # two units share this spelling when case is ignored
        return [unit.name for unit in kind_of(kind).units if spelled in map(fold, (unit.name, *unit.said))]
    from difflib import get_close_matches  # only for somebody who mistyped

    near = get_close_matches(spelled, list(folded), n=3, cutoff=0.65)
    return list(dict.fromkeys(unit.name for key in near if (unit := folded[key]) is not None))


def unit_of(name: str, kind: str) -> Unit:
    """The unit of a kind; an empty name means the usual one.

    Raises:
        UnknownNameError: the kind has no such unit.
    """
    unit = find_unit(name or kind_of(kind).usual, kind)
    if unit is None:
        raise UnknownNameError(f"unit of {kind}", name, units_of(kind))
    return unit
