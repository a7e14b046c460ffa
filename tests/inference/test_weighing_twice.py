"""What is asked twice counts once, loose questions are asked one by one, and a wet place can be wiped and proven."""

from __future__ import annotations

from dataclasses import replace

import pytest

from diag.casework.agenda import tasks
from diag.casework.entries import CarFact, Case, PersonTold, SignAnswer
from diag.casework.replay import standing
from diag.decision.candidates import question_minutes
from diag.decision.groups import ends_job, explains_only
from diag.decision.next_step import propose
from diag.fuelsystem.car import car_from_texts
from diag.inference.evidence import Epoch, Evidence, Finding, Reading
from diag.inference.model import Model, compile_model
from diag.inference.posterior import belief
from diag.rulebook.load import load_book
from diag.rulebook.model import RuleBook
from diag.safety.situation import Situation, Wet
from diag.safety.steps import WIPE, questions_only
from tests import ROOT

AT = "2026-01-01T08:00:00Z"
PSI = 6894.757


@pytest.fixture(scope="module")
def book() -> RuleBook:
    """The shipped book."""
    return load_book(ROOT / "rules")


@pytest.fixture(scope="module")
def model(book: RuleBook) -> Model:
    """A car with a known target."""
    return compile_model(book, car_from_texts({"target-pressure": "43.5"}, "psi"), draws=128)


def _base(value: float, entry: int, epoch: int = 0) -> Reading:
    pa = value * PSI
    return Reading("rail pressure", "pump-on-engine-off", pa, pa, pa, epoch=epoch, entry=entry)


def test_the_same_reading_taken_again_adds_little(model: Model) -> None:
    """Three takings of one reading settle the gauge's own error, never the model's: odds move less than threefold."""
    once = belief(model, Evidence((), (_base(50.0, 1),)))
    thrice = belief(model, Evidence((), tuple(_base(50.0, n) for n in (1, 2, 3))))
    at = model.index["base-set-too-high"]
    logs = [abs(_log_odds(b.marginal[at]) - _log_odds(_prior(model, at))) for b in (once, thrice)]
    assert logs[1] < 2.0 * logs[0]


def _prior(model: Model, at: int) -> float:
    return float(belief(model, Evidence()).marginal[at])


def _log_odds(p: float) -> float:
    import math

    return math.log(p / (1.0 - p))


def test_the_same_judgement_after_another_step_counts_once(model: Model) -> None:
    """A sign that the physics decides, told the same before and after an action, is one judgement."""
    sign = "pressure-wont-come-down"
    assert model.book.signs[sign].seen_when is not None
    epochs = (Epoch(), Epoch(frozenset({"reference hose"}), step="refit", entry=2))
    first = Finding(sign, "present", 0.02, 0, 1)
    once = belief(model, Evidence((first,), (), epochs))
    twice = belief(model, Evidence((first, Finding(sign, "present", 0.02, 1, 3)), (), epochs))
    assert abs(once.marginal - twice.marginal).max() < 0.01


def test_loose_questions_come_one_by_one(book: RuleBook) -> None:
    """A bundle of questions gives one task at a time, an answer in vain is not asked again, and each has its share."""
    entries = (
        PersonTold(1, AT, "t", "mechanic"),
        CarFact(2, AT, "t", "target-pressure", "43.5"),
        *(
            SignAnswer(n, AT, "t", y.sign, "absent", check="look-over")
            for n, y in enumerate(book.checks["look-over"].yields, 3)
        ),
    )
    complaints = (
        "black-smoke",
        "long-crank-hot",
        "hesitates",
        "cuts-in-corners",
        "flat-at-full-load",
        "high-consumption",
        "stalls-hot",
    )
    told = [(*entries, SignAnswer(20, AT, "t", sign, "present")) for sign in complaints]
    begun = ((e, standing(Case("c", "c", AT, book.version, book.fingerprint, entries=e), book)) for e in told)
    entries, first = next((e, now) for e, now in begun if now.proposal.ask)
    case = first.case
    asked = first.proposal.ask
    assert len(asked) == 1
    assert questions_only(book.checks[first.proposal.step])
    assert [(t.kind, t.sign) for t in tasks(first)] == [("sign", asked[0].sign)]
    check = book.checks[first.proposal.step]
    assert first.proposal.minutes == question_minutes(check) <= check.minutes
    vain = SignAnswer(21, AT, "t", asked[0].sign, "not known", check=check.id)
    after = standing(replace(case, entries=(*entries, vain)), book)
    assert asked[0].sign in after.situation.unanswered
    assert asked[0] not in after.proposal.ask


def test_wet_without_a_likely_leak_is_wiped_and_proven(model: Model) -> None:
    """A trained person at a wet car with nothing left to ask reads the traces, wipes once, then hands the car on."""
    used = frozenset(model.book.checks)
    wet = Situation(Wet.WET, person="shop", second_person=True, done=used)
    evidence = Evidence(
        tuple(Finding(s, "absent", 0.02, 0, 1) for s in ("fuel-at-cap", "fuel-at-rail", "fuel-at-pump"))
    )
    first = model.book.remedies[WIPE].looks_first
    for number, look in enumerate(first):  # a rag takes away the trace that leads to the leak
        found = propose(model, belief(model, evidence), evidence, replace(wet, tried=frozenset(first[:number])))
        assert (found.kind, found.step) == ("check", look)
    wet = replace(wet, tried=frozenset(first))
    found = propose(model, belief(model, evidence), evidence, wet)
    assert first
    assert (found.kind, found.step) == ("remedy", WIPE)
    assert "fuse-out" in found.setups
    again = Evidence(evidence.findings, (), (Epoch(), Epoch(step=WIPE, entry=9)))
    later = propose(model, belief(model, again), again, wet)
    assert later.step != WIPE


def test_remedies_that_end_a_job_or_only_explain_are_known(book: RuleBook) -> None:
    """Handing to another trade ends the job here; explaining repairs nothing; a repair is neither."""
    assert ends_job(book.remedies["hand-on-not-fuel"])
    assert explains_only("explain-normal", book)
    assert not ends_job(book.remedies["renew-pump"])
    assert not explains_only("renew-pump", book)
