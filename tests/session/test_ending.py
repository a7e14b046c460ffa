"""How a job may end: nobody cures a car that nobody touched, unless the trouble went by itself and was told so."""

from __future__ import annotations

import pytest

from diag.casework import record
from diag.rulebook.load import load_book
from diag.rulebook.model import RuleBook
from diag.rulebook.where import rules_folder
from diag.session.ending import endings, may_be_cured, still_complained_of
from diag.session.job import Job
from diag.session.kept import new_case
from tests.casework.test_replay import WHEN


def job(book: RuleBook) -> Job:
    work = Job(new_case(book, "Plover"), book)
    work.tell_person("shop")
    work.answer_sign("no-start", "yes")
    return work


@pytest.fixture(scope="module")
def book() -> RuleBook:
    return load_book(rules_folder())


def test_nothing_was_repaired_so_nothing_is_cured(book: RuleBook) -> None:
    """Told, looked at, and one more complaint that was never there: no cure can be said; every other end can."""
    work = job(book)
    work.answer_sign("black-smoke", "no")
    work.done("pressure-released")
    assert not may_be_cured(work.case, book)
    assert [name for name, _ in endings(work.case, book)] == ["not cured", "normal", "could not reproduce", "handed on"]


def test_a_repair_written_down_may_have_cured(book: RuleBook) -> None:
    """Any remedy will do, also one that is taken for the wrong one; taken back it counts no more."""
    work = job(book)
    work.done("bigger-return")
    assert endings(work.case, book)[0][0] == "cured"
    work.undo()
    assert not may_be_cured(work.case, book)


def test_a_complaint_that_went_by_itself_may_be_closed_as_cured(book: RuleBook) -> None:
    """It was there and is told to be gone."""
    work = job(book)
    work.answer_sign("no-start", "no")
    assert endings(work.case, book)[0][0] == "cured"


def test_no_job_is_closed_as_cured_while_a_complaint_stands_after_the_repair(book: RuleBook) -> None:
    """Every complaint of the book, known before or new: told after the repair it bars the cure, gone it does not."""
    complaints = [s.id for s in book.signs.values() if s.symptom and not s.history and not s.choices]
    assert len(complaints) > 50
    begun = record.answer_sign(new_case(book, "Plover"), book, "no-start", "present", **WHEN)
    repaired = record.step_done(begun, book, "bigger-return", **WHEN)
    assert may_be_cured(repaired, book)
    for sign in complaints:
        told = record.answer_sign(repaired, book, sign, "present", **WHEN)
        assert still_complained_of(told, book) == (sign,)
        assert "cured" not in [name for name, _ in endings(told, book)], sign
        gone = record.answer_sign(told, book, sign, "absent", **WHEN)
        assert may_be_cured(gone, book), sign


def test_a_further_repair_asks_anew(book: RuleBook) -> None:
    """What was complained of before the last repair is not held against it."""
    case = record.step_done(new_case(book, "Plover"), book, "bigger-return", **WHEN)
    case = record.answer_sign(case, book, "flat-at-full-load", "present", **WHEN)
    case = record.step_done(case, book, "renew-pump", **WHEN)
    assert still_complained_of(case, book) == ()
    assert may_be_cured(case, book)
