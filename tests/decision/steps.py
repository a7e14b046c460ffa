"""A small book with steps of every sort, for tests of wall, choice and casework."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from diag.rulebook.basis import Basis
from diag.rulebook.findings import Point
from diag.rulebook.hazards import Hazard, StopRule
from diag.rulebook.model import Context, RuleBook
from diag.rulebook.steps import ACTS, Check, Remedy, Setup, Yield
from tests.inference import books

BASIS = Basis("judgement", "test data")
PLACES = ("fuel-at-cap", "fuel-under-car", "fuel-smell")


def _step(kind: type, name: str, does: tuple[str, ...] = (), **more: Any) -> Any:
    fields: dict[str, Any] = {
        "id": name,
        "title": name.replace("-", " ").capitalize(),
        "why": "",
        "steps": (),
        "aloud": (),
        "minutes": 3.0,
        "tools": (),
        "hazards": (),
        "does": does,
        "needs": (),
        "undoes": (),
        "person": "untrained",
        "by_phone": True,
        "for_leaks": False,
        "risk_minutes": 0.0,
    }
    return kind(**{**fields, **more})


def check(name: str, *signs: str, does: tuple[str, ...] = (), **more: Any) -> Check:
    """A check that yields these signs."""
    return _step(Check, name, does, yields=tuple(Yield(s) for s in signs), **more)


def setup(name: str, *does: str, **more: Any) -> Setup:
    """An enabling step."""
    return _step(Setup, name, does, **more)


def remedy(name: str, *does: str, **more: Any) -> Remedy:
    """A remedy."""
    return _step(Remedy, name, does, **more)


def stop(name: str, *when: str, forbids: tuple[str, ...] = ACTS) -> StopRule:
    """A stop rule."""
    return StopRule(name, name.replace("-", " "), when, forbids, f"why {name}", f"until {name}", ("do this",), BASIS)  # type: ignore[arg-type]


def by_id(*things: Any) -> Mapping[str, Any]:
    """Things by their id, in order of id."""
    return {t.id: t for t in sorted(things, key=lambda t: t.id)}


CHECKS = by_id(
    check("look-over", *PLACES, look_over=True, for_leaks=True),
    check("look-over-after-repair", *PLACES, look_over=True, for_leaks=True),
    check("ask", "since-rebuild"),
    check("paper", "paper-wet", for_leaks=True),
    check("listen", "whine", does=("key on", "runs pump"), hazards=("moving-parts",)),
    check("volts", "low-volts", does=("key on", "sparks"), tools=("multimeter",)),
    check("crank", "starts", does=("cranks engine",)),
    check("drive", "starves", does=("drives car", "runs engine"), person="hobbyist"),
    check("pull-hose", "fuel-in-hose", needs=("hose-off",)),
    check("gauge", "too-high", does=("runs pump",), needs=("gauge-fitted", "hose-off"), tools=("pressure-gauge",)),
    check(
        "open-return", "falls-open", does=("runs pump",), needs=("return-in-container", "gauge-fitted"), minutes=10.0
    ),
    check("pinch", "rises-pinched", does=("runs pump", "pinches hose"), needs=("gauge-fitted",), person="mechanic"),
)
SETUPS = by_id(
    setup("dry-look"),
    setup("engine-off", group="engine", undoes=("engine-warm",), minutes=0.5),
    setup("engine-warm", "key on", "runs pump", "runs engine", group="engine", minutes=10.0),
    setup("fuse-out", needs=("engine-off",), minutes=1.0),
    setup(
        "pressure-released",
        "key on",
        "runs pump",
        "runs engine",
        "cranks engine",
        "sparks",
        person="hobbyist",
        by_phone=False,
        group="pressure",
        releases_pressure=True,
        minutes=6.0,
    ),
    setup(
        "gauge-fitted",
        "opens system",
        "disturbs joint",
        needs=("pressure-released",),
        undoes=("dry-look",),
        person="hobbyist",
        by_phone=False,
        tools=("pressure-gauge",),
        hazards=("liquid-fuel",),
        minutes=10.0,
    ),
    setup("hose-off", group="reference hose", undoes=("hose-on",), minutes=1.0),
    setup("hose-on", group="reference hose", undoes=("hose-off",), minutes=1.0),
    setup(
        "return-in-container",
        "opens system",
        "disturbs joint",
        needs=("pressure-released",),
        person="mechanic",
        by_phone=False,
        minutes=12.0,
    ),
)
REMEDIES = by_id(
    remedy(
        "tighten-cap", "disturbs joint", person="hobbyist", proof=("look-over-after-repair", "listen"), minutes=10.0
    ),
    remedy("renew-return", "opens system", "disturbs joint", person="mechanic", proof=("gauge",), minutes=60.0),
    remedy("renew-regulator", "opens system", "loads spring", person="mechanic", proof=("gauge",), minutes=40.0),
    remedy("renew-pump", "opens system", person="mechanic", proof=("listen",), minutes=90.0),
    remedy("set-pressure", "runs pump", needs=("gauge-fitted",), person="mechanic", proof=("gauge",), minutes=8.0),
    remedy("hand-to-specialist", keeps_car=False, minutes=5.0),
)
STOPS = by_id(
    stop("fire", "sign:fire"),
    stop("wet-unknown", "wet:unknown"),
    stop(
        "wet-fuel", "wet:wet", forbids=("key on", "runs pump", "runs engine", "cranks engine", "drives car", "sparks")
    ),
    stop("fuel-in-hose", "sign:fuel-in-hose", forbids=("key on", "runs pump", "runs engine", "cranks engine")),
    stop("not-proven", "wet:repaired", forbids=("runs engine", "cranks engine", "drives car")),
    stop("hands-off", "person:untrained", forbids=("opens system", "pinches hose", "disturbs joint", "sparks")),
    stop("methanol", "fuel:methanol", "person:untrained"),
    stop("high", "reading:rail pressure above 87 psi", forbids=("pinches hose", "runs engine")),
)


def small_book() -> RuleBook:
    """Six causes, signs with strong and weak links, steps of every sort."""

    def cause(name: str, share: float, remedy_id: str, **shows: float) -> Any:
        made = books.cause(name, share, {k.replace("_", "-"): v for k, v in shows.items()})
        return replace(made, remedies=(remedy_id,), title=name.replace("-", " ").capitalize())

    causes = [
        cause("cap-loose", 0.2, "tighten-cap", fuel_at_cap=0.9, paper_wet=0.9, fuel_smell=0.6),
        cause("return-small", 0.25, "renew-return", too_high=0.9, falls_open=0.9, whine=0.3),
        cause("seat-small", 0.15, "renew-regulator", too_high=0.9, rises_pinched=0.5),
        cause("diaphragm-torn", 0.1, "renew-regulator", fuel_in_hose=0.9, fuel_smell=0.3, too_high=0.1),
        cause("pump-worn", 0.2, "renew-pump", whine=0.7, starves=0.8, low_volts=0.1),
        cause("set-wrong", 0.1, "set-pressure", too_high=0.6, since_rebuild=0.7),
    ]
    names = ["fuel-in-hose", "since-rebuild", "whine", "low-volts", "starts", "starves", "too-high", "falls-open"]
    signs = [books.sign(n, 0.03) for n in (*names, "rises-pinched", "fire")]
    signs += [books.sign(n, 0.02, wet=True) for n in (*PLACES, "paper-wet")]
    plain = books.book(causes, signs)
    return replace(
        plain,
        checks=CHECKS,
        setups=SETUPS,
        remedies=REMEDIES,
        actions={},
        stops=STOPS,
        hazards=by_id(
            Hazard("liquid-fuel", "Liquid fuel", ("Catch it.",), BASIS),
            Hazard("moving-parts", "Belts", ("Keep off.",), BASIS),
        ),
        contexts=by_id(Context("alcohol-fuel", "Alcohol", "?", when_car="fuel: methanol, E85")),
        tools={"pressure-gauge": "a pressure gauge", "multimeter": "a multimeter"},
        points=by_id(
            Point("pump-on", "pump on", "", {"pump": "on", "engine": "off"}),
            Point("idle-hose-on", "idle", "", {"pump": "on", "engine": "idle", "hose": "on"}),
        ),
    )
