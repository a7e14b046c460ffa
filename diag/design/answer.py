"""The form of an answer at the desk: results in words, the working, a table and a curve in numbers."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from diag.fuelsystem.car import Car
from diag.fuelsystem.draws import draw
from diag.fuelsystem.fields import FIELD_OF
from diag.quantities import show
from diag.support.errors import QuantityError

Array = NDArray[np.float64]

DRAWS = 512
"""Imagined cars behind every answer."""


@dataclass(frozen=True, slots=True)
class Working:
    """One step of the working: what is computed, the equation, the values put in, and where it comes from."""

    what: str
    equation: str
    values: str
    source: str


@dataclass(frozen=True, slots=True)
class Table:
    """Headings and rows of finished text."""

    headings: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


@dataclass(frozen=True, slots=True)
class Curve:
    """A picture in numbers, SI: a middle line with its band, further lines by name, and single marked points.

    ``x_kind`` and ``y_kind`` are kinds of ``diag.quantities``; ``levels`` are horizontal lines (name, y).
    """

    title: str
    x_title: str
    x_kind: str
    y_title: str
    y_kind: str
    x: tuple[float, ...]
    middle: tuple[float, ...]
    low: tuple[float, ...]
    high: tuple[float, ...]
    levels: tuple[tuple[str, float], ...] = ()
    marks: tuple[tuple[str, float, float], ...] = ()


@dataclass(frozen=True, slots=True)
class Answer:
    """A desk question answered. ``verdict`` is "yes", "no", "marginal" or empty for a question about a number.

    ``sharpen`` lists unknown fields of the car, the one first that would narrow the answer most.
    """

    title: str
    results: tuple[str, ...]
    working: tuple[Working, ...]
    uncertainty: tuple[str, ...]
    verdict: str = ""
    table: Table | None = None
    curve: Curve | None = None
    sharpen: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Units:
    """The units in which an answer speaks."""

    pressure: str = "psi"
    vacuum: str = "inHg"
    flow: str = "L/h"
    bore: str = "mm"
    power: str = "hp"

    def pressure_text(self, value: float) -> str:
        """A pressure in words."""
        return show(value, "pressure", self.pressure)

    def flow_text(self, value: float) -> str:
        """A flow in words."""
        return show(value, "flow", self.flow)

    def manifold_text(self, value: float) -> str:
        """A manifold gauge pressure as vacuum or boost."""
        if value < -1.0:
            return f"{show(-value, 'vacuum', self.vacuum)} of vacuum"
        return f"{show(value, 'pressure', self.pressure)} of boost" if value > 1.0 else "no vacuum, no boost"

    def span_text(self, values: Array, kind: str = "pressure") -> str:
        """Middle and 90 % span of drawn values: "43.5 psi (42.1 psi to 44.9 psi)"."""
        low, middle, high = quantiles(values)
        unit = {"pressure": self.pressure, "flow": self.flow, "vacuum": self.vacuum}.get(kind)
        return f"{show(middle, kind, unit)} ({show(low, kind, unit)} to {show(high, kind, unit)})"


def quantiles(values: Array) -> tuple[float, float, float]:
    """The 5 %, 50 % and 95 % points."""
    low, middle, high = np.quantile(values, (0.05, 0.5, 0.95))
    return float(low), float(middle), float(high)


def imagine(car: Car, n: int = DRAWS) -> dict[str, Array]:
    """Imagined copies of this car, sound in every part.

    Raises:
        QuantityError: when two figures cannot be true together.
    """
    wrong = car.impossible()
    if wrong:
        raise QuantityError(wrong[0])
    return draw(car, n)


def sharpening_fields(car: Car, draws: Mapping[str, Array], result: Array, most: int = 3) -> tuple[str, ...]:
    """Unknown fields of the car that explain most of the spread of ``result`` (n,), the strongest first.

    A field counts when the rank correlation of its parameter with the result explains over 4 % of the variance.
    """
    if float(np.ptp(result)) < 1e-12:
        return ()
    ranks = _ranks(result)
    share: dict[str, float] = {}
    for parameter, field in FIELD_OF.items():
        if field in car.values or float(np.ptp(draws[parameter])) <= 0.0:
            continue
        explained = float(np.corrcoef(_ranks(draws[parameter]), ranks)[0, 1]) ** 2
        share[field] = max(share.get(field, 0.0), explained)
    good = sorted(((-v, f) for f, v in share.items() if v > 0.04))
    return tuple(f for _, f in good[:most])


def _ranks(values: Array) -> Array:
    return np.argsort(np.argsort(values, kind="stable"), kind="stable").astype(float)


def known(car: Car, *fields: str) -> str:
    """How many of these fields the car tells, in words for the uncertainty."""
    missing = [f for f in fields if f not in car.values]
    if not missing:
        return "All fields this question needs are known; the span is that of ordinary tolerances."
    return f"Not known and taken from what such cars usually have: {', '.join(missing)}."
