"""After a cure: what still reads wrong keeps the job open, and a dear repair waits for one cheap reading."""

from __future__ import annotations

import pytest

from diag.casework import record
from diag.casework.entries import Case
from diag.casework.replay import standing
from diag.decision.endings import PASSED_OVER, Ending
from diag.decision.policy import POLICY
from diag.decision.still_wrong import readings_outside
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
