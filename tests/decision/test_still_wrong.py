"""After a cure: what still reads wrong keeps the job open, and a dear repair waits for one cheap reading."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from diag.casework import record
from diag.casework.entries import Case
from diag.casework.replay import standing
from diag.decision.endings import PASSED_OVER, Ending
from diag.decision.policy import POLICY
from diag.decision.proof import complaint_stays
from diag.decision.still_wrong import readings_outside, seeking
from diag.decision.view import View, view_of
from diag.inference.posterior import NOTHING_WRONG
from tests.casework.test_replay import WHEN
from tests.safety.test_interlock_book import shipped


def after_a_repair(pressure: str) -> View:
    """A car with a target of 43.5 psi, its pump renewed, then read with the pump on and the engine off."""
    book = shipped()
    case = Case("c", "c", "2026-01-01T08:00:00Z", book.version, book.fingerprint)
    case = record.car_fact(case, book, "target-pressure", "43.5 psi", **WHEN)
    case = record.step_done(case, book, "renew-pump", **WHEN)
    case = record.take_reading(case, book, "rail pressure", "pump-on-engine-off", pressure, **WHEN)
    now = standing(case, book)
    return view_of(now.model, now.belief, now.evidence, now.situation, POLICY)


@pytest.mark.parametrize(("pressure", "wrong"), [("43 psi", False), ("31 psi", True), ("70 psi", True)])
def test_a_reading_that_no_sound_car_shows_keeps_the_job_open(pressure: str, wrong: bool) -> None:
    """A sound return system holds its target within a few psi (common practice, no source)."""
    view = after_a_repair(pressure)
    assert bool(readings_outside(view)) is wrong
    rule = next(r for r in PASSED_OVER if r.name == "still reads wrong")
    ending = Ending(NOTHING_WRONG, view.groups.names.index(NOTHING_WRONG), 0.6, False)
    assert rule.holds(view, ending) is wrong


def told_again(*again: str) -> View:
    """A filter that lost 25 psi renewed, on a car with a light that burns; then what is still there."""
    book = shipped()
    case = Case("c", "c", "2026-01-01T08:00:00Z", book.version, book.fingerprint)
    case = record.answer_sign(case, book, "warning-light-on", "present", **WHEN)
    case = record.take_reading(case, book, "filter drop", "pump-on-engine-off", "25 psi", **WHEN)
    case = record.step_done(case, book, "renew-filter", **WHEN)
    for sign in again:
        case = record.answer_sign(case, book, sign, "present", **WHEN)
    now = standing(case, book)
    return view_of(now.model, now.belief, now.evidence, now.situation, POLICY)


def test_while_the_complaint_stays_checks_are_chosen_as_if_something_were_wrong() -> None:
    """Then nothing wrong counts for a quarter at most; belief itself, by which repairs and endings go, stays."""
    calm, still = told_again(), told_again("warning-light-on")
    assert seeking(calm) is calm
    at = still.groups.names.index(NOTHING_WRONG)
    assert still.shares()[at] > POLICY.calm_at_most
    assert seeking(still).shares()[at] == pytest.approx(POLICY.calm_at_most, abs=0.02)
    tried = frozenset(f"check {n}" for n in range(int(POLICY.seek_at_most)))
    long_sought = replace(still, situation=replace(still.situation, tried=tried))
    assert seeking(long_sought) is long_sought
    others = [n for n in range(len(still.groups.names) - 1) if n != at and still.shares()[n] > 1e-4]
    assert np.argmax(seeking(still).shares()[others]) == np.argmax(still.shares()[others])


def test_a_complaint_that_is_new_after_a_repair_keeps_the_job_open() -> None:
    """Told before or not: nothing is closed while it stands, and once it is told to be gone nothing is held open."""
    view = told_again("flat-at-full-load")
    assert complaint_stays(view)
    rule = next(r for r in PASSED_OVER if r.name == "complaint still there")
    ending = Ending(NOTHING_WRONG, view.groups.names.index(NOTHING_WRONG), 0.9, False)
    assert rule.holds(view, ending)
    findings = view.evidence.findings
    gone = (*findings, replace(findings[-1], answer="absent", entry=99))
    assert not complaint_stays(replace(view, evidence=replace(view.evidence, findings=gone)))


def test_no_repair_is_made_a_third_time() -> None:
    """Once, and once more in case it was botched; after that something else is wrong (common practice, no source)."""
    book = shipped()
    case = Case("c", "c", "2026-01-01T08:00:00Z", book.version, book.fingerprint)
    rule = next(r for r in PASSED_OVER if r.name == "done enough")
    held = []
    for _ in range(3):
        now = standing(case, book)
        view = view_of(now.model, now.belief, now.evidence, now.situation, POLICY)
        held.append(rule.holds(view, Ending("clean-valve-and-seat", 0, 0.99, False)))
        case = record.step_done(case, book, "clean-valve-and-seat", **WHEN)
    assert held == [False, False, True]


def test_what_no_repair_takes_away_keeps_no_job_open() -> None:
    """A worry about a figure, and what happened before, are as true after the repair as before it."""
    told = {name for name, sign in shipped().signs.items() if sign.history}
    assert {"only-a-worry", "changed-after-refuelling"} <= told
    book = shipped()
    for sign in sorted(told):
        case = Case("c", "c", "2026-01-01T08:00:00Z", book.version, book.fingerprint)
        case = record.answer_sign(case, book, sign, "present", **WHEN)
        case = record.answer_sign(case, book, "warning-light-on", "present", **WHEN)
        case = record.step_done(case, book, "renew-filter", **WHEN)
        case = record.answer_sign(case, book, sign, "present", **WHEN)
        now = standing(case, book)
        assert not complaint_stays(view_of(now.model, now.belief, now.evidence, now.situation, POLICY)), sign
        case = record.answer_sign(case, book, "warning-light-on", "present", **WHEN)
        now = standing(case, book)
        assert complaint_stays(view_of(now.model, now.belief, now.evidence, now.situation, POLICY)), sign
