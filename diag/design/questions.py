"""The questions of the desk by name, so that command line and screens can offer them all in one way."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from diag.design.answer import Answer, Curve, Table, Units, Working
from diag.design.engine import injector_flow_at, pump_keeps_up, wire_drop
from diag.design.instruments import mix_ups, odd_reading, sensor_scale
from diag.design.pressure import expected_rail_pressure, regulator_range
from diag.design.return_line import return_capacity
from diag.fuelsystem.car import Car
from diag.fuelsystem.constants import PSI
from diag.quantities import parse
from diag.support.errors import QuantityError, UnknownNameError

__all__ = [
    "QUESTIONS", "Answer", "Curve", "Extra", "Question", "Table", "Units", "Working", "ask", "expected_rail_pressure",
    "injector_flow_at", "mix_ups", "odd_reading", "pump_keeps_up", "read_figure", "regulator_range", "return_capacity",
    "sensor_scale", "wire_drop",
]  # fmt: skip


@dataclass(frozen=True, slots=True)
class Extra:
    """A figure that a question takes besides the car: id, title, kind of quantity; ``default`` SI or None."""

    id: str
    title: str
    kind: str
    default: float | None = None


@dataclass(frozen=True, slots=True)
class Question:
    """One question: id, title, the car fields that matter to it, the extra figures, and what answers it."""

    id: str
    title: str
    fields: tuple[str, ...]
    extras: tuple[Extra, ...]
    answer: Callable[[Car, Mapping[str, float], Units], Answer]


def _manifold(extras: Mapping[str, float]) -> float | None:
    if "vacuum" in extras and "boost" in extras and extras["vacuum"] > 0.0 and extras["boost"] > 0.0:
        raise QuantityError("There cannot be vacuum and boost at once.", "Give one of them.", "Manifold")
    if extras.get("boost"):
        return extras["boost"]
    return -extras["vacuum"] if "vacuum" in extras else None


def _expected(car: Car, extras: Mapping[str, float], units: Units) -> Answer:
    return expected_rail_pressure(car, _manifold(extras), units)


def _injectors(car: Car, extras: Mapping[str, float], units: Units) -> Answer:
    return injector_flow_at(car, extras.get("rail"), _manifold(extras) or 0.0, units)


def _sensor(_: Car, extras: Mapping[str, float], units: Units) -> Answer:
    return sensor_scale(extras["true"], extras["built"], extras["entered"], extras.get("supply", 5.0), units)


def _odd(_: Car, extras: Mapping[str, float], units: Units) -> Answer:
    for name in ("shown", "expected"):
        if name not in extras:
            raise QuantityError("This question needs both figures.", f"Give {name} too.", name.capitalize())
    return odd_reading(extras["shown"], extras["expected"], units, extras.get("case"), extras.get("height"))


_VACUUM = Extra("vacuum", "Manifold vacuum", "vacuum")
_BOOST = Extra("boost", "Boost", "pressure")

_LIST = (
    Question("rail", "What should the rail read?",
             ("target-pressure", "target-hose", "idle-vacuum", "boost", "altitude", "pump-flow", "return-bore",
              "seat-diameter", "fuel"), (_VACUUM, _BOOST), _expected),
    Question("return", "Can this return carry this pump, and what bore or seat would?",
             ("pump-flow", "pump-pressure", "pump-volts", "return-bore", "return-length", "return-bends",
              "tank-entry-bore", "seat-diameter", "target-pressure", "idle-vacuum", "fuel"), (),
             lambda car, _, units: return_capacity(car, units)),
    Question("range", "Does base plus boost fit the regulator?",
             ("target-pressure", "target-hose", "boost", "regulator-low", "regulator-high", "pump-relief",
              "idle-vacuum"), (), lambda car, _, units: regulator_range(car, units)),
    Question("injectors", "What do the injectors flow at this pressure?",
             ("injector-flow", "injector-count", "target-pressure"),
             (Extra("rail", "Rail pressure", "pressure"), _VACUUM, _BOOST), _injectors),
    Question("pump", "Does the pump keep up at full load on this fuel?",
             ("engine-power", "fuel", "pump-flow", "pump-pressure", "pump-volts", "pump-relief", "boost",
              "target-pressure", "wire", "wire-length"), (), lambda car, _, units: pump_keeps_up(car, units)),
    Question("wire", "What does the wire to the pump lose?", ("wire", "wire-length", "pump-flow", "battery-volts"),
             (Extra("current", "Pump current", "current"),),
             lambda car, extras, _: wire_drop(car, extras.get("current"))),
    Question("sensor", "What does a mis-scaled sensor show?", (),
             (Extra("true", "Pressure really there", "pressure", 43.5 * PSI),
              Extra("built", "Span of the sensor", "pressure", 150 * PSI),
              Extra("entered", "Span entered", "pressure", 100 * PSI),
              Extra("supply", "Volts on the sensor", "voltage", 5.0)), _sensor),
    Question("odd", "What mistake would explain this figure?", (),
             (Extra("shown", "Pressure shown", "pressure"), Extra("expected", "Pressure expected", "pressure"),
              Extra("case", "Warmth of a sealed, filled gauge", "temperature"),
              Extra("height", "Height above where that gauge was sealed", "altitude")), _odd),
)  # fmt: skip

QUESTIONS: dict[str, Question] = {question.id: question for question in _LIST}
"""Every desk question by id."""


def read_figure(extra: Extra, text: str, unit_pressure: str = "psi") -> float:
    """The SI value of an extra figure as typed; a pressure without a unit is in ``unit_pressure``.

    Raises:
        QuantityError: it is no such figure, or only a limit.
    """
    amount = parse(text, extra.kind, unit_pressure if extra.kind == "pressure" else "", extra.title)
    if amount.bound:
        raise QuantityError(f"{amount.text!r} is only a limit.", "Give one figure, or leave it out.", extra.title)
    return amount.value


def ask(question: str, car: Car, extras: Mapping[str, float] | None = None, units: Units | None = None) -> Answer:
    """Answer a desk question.

    Args:
        extras: SI values by extra id; those left out take the question's default, where it has one.

    Raises:
        UnknownNameError: for a question or extra nobody knows.
        QuantityError: for figures that cannot be, alone or together.
    """
    if question not in QUESTIONS:
        raise UnknownNameError("desk question", question, QUESTIONS)
    spec = QUESTIONS[question]
    given = dict(extras or {})
    names = [extra.id for extra in spec.extras]
    for name in given:
        if name not in names:
            raise UnknownNameError(f"figure of the question {question}", name, names)
    for extra in spec.extras:
        if extra.default is not None:
            given.setdefault(extra.id, extra.default)
    return spec.answer(car, given, units or Units())
