"""What a case tells of the car as built, and what follows for causes, questions and the wall."""

from __future__ import annotations

from dataclasses import replace

import pytest

from diag.casework import record
from diag.casework.agenda import complete, tasks
from diag.casework.entries import Case
from diag.casework.evidence_of import contexts_told
from diag.casework.replay import Standing, standing
from diag.safety.interlock import allowed
from tests.casework.test_replay import WHEN
from tests.safety.test_interlock_book import shipped

BOOK = shipped()
EMPTY = Case("c", "c", "2026-01-01T08:00:00Z", BOOK.version, BOOK.fingerprint)


def told(case: Case, sign: str, answer: str, sure: str = "sure", check: str = "") -> Case:
    """The case with one more answer."""
    return record.answer_sign(case, BOOK, sign, answer, sure=sure, check=check, **WHEN)  # type: ignore[arg-type]


def chance(now: Standing, cause: str) -> float:
    """Of one cause."""
    return dict(now.belief.ranked()).get(cause, 0.0)


def test_a_cause_that_the_car_cannot_have_gets_no_weight() -> None:
    """Without a surge pot none runs empty; with one, or not told, it may."""
    story = told(told(EMPTY, "cuts-in-corners", "yes"), "dies-under-load", "yes")
    without = told(story, "has-surge-pot", "no", check="ask-as-built")
    assert chance(standing(story, BOOK), "surge-pot-empties") > 0.0
    assert chance(standing(without, BOOK), "surge-pot-empties") == 0.0


@pytest.mark.parametrize(("sure", "decided"), [("sure", True), ("unsure", False)])
def test_only_a_sure_answer_excludes_a_part(sure: str, decided: bool) -> None:
    """A guess excludes nothing, and is not asked again."""
    case = told(EMPTY, "has-adjuster", "no", sure, check="ask-as-built")
    assert ("adjuster-fitted" in contexts_told(case, BOOK)) is decided
    now = standing(case, BOOK)
    assert ("adjuster-fitted" in now.situation.lacks) is decided
    assert ("has-adjuster" in now.situation.unanswered) is not decided


def test_a_field_of_the_car_decides_as_well() -> None:
    """Boost 0 means no charger: nothing about boost is possible, and nobody is asked for it."""
    case = record.car_fact(EMPTY, BOOK, "boost", "0 psi", **WHEN)
    now = standing(case, BOOK)
    assert "boosted" in now.situation.lacks
    assert chance(now, "reference-leaks-on-boost") == 0.0


def test_the_wall_refuses_an_idle_check_on_an_engine_that_does_not_start() -> None:
    """With the reason, and until it is told otherwise; a reading at idle tells it otherwise."""
    case = told(EMPTY, "no-start", "yes")
    now = standing(case, BOOK)
    verdict = allowed(now.situation, BOOK.checks["idle-pressure-hose-off"], BOOK)
    assert not verdict.allowed
    assert "start" in verdict.why.casefold()
    later = record.take_reading(case, BOOK, "rail pressure", "idle-hose-off", "43 psi", **WHEN)
    assert contexts_told(later, BOOK)["engine-starts"]


def test_a_state_lapses_with_a_repair_and_the_build_does_not() -> None:
    """It may start now; it has grown no surge pot."""
    case = told(told(EMPTY, "no-start", "yes"), "has-surge-pot", "no")
    repaired = record.step_done(case, BOOK, "renew-pump", **WHEN)
    known = contexts_told(repaired, BOOK)
    assert "engine-starts" not in known
    assert known["surge-pot-fitted"] is False


def test_what_is_seen_on_a_part_shows_the_part() -> None:
    """Fuel in the reference hose: there is one."""
    assert contexts_told(told(EMPTY, "fuel-in-reference-hose", "yes"), BOOK)["reference-hose-fitted"]


def test_a_check_is_complete_without_the_questions_that_do_not_fit() -> None:
    """Of a check with a question about boost nothing is left open on a car without boost."""
    check = next(c for c in BOOK.checks.values() if len(c.yields) > 1 and any(
        y.sign and "boosted" in BOOK.signs[y.sign].fits for y in c.yields))  # fmt: skip
    case = record.car_fact(EMPTY, BOOK, "boost", "0 psi", **WHEN)
    for y in check.yields:
        if y.sign and "boosted" not in BOOK.signs[y.sign].fits:
            answer = BOOK.signs[y.sign].choices[0].id if BOOK.signs[y.sign].choices else "no"
            case = told(case, y.sign, answer, check=check.id)
    assert complete(case, BOOK, check.id)


def test_no_task_asks_for_what_the_car_has_not() -> None:
    """The whole agenda of a job on a car told to have neither boost nor a second pump."""
    case = record.car_fact(EMPTY, BOOK, "boost", "0 psi", **WHEN)
    case = record.car_fact(case, BOOK, "pumps", "one", **WHEN)
    case = replace(case, entries=case.entries)
    for task in tasks(standing(told(case, "flat-at-full-load", "yes"), BOOK)):
        fits = BOOK.signs[task.sign].fits if task.sign else ()
        assert not {"boosted", "second-pump-fitted"} & set(fits)
