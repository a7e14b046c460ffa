"""Faults that come and go: what is met between two bouts is as on a sound car, and counts so."""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache

import numpy as np
import pytest

from diag.fuelsystem.car import car_from_texts
from diag.inference.evidence import Evidence, Finding, MetIn, Reading
from diag.inference.fault_sets import NEVER
from diag.inference.fleeting import ONE_STATE, rest_of
from diag.inference.model import Model, compile_model
from diag.inference.noisy_or import stages_of
from diag.inference.posterior import belief
from diag.inference.readings.told_case import Case
from diag.rulebook.findings import ABSENT, PRESENT
from diag.rulebook.load import load_book
from diag.rulebook.typed import met_in, read_typed
from diag.simulation.hidden_car import HiddenCar
from tests import ROOT
from tests.inference.books import book, cause, knobs, sign
from tests.inference.naive import posterior

CUTS_OUT = "stalls-then-restarts"
RELAY = "relay-failed"


@lru_cache(maxsize=1)
def shipped() -> Model:
    """The shipped book and a car of which the target is known."""
    return compile_model(load_book(ROOT / "rules"), car_from_texts({"target-pressure": "43.5"}, "psi"))


def told(name: str, answer: str, entry: int, volunteered: bool = False) -> Finding:
    """A plain answer."""
    return Finding(name, answer, 0.01, 0, entry, volunteered)


def base(psi: float, met: MetIn = "") -> Reading:
    """Base pressure."""
    pascal = psi * 6894.757293168
    return Reading("rail pressure", "pump-on-engine-off", pascal, pascal, pascal, entry=9, met_in=met)


COMPLAINT = told(CUTS_OUT, PRESENT, 1, volunteered=True)


def chance(evidence: Evidence, name: str = RELAY) -> float:
    """What is believed of one cause."""
    return dict(belief(shipped(), evidence).ranked())[name]


def test_words_between_bouts_are_those_of_a_mixture() -> None:
    """The chance of a momentary sign is the link thinned by the looks between bouts: against plain enumeration.

    Thinning a noisy-OR link by an independent coin is again noisy-OR with the product (Pearl 1988, from memory).
    """
    signs = [sign("cuts-out", 0.01, symptom=True, comes_and_goes=True), sign("silent", 0.02), sign("smoke", 0.05)]
    causes = [cause("relay", 0.2, {"cuts-out": 0.5, "silent": 0.9}), cause("pump", 0.1, {"silent": 0.8, "smoke": 0.3})]
    plain = book(causes, signs, figures=replace(knobs(), between_bouts=0.5))
    model = compile_model(plain, car_from_texts({}, "psi"))
    model.__dict__["momentary"] = frozenset({"silent"})
    findings = (Finding("cuts-out", PRESENT, 0.02, 0, 1), Finding("silent", ABSENT, 0.02, 0, 2))
    thinned = [replace(causes[0], shows={"cuts-out": 0.5, "silent": 0.45}), causes[1]]
    wanted, nothing = posterior(book(thinned, signs, figures=plain.knobs), findings)
    found = belief(model, Evidence(findings=findings))
    assert dict(found.ranked())["relay"] == pytest.approx(wanted["relay"], abs=1e-6)
    assert found.nothing == pytest.approx(nothing, abs=1e-6)


def test_a_reading_is_the_average_over_bout_and_rest() -> None:
    """With one reading, the density inside an imagined car is the weighted mean of the two densities there."""
    model = shipped()
    physics = model.physics
    assert physics is not None
    group = ((model.index[RELAY], NEVER),)
    alone, both = (
        Case(physics, evidence, (), stages_of(evidence)).log_draws([(), group], 64)
        for evidence in (Evidence(readings=(base(43.5),)), Evidence((COMPLAINT,), (base(43.5),)))
    )
    rest = model.book.knobs.between_bouts
    assert both[0] == pytest.approx(alone[0])
    assert both[1] == pytest.approx(np.logaddexp(np.log(1 - rest) + alone[1], np.log(rest) + alone[0]))
    assert (both[1] > alone[1] + 5.0).all()


def test_several_readings_mostly_agree_on_the_state() -> None:
    """Two readings of a bout and of a rest in one visit: less likely than two of a rest, and not impossible."""
    model = shipped()
    assert model.physics is not None
    group = ((model.index[RELAY], NEVER),)

    def log(second: float) -> float:
        evidence = Evidence((COMPLAINT,), (base(43.5), replace(base(second), point="idle-hose-off")))
        logs = Case(model.physics, evidence, (), stages_of(evidence)).log_draws([group], 256)  # type: ignore[arg-type]
        return float(np.log(np.exp(logs).mean()))

    agreeing, mixed = log(43.5), log(0.0)
    assert agreeing > mixed > agreeing - 6.0 / (1.0 - ONE_STATE)


def test_a_car_met_between_bouts_keeps_the_fault_that_comes_and_goes() -> None:
    """It cuts out and goes again; now the pump hums and the pressure is right. The relay stays in doubt."""
    well = (told("pump-sound", "normal", 2),)
    before = chance(Evidence((COMPLAINT,)))
    assert chance(Evidence((COMPLAINT, *well), (base(43.5),))) > 0.3 * before
    lasting = told("no-start", PRESENT, 1, volunteered=True)
    assert chance(Evidence((lasting, *well), (base(43.5),))) < 0.02 * chance(Evidence((lasting,)))


def test_a_reading_said_to_be_of_a_bout_counts_in_full() -> None:
    """Nothing in the rail while it fails speaks for the feed of the pump; the right pressure then speaks against it."""
    dead, right = (Evidence((COMPLAINT,), (base(psi, "bout"),)) for psi in (0.0, 43.5))
    well = Evidence((COMPLAINT,), (base(43.5, "rest"),))
    assert chance(dead) > chance(well) > 5.0 * chance(right)


def test_only_causes_that_bring_the_coming_and_going_are_met_so() -> None:
    """The share is the book's for those linked to the complaint, and zero for all others."""
    model = shipped()
    rest = dict(zip(model.causes, rest_of(model.book, model.causes, [CUTS_OUT]), strict=True))
    assert rest[RELAY] == model.book.knobs.between_bouts
    assert rest["pump-fuse-blown"] == 0.0
    assert not any(rest_of(model.book, model.causes, []))


@pytest.mark.parametrize(
    ("text", "met", "psi"),
    [("12 psi while it fails", "bout", 12), ("0 when it cuts out", "bout", 0), ("24 on a bad day", "bout", 24),
     ("43 psi (while it is well)", "rest", 43), ("43.5 when the engine runs fine", "rest", 43.5), ("41 psi", "", 41)],
)  # fmt: skip
def test_the_state_is_told_behind_the_value(text: str, met: MetIn, psi: float) -> None:
    """What was typed is read as the value, and the state is taken from it."""
    assert met_in(text) == met
    assert read_typed(text, shipped().book.readings["rail pressure"], "psi").value == pytest.approx(
        psi * 6894.757, rel=1e-4
    )


def test_the_hidden_car_is_met_between_bouts_as_often_as_the_book_says() -> None:
    """Cars whose relay comes and goes read right in as many visits as the knob has it; complaints stay."""
    model = shipped()
    cars = [HiddenCar(model, (RELAY,), seed) for seed in range(900)]
    coming = [c for c in cars if c.sign(CUTS_OUT) == PRESENT]
    right = np.mean([c.shown("rail pressure", "pump-on-engine-off", misread=0.0) > 2e5 for c in coming])
    wanted = model.book.knobs.between_bouts
    assert abs(right - wanted) < 4.0 * np.sqrt(wanted * (1.0 - wanted) / len(coming))
    named = [s.id for s in model.book.signs.values() if s.comes_and_goes]
    lasting = [c for c in cars if all(c.sign(name) == ABSENT for name in named)][:50]
    assert all(c.shown("rail pressure", "pump-on-engine-off", misread=0.0) < 2e5 for c in lasting)
