"""From a case to a sheet."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from diag.casework import entries as e
from diag.casework.replay import standing
from diag.presentation.figures import percent
from diag.presentation.report.build import sheet_of
from tests.presentation.report.jobs import PSI, T, job, job_sheet, job_standing, reading, the_book


def test_the_sheet_repeats_what_the_engine_says() -> None:
    """Ranking and course carry the engine's own figures, not new ones."""
    sheet = job_sheet()
    assert [(r.id, r.chance) for r in sheet.ranking] == job_standing().belief.ranked()[: len(sheet.ranking)]
    assert dict(sheet.course[-1].chances) == {c: p for c, p in job_standing().belief.ranked() if p >= 0.001}
    assert [step.entry for step in sheet.course] == [4, 5, 6, 7, 8]


def test_entries_show_what_was_typed_and_what_became_of_it() -> None:
    """Taken back and corrected entries stay visible, with the entry that did it."""
    log = {line.number: line for line in job_sheet().log}
    assert 'Pressure will not come down: yes (unsure, second hand); said: "it stays up"' in log[4].text
    assert log[5].text.endswith('58.4 psi (typed "58.4")')
    assert (log[13].state, log[13].by) == ("taken back", 14)
    assert (log[6].state, log[6].by) == ("corrected", 15)
    assert "49.5 psi" in log[15].text
    assert "the leading cause" in log[7].weight


def test_the_picture_holds_the_readings_that_belong_there() -> None:
    """Idle with the hose on stands at minus the known vacuum; a reading with the screw turned out has no place."""
    chart = job_sheet().chart
    assert [dot.number for dot in chart.dots] == [5, 6]
    assert chart.dots[0].manifold == 0.0
    assert chart.dots[1].manifold == pytest.approx(-18 * 3386.389, rel=1e-6)
    assert chart.dots[1].rail == pytest.approx(49.5 * PSI)
    assert chart.target == pytest.approx(43.5 * PSI)
    assert not chart.dots[1].assumed


def test_a_measured_vacuum_wins_and_an_unknown_one_is_marked_as_assumed() -> None:
    """The picture never passes a guess for a measurement."""
    case = job()
    measured = replace(
        case, entries=(*case.entries, reading(16, "idle-hose-on", 50.0, conditions={"vacuum": 50_000.0}))
    )
    unknown = replace(case, entries=tuple(x for x in case.entries if x.number != 3))
    dots = sheet_of(measured, the_book(), standing(measured, the_book()), workings=False).chart.dots
    assert dots[-1].manifold == -50_000.0
    dots = sheet_of(unknown, the_book(), standing(unknown, the_book()), workings=False).chart.dots
    assert dots[1].assumed


def test_stops_in_force_head_every_report() -> None:
    """Nobody has looked for wet fuel: that must be the first thing on the page."""
    sheet = job_sheet()
    assert sheet.stops
    assert all(stop.why and stop.until and stop.do_now for stop in sheet.stops)


def test_proof_counts_only_after_the_remedy() -> None:
    """A check answered before the repair proves nothing about it."""
    book = the_book()
    remedy = next(r for r in book.remedies.values() if len(r.proof) >= 2)
    check = remedy.proof[0]
    case = replace(job(), entries=(e.StepDone(1, T, "Mira", check), e.StepDone(2, T, "Mira", remedy.id)))
    sheet = sheet_of(case, book, standing(case, book), workings=False)
    assert sheet.remedies[0].done
    assert [work.done for work in sheet.proof] == [False] * len(remedy.proof)
    case = replace(case, entries=(*case.entries, e.StepDone(3, T, "Mira", check)))
    sheet = sheet_of(case, book, standing(case, book), workings=False)
    assert [work.id for work in sheet.proof if work.done] == [check]


def test_a_proof_check_is_done_when_all_it_yields_was_told() -> None:
    """One reading of two leaves it open; "not known" answers nothing."""
    book = the_book()
    remedy = next(r for r in book.remedies.values() for c in r.proof if len(book.checks[c].yields) >= 2)
    check = next(book.checks[c] for c in remedy.proof if len(book.checks[c].yields) >= 2)
    told: list[e.Entry] = [e.StepDone(1, T, "Mira", remedy.id)]
    for number, item in enumerate(check.yields, 2):
        if item.sign:
            told.append(e.SignAnswer(number, T, "Mira", item.sign, book.signs[item.sign].possible[-1]))
        else:
            told.append(e.ReadingTaken(number, T, "Mira", item.reading, item.at, "1", 1.0, 1.0, 1.0))

    def proven(entries: list[e.Entry]) -> bool:
        case = replace(job(), entries=tuple(entries))
        sheet = sheet_of(case, book, standing(case, book), workings=False)
        return next(work.done for work in sheet.proof if work.id == check.id)

    assert proven(told)
    assert not proven(told[:-1])
    assert not proven([*told[:-1], e.SignAnswer(9, T, "Mira", check.yields[-1].sign or "needle", "not known")])


def test_names_that_the_book_does_not_have_are_kept_and_marked() -> None:
    """A case of another rule book can still be printed."""
    case = replace(
        job(),
        entries=(
            e.StepDone(1, T, "Mira", "old-step"),
            e.Outcome(2, T, "Mira", "cured", ("old-cause",), True),
            e.ReadingTaken(3, T, "Mira", "old reading", "old-point", "7", 7.0, 7.0, 7.0),
        ),
    )
    sheet = sheet_of(case, the_book(), standing(case, the_book()))
    texts = [line.text for line in sheet.log]
    assert "old-step (not in this rule book)" in texts[0]
    assert "old reading (not in this rule book), old-point (not in this rule book): 7 (SI)" in texts[2]
    assert math.isnan(sheet.outcome_causes[0].chance)


def test_a_chance_never_claims_certainty() -> None:
    """Rounded figures of 0 or 100 percent would."""
    assert [percent(p) for p in (0.0, 0.004, 0.5, 0.996, 1.0)] == [
        "under 1 %",
        "under 1 %",
        "50 %",
        "over 99 %",
        "over 99 %",
    ]
