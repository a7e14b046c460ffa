"""The car in front of us: what was told about it, checked, and the sentences it contradicts itself with."""

from __future__ import annotations

import math
import re
from collections.abc import Collection, Mapping
from dataclasses import dataclass, field

from diag.fuelsystem.constants import INHG, PSI
from diag.fuelsystem.fields import CHOICE, FIELDS, CarField
from diag.fuelsystem.fluids import FUELS, air_pressure
from diag.fuelsystem.instruments import grade_limit
from diag.quantities import parse, show
from diag.support.errors import QuantityError, UnknownNameError

UNKNOWN_WORDS = frozenset({"", "?", "unknown", "not known", "no idea", "don't know", "dont know"})
_YES = {"yes": "yes", "y": "yes", "true": "yes", "no": "no", "n": "no", "false": "no"}
_ID = re.compile(r"[a-z0-9]+(-[a-z0-9]+)*")


@dataclass(frozen=True, slots=True)
class Car:
    """Field id to SI value or word; a field that is not there is unknown. Context facts are "yes" or "no"."""

    values: Mapping[str, float | str] = field(default_factory=dict)

    def number(self, name: str) -> float | None:
        """The SI value of a field, None when unknown."""
        value = self.values.get(name)
        return float(value) if isinstance(value, int | float) else None

    def word(self, name: str) -> str:
        """The word of a choice field, empty when unknown."""
        value = self.values.get(name)
        return value if isinstance(value, str) else ""

    @property
    def unknown(self) -> tuple[str, ...]:
        """Ids of the fields nobody told, in the order of the form."""
        return tuple(name for name in FIELDS if name not in self.values)

    def gauge_spread(self, pressure: float) -> float | None:
        """Standard deviation of the gauge's error at a pressure, Pa: half the limit of its grade; None when unknown.

        With the span told and no grade, that of a class 2.5 gauge.
        """
        span = self.number("gauge-span")
        return None if span is None else 0.5 * grade_limit(self.word("gauge-grade") or "2.5", span, pressure)

    def changed(self, name: str, value: float | str | None) -> Car:
        """The same car with one field told differently; None makes it unknown. For what-if questions."""
        values = {k: v for k, v in self.values.items() if k != name}
        return Car(values if value is None else {**values, name: value})

    def impossible(self) -> list[str]:
        """The contradictions that no car can have, one sentence each: a figure must be wrong."""
        return [sentence for check in _NEVER for sentence in check(self)]

    def contradictions(self) -> list[str]:
        """What cannot be true together, one sentence each; empty when the car is consistent."""
        return [sentence for check in _CHECKS for sentence in check(self)]


def _psi(value: float) -> str:
    return f"{value / PSI:.1f} psi"


def _relief(car: Car) -> list[str]:
    rated, relief = car.number("pump-pressure"), car.number("pump-relief")
    if rated is not None and relief is not None and rated >= relief:
        return [
            f"The pump's flow is stated at {_psi(rated)}, but its relief valve opens at {_psi(relief)} already: "
            "check both figures, the relief pressure must be the higher."
        ]
    return []


def _range(car: Car) -> list[str]:
    low, high = car.number("regulator-low"), car.number("regulator-high")
    if low is not None and high is not None and low >= high:
        return [
            f"The regulator's lowest setting {_psi(low)} is not below its highest {_psi(high)}: check both figures."
        ]
    return []


def hose_off_target(car: Car) -> float | None:
    """The target rail pressure with the hose off, gauge Pa; None when it was not told.

    A target stated with the hose on is raised by the idle vacuum, the usual 18 inHg when that is unknown.
    """
    target = car.number("target-pressure")
    if target is None or car.word("target-hose") != "on":
        return target
    vacuum = car.number("idle-vacuum")
    return target + (18 * INHG if vacuum is None else vacuum)


def _target(car: Car) -> list[str]:
    target = hose_off_target(car)
    if target is None:
        return []
    low, high, relief = (car.number(n) for n in ("regulator-low", "regulator-high", "pump-relief"))
    said = []
    head = f"The target of {_psi(target)} with the hose off"
    if low is not None and target < low - 0.5 * PSI:
        said.append(
            f"{head} lies below the regulator's lowest setting of {_psi(low)}: this regulator cannot be set to it."
        )
    if high is not None and target > high + 0.5 * PSI:
        said.append(
            f"{head} lies above the regulator's highest setting of {_psi(high)}: this regulator cannot be set to it."
        )
    if relief is not None and target >= relief:
        said.append(
            f"The target of {_psi(target)} is not below the pump's relief pressure of {_psi(relief)}: "
            "the pump cannot hold it."
        )
    return said


def _boost(car: Car) -> list[str]:
    target, boost, relief = hose_off_target(car), car.number("boost"), car.number("pump-relief")
    if target is None or not boost or relief is None or target >= relief or target + boost < relief:
        return []
    return [
        f"Base {_psi(target)} plus boost {_psi(boost)} is {_psi(target + boost)}, not below the pump's relief pressure "
        f"of {_psi(relief)}: the rail stops rising before full boost."
    ]


def _valve(car: Car) -> list[str]:
    seat, diaphragm = car.number("seat-diameter"), car.number("diaphragm-diameter")
    if seat is not None and diaphragm is not None and seat >= 0.7 * diaphragm:
        return [
            f"A seat of {seat * 1e3:.1f} mm under a diaphragm of {diaphragm * 1e3:.1f} mm leaves no room for "
            "the valve: check both figures."
        ]
    return []


def _vacuum(car: Car) -> list[str]:
    vacuum, altitude = car.number("idle-vacuum"), car.number("altitude")
    air = float(air_pressure(altitude or 0.0))
    if vacuum is not None and vacuum >= 0.95 * air:
        return [
            f"A vacuum of {vacuum / INHG:.1f} inHg is more than the air pressure of {air / INHG:.1f} inHg "
            "allows there: measure it again."
        ]
    return []


def _gauge(car: Car) -> list[str]:
    target, span = car.number("target-pressure"), car.number("gauge-span")
    if target is not None and span is not None and span < target:
        return [
            f"The gauge only reads to {_psi(span)} but the target is {_psi(target)}: use a gauge that reads past it."
        ]
    return []


_NEVER = (_relief, _range, _valve, _vacuum)
_CHECKS = (*_NEVER, _target, _boost, _gauge)


def _number(spec: CarField, text: str, unit_pressure: str) -> float:
    unit = unit_pressure if spec.kind == "pressure" else spec.unit
    amount = parse(text, spec.kind, unit, where=spec.title)
    value = float(amount.value)
    if amount.bound:
        raise QuantityError(f"{text!r} is only a limit.", "Give one figure, or leave it unknown.", spec.title)
    if not math.isfinite(value) or not spec.low <= value <= spec.high:
        raise QuantityError(f"{text!r} is outside what a car has.", _limits(spec, unit), spec.title)
    if spec.kind == "count" and value != int(value):
        raise QuantityError(f"{text!r} is not a whole number.", "Give a whole number.", spec.title)
    return value


def _limits(spec: CarField, unit: str) -> str:
    return f"It should lie between {show(spec.low, spec.kind, unit)} and {show(spec.high, spec.kind, unit)}."


def _word(spec: CarField, text: str) -> str:
    for choice in spec.choices:
        if text.casefold() == choice.casefold():
            return choice
    raise QuantityError(f"{text!r} is not one of the answers.", f"Say one of: {', '.join(spec.choices)}.", spec.title)


def read_field(
    name: str, text: str, unit_pressure: str = "psi", contexts: Collection[str] | None = None
) -> float | str | None:
    """One field as told: SI value, word, "yes" or "no", or None for unknown.

    Args:
        contexts: the context ids that may be answered yes or no; None accepts any well-formed id.

    Raises:
        UnknownNameError: for a field nobody knows.
        QuantityError: for a value that cannot be understood or cannot be.
    """
    told = text.strip()
    spec = FIELDS.get(name)
    if spec is None:
        known = _ID.fullmatch(name) and (told.casefold() in _YES if contexts is None else name in contexts)
        if not known:
            raise UnknownNameError("field of the car", name, [*FIELDS, *(contexts or ())])
        if told.casefold() in UNKNOWN_WORDS:
            return None
        if told.casefold() not in _YES:
            raise QuantityError(f"{told!r} is neither yes nor no.", "Say yes, no or nothing.", name)
        return _YES[told.casefold()]
    if told.casefold() in UNKNOWN_WORDS:
        return None
    return _word(spec, told) if spec.kind == CHOICE else _number(spec, told, unit_pressure)


def car_from_texts(
    texts: Mapping[str, str], unit_pressure: str = "psi", contexts: Collection[str] | None = None
) -> Car:
    """The car as typed, field by field; empty texts are unknown. Raises as ``read_field`` does."""
    values: dict[str, float | str] = {}
    for name, text in texts.items():
        value = read_field(name, text, unit_pressure, contexts)
        if value is not None:
            values[name] = value
    return Car(values)


def describe_fuel(car: Car) -> str:
    """The fuel's name, petrol when nobody said."""
    return car.word("fuel") if car.word("fuel") in FUELS else "petrol"
