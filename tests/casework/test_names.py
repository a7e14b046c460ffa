"""A case whose rule book is another one."""

from __future__ import annotations

from dataclasses import replace

from diag.casework import entries as e
from diag.casework.casefile import read_case, write_case
from diag.casework.names import other_book, remarks_on, unknown_names
from tests.presentation.report.jobs import T, job, the_book


def test_a_case_of_this_book_has_no_unknown_names() -> None:
    """The demo job speaks the shipped book's language."""
    assert unknown_names(read_case(write_case(job()), "job.yaml"), the_book()) == ()


def test_unknown_names_are_told_with_their_place_and_the_nearest_known_ones() -> None:
    """Signs, answers, steps, causes, tools and names inside a correction; the case itself stays whole."""
    case = replace(
        job(),
        entries=(
            e.SignAnswer(1, T, "Mira", "needel", "steady"),
            e.SignAnswer(2, T, "Mira", "needle", "dancing"),
            e.StepDone(3, T, "Mira", "no-such-step"),
            e.PersonTold(4, T, "Mira", "mechanic", tools=("pressure-gauge", "magic-wand")),
            e.Outcome(5, T, "Mira", "cured", ("nothing-wrong", "old-cause"), True),
            e.Replaced(6, T, "Mira", 1, e.SignAnswer(1, T, "Mira", "gone-sign", "present")),
            e.CarFact(7, T, "Mira", "colour", "green"),
        ),
    )
    text = write_case(case)
    result = read_case(text, "job.yaml")
    assert result.case == case
    found = [remark.one_line() for remark in unknown_names(result, the_book())]
    lines = [n for n, line in enumerate(text.split("\n"), 1) if line.startswith("- entry")]
    assert found[0] == f"job.yaml:{lines[0]}:3: This rule book has no sign called 'needel'. Did you mean needle?"
    assert f"job.yaml:{lines[1]}:3: This rule book has no answer to needle called 'dancing'." in found[1]
    assert [line.split("called ")[1].split(".")[0] for line in found[2:]] == [
        "'no-such-step'", "'magic-wand'", "'old-cause'", "'gone-sign'", "'colour'"
    ]  # fmt: skip


def test_another_book_is_said_in_one_sentence() -> None:
    """By fingerprint, so that a changed wording under the same version is told too."""
    book = the_book()
    assert "rule book 0.9; the one in use is" in other_book(replace(job(), book_version="0.9"), book)
    assert "earlier wording" in other_book(replace(job(), book_version=book.version), book)
    assert other_book(replace(job(), book_fingerprint=book.fingerprint), book) == ""


def test_all_remarks_of_a_file_come_together() -> None:
    """Damage first, then unknown names, then the other book; a new wording of the same book is no remark."""
    book = the_book()
    odd = replace(job(), book_version="0.9", entries=(e.SignAnswer(1, T, "Mira", "needel", "steady"),))
    text = write_case(odd).replace("who: Mira", "who: Mira\n  colour: green", 1)
    notes = remarks_on(read_case(text, "job.yaml"), book, "job.yaml")
    assert ["colour" in notes[0], "needel" in notes[1], "rule book 0.9" in notes[2]] == [True] * 3
    same = replace(job(), book_version=book.version, entries=())
    assert remarks_on(read_case(write_case(same), "job.yaml"), book) == ()
