"""A small book with physical causes on the real fuel-system model, for tests of readings."""

from __future__ import annotations

from functools import lru_cache

from diag.fuelsystem.car import car_from_texts
from diag.inference.evidence import Reading
from diag.inference.model import Model, compile_model
from diag.rulebook.causes import Effect
from diag.rulebook.findings import Condition, Point, ReadingKind
from diag.rulebook.model import RuleBook
from tests.inference.books import book, cause, knobs, sign

PSI = 6894.757293168

POINTS = (
    Point("base", "", "", {"pump": "on", "engine": "off", "hose": "off"}),
    Point("idle-on", "", "", {"pump": "on", "engine": "idle", "hose": "on"}),
    Point("screw-out", "", "", {"pump": "on", "engine": "off", "hose": "off", "screw": "out"}),
    Point("return-opened", "", "", {"pump": "on", "engine": "off", "hose": "off", "return": "opened"}),
)


def kind(name: str, instrument: str) -> ReadingKind:
    """A pressure with the figures of the shipped book."""
    return ReadingKind(name, "", "", "pressure", 0.0, 150 * PSI, 0.7 * PSI, 1 * PSI, 1.5 * PSI, 8 * PSI, instrument)


@lru_cache(maxsize=1)
def rig_book() -> RuleBook:
    """Nine causes: two of sizing, five of damage or setting, a wrong gauge, and one that the physics cannot see."""
    too_high = ("rail pressure", "screw-out", "above", "target", 1 * PSI)
    causes = [
        cause(
            "return-too-small",
            0.2,
            is_when=Condition(*too_high, "return line drop", "seat drop"),  # type: ignore[arg-type]
            kind="sizing",
        ),
        cause(
            "seat-too-small",
            0.1,
            is_when=Condition(*too_high, "seat drop", "return line drop"),  # type: ignore[arg-type]
            kind="sizing",
        ),
        cause("return-blocked", 0.1, acts_on=[Effect("return restriction hole", "set", 0.001, 0.002)]),
        cause("hose-off", 0.15, acts_on=[Effect("reference vacuum share", "set", 0.0, 0.1)]),
        cause("filter-blocked", 0.1, acts_on=[Effect("filter restriction", "times", 5.0, 50.0)]),
        cause("pump-weak", 0.1, acts_on=[Effect("pump flow factor", "times", 0.3, 0.7)]),
        cause("set-too-high", 0.15, acts_on=[Effect("set pressure", "add", 4 * PSI, 20 * PSI)], kind="setting"),
        cause("gauge-wrong", 0.1, acts_on=[Effect("gauge offset", "add", -12 * PSI, 12 * PSI)], kind="instrument"),
        cause("plugs-fouled", 0.1, {"smoke": 0.7}),
    ]
    seen = Condition("rail pressure", "screw-out", "above", "target", 3 * PSI)
    signs = [sign("smoke", 0.05), sign("wont-come-down", 0.02, seen_when=seen, told_right=0.95, told_wrongly=0.03)]
    readings = [kind("rail pressure", "pressure gauge"), kind("regulator outlet pressure", "second gauge")]
    return book(causes, signs, readings=readings, points=POINTS, figures=knobs(out_of_book=0.02))


def rig(draws: int = 512, **told: str) -> Model:
    """The book compiled for a car; fields are given with underscores for dashes."""
    texts = {name.replace("_", "-"): text for name, text in told.items()}
    return compile_model(rig_book(), car_from_texts(texts), draws)


def psi(reading: str, point: str, value: float, entry: int = 0, epoch: int = 0, gauge: str = "main") -> Reading:
    """A plain reading in psi."""
    pascal = value * PSI
    return Reading(reading, point, pascal, pascal, pascal, gauge=gauge, epoch=epoch, entry=entry)
