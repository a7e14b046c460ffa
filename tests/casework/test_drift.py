"""What was believed, and what another rule book makes of it."""

from __future__ import annotations

from dataclasses import replace

from diag.casework.casefile import read_case, write_case
from diag.casework.drift import case_as_believed, drift, with_belief
from diag.casework.entries import Note
from diag.casework.replay import standing
from diag.evaluation.learning import apply_overlay, learn
from tests.evaluation.jobs import closed
from tests.presentation.report.jobs import T, job, the_book


def test_the_same_book_ranks_the_same_case_as_before() -> None:
    """Written, saved, read and replayed: no difference, also after later entries."""
    book = the_book()
    case = with_belief(job(), book, standing(job(), book).belief, T, "Mira")
    assert with_belief(case, book, standing(case, book).belief, T, "Mira") == case
    later = replace(case, entries=(*case.entries, Note(17, T, "Mira", "back on Monday")))
    again = read_case(write_case(later)).whole()
    found = case_as_believed(again)
    assert found is not None
    old_case, then = found
    assert old_case.entries == job().entries
    result = drift(then, standing(old_case, book).belief.ranked(), book)
    assert result.moved == ()
    assert not result.book_changed
    assert result.words() == ()


def test_another_rule_book_shows_what_it_changes() -> None:
    """Frequencies learnt meanwhile move the ranking: said with both figures, largest change first."""
    book = the_book()
    case = with_belief(job(), book, standing(job(), book).belief, T, "Mira")
    second = [cause for cause, _ in standing(job(), book).belief.ranked() if cause in book.causes][1]
    done = ((book.causes[second].remedies[0], 30.0),)
    learnt = apply_overlay(book, learn([closed(i, second, steps=done) for i in range(3000)], book, T))
    found = case_as_believed(case)
    assert found is not None
    result = drift(found[1], standing(found[0], learnt).belief.ranked(), learnt)
    assert result.book_changed
    change = next(row for row in result.moved if row[0] == second)
    assert change[2] > change[1]
    words = result.words({second: "The other one"})
    assert "The rule book has changed since" in words[0]
    assert any(line.startswith("The other one: ") for line in words)


def test_a_case_that_never_wrote_a_ranking_has_nothing_to_compare() -> None:
    """Cases from before that were kept are fine."""
    assert case_as_believed(job()) is None
