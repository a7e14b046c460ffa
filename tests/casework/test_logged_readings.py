"""Readings taken from a data log: of another time, with an error of their own, through the same physics."""

from __future__ import annotations

import pytest

from diag.casework import record
from diag.casework.casefile import read_case, write_case
from diag.casework.entries import Case, ReadingTaken
from diag.casework.evidence_of import told_by
from diag.casework.replay import standing
from diag.session.kept import new_case
from tests.ui.plain.person import the_book

BY = {"at": "2026-05-03T10:00:00Z", "who": "Mira"}
PSI = 6894.757


def with_reading(case: Case, text: str, **more: object) -> Case:
    """The case with a rail pressure at full load."""
    return record.take_reading(case, the_book(), "rail pressure", "full-load", text, **BY, **more)  # type: ignore[arg-type]


def stops(case: Case) -> set[str]:
    """Stop rules in force."""
    return {rule.id for rule in standing(case, the_book()).stops}


def test_its_own_error_counts_and_survives_the_file() -> None:
    """The error of the entry takes the place of the book's; unsure still widens it; the file keeps both fields."""
    book = the_book()
    case = with_reading(new_case(book, "x"), "50 psi", gauge="sensor", error=0.3 * PSI, log="run.csv")
    assert told_by(case, book).evidence.readings[0].error == pytest.approx(0.3 * PSI)
    unsure = with_reading(new_case(book, "x"), "50 psi", gauge="sensor", error=0.3 * PSI, log="run.csv", sure="unsure")
    assert told_by(unsure, book).evidence.readings[0].error == pytest.approx(0.6 * PSI)
    again = read_case(write_case(case), "x").case
    assert again is not None
    entry = again.entries[-1]
    assert isinstance(entry, ReadingTaken)
    assert (entry.error, entry.log) == (pytest.approx(0.3 * PSI), "run.csv")
    plain = told_by(with_reading(new_case(book, "x"), "50 psi"), book).evidence.readings[0]
    assert plain.error is None


def test_a_high_figure_in_a_log_raises_the_stop() -> None:
    """Over 87 psi is over 87 psi, whoever wrote it down."""
    book = the_book()
    raised = stops(with_reading(new_case(book, "x"), "95 psi")) - stops(with_reading(new_case(book, "x"), "50 psi"))
    assert raised
    assert raised <= stops(with_reading(new_case(book, "x"), "95 psi", log="run.csv", gauge="sensor"))


def test_a_low_figure_in_a_log_lifts_no_stop() -> None:
    """What a log shows of another time takes nothing away from what the gauge shows now."""
    case = with_reading(new_case(the_book(), "x"), "95 psi")
    raised = stops(case)
    assert raised <= stops(with_reading(case, "50 psi", log="run.csv", gauge="sensor"))


def test_a_log_does_not_make_the_system_live() -> None:
    """A reading with the pump on says that it ran just now; in a log it says nothing of now."""
    case = new_case(the_book(), "x")
    now = standing(with_reading(case, "50 psi"), the_book()).situation
    then = standing(with_reading(case, "50 psi", log="run.csv", gauge="sensor"), the_book()).situation
    assert now.pressure.value == "up"
    assert then.pressure.value == "unknown"
    assert then.wet.value == "unknown"
