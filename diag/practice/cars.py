"""The practice cars of the Larkhill Hillclimb Club, and what their papers could say.

Only what shapes the whole car is fixed here (fuel, target, boost, pumps); everything else belongs to the one imagined
car that was dealt, and its papers are read off that car, so that they are true unless the level makes one wrong.
All of it is invented.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from diag.fuelsystem.fields import FIELDS
from diag.quantities import parse, show

FIGURES = 3

PAPERS: dict[str, str] = {
    "pump-flow": "pump rated flow",
    "pump-pressure": "pump rated pressure",
    "pump-volts": "pump rated volts",
    "return-bore": "return bore",
    "return-length": "return length",
    "feed-bore": "feed bore",
    "feed-length": "feed length",
    "regulator-low": "screw out pressure",
    "regulator-high": "screw in pressure",
    "seat-diameter": "seat diameter",
    "injector-flow": "injector flow",
    "injector-count": "injector count",
    "idle-vacuum": "idle vacuum",
}
"""Field of the car -> parameter of the fuel system that it states."""

ALWAYS = ("pump-flow", "injector-count")
"""Papers the owner has on every level."""

UNITS = {"injector-flow": "cc/min", "return-bore": "mm", "feed-bore": "mm", "seat-diameter": "mm", "return-length": "m",
         "feed-length": "m", "pump-flow": "L/h", "idle-vacuum": "inHg"}  # fmt: skip


@dataclass(frozen=True, slots=True)
class PracticeCar:
    """A car of the club: its name, one sentence about it, and the facts that never change, as typed."""

    name: str
    about: str
    facts: Mapping[str, str]


CARS: tuple[PracticeCar, ...] = (
    PracticeCar("Wren", "A light road car with a petrol four, built up over two winters.",
                {"fuel": "petrol", "target-pressure": "43.5 psi", "target-hose": "off", "pumps": "one"}),
    PracticeCar("Otter", "A turbocharged petrol car for hills and the drive home.",
                {"fuel": "petrol", "target-pressure": "43.5 psi", "target-hose": "off", "boost": "12 psi"}),
    PracticeCar("Bramble", "A heavy saloon on a petrol blend with a tenth of ethanol.",
                {"fuel": "E10", "target-pressure": "39 psi", "target-hose": "off", "pump-place": "in tank"}),
    PracticeCar("Plover", "A boosted special on E85 with big injectors.",
                {"fuel": "E85", "target-pressure": "43.5 psi", "target-hose": "off", "boost": "15 psi"}),
    PracticeCar("Teasel", "A methanol single-seater that only sees the hill.",
                {"fuel": "methanol", "target-pressure": "50 psi", "target-hose": "off", "pump-place": "outside"}),
    PracticeCar("Linnet", "A petrol estate with two pumps, used for towing the others.",
                {"fuel": "petrol", "target-pressure": "43.5 psi", "target-hose": "off", "pumps": "two"}),
)  # fmt: skip


def paper(field: str, built: Mapping[str, float]) -> str:
    """What the papers say about a field, as somebody would type it."""
    return written(field, built[PAPERS[field]])


def written(field: str, value: float) -> str:
    """An SI value of a field as typed, with its unit; empty when no car has such a value."""
    kind = FIELDS[field].kind
    if kind == "count":
        return f"{value:.0f}"
    low, high = FIELDS[field].low, FIELDS[field].high
    if not low <= value <= high:
        return ""
    text = show(value, kind, UNITS.get(field), figures=FIGURES)
    return text if low <= parse(text, kind, UNITS.get(field, "")).value <= high else ""
