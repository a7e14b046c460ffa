"""What is done in the screens' pauses: it gives way to an answer, and nobody who leaves waits for it."""

from __future__ import annotations

import threading
import time
from dataclasses import replace

import pytest

from diag.casework.agenda import Task
from diag.casework.entries import Case, ReadingTaken
from diag.casework.replay import Standing, standing
from diag.rulebook.load import load_book
from diag.rulebook.where import rules_folder
from diag.ui.tui import board
from diag.ui.tui.board import Board, at_rest, in_turn, look_ahead_of

AT = "2026-11-25T09:00:00Z"
PSI = 6894.757


@pytest.fixture
def job() -> Board:
    """A job with one reading taken and two asked for."""
    book = load_book(rules_folder())
    taken = ReadingTaken(1, AT, "Mira", "rail pressure", "idle-hose-on", "47 psi", 47 * PSI, 47 * PSI, 47 * PSI)
    now = standing(Case("wren", "Wren", AT, "1", "", entries=(taken,)), book)
    asked = tuple(Task("reading", reading="rail pressure", at=point) for point in ("screw-out", "idle-hose-off"))
    return Board(now, asked, tuple(now.belief.ranked()))


def solved(now: Standing) -> int:
    assert now.model.physics is not None
    return now.model.physics.solved


def test_readings_asked_next_are_foreseen_and_change_nothing(job: Board) -> None:
    begun, ranked = solved(job.standing), job.ranked
    look_ahead_of(job, lambda: False)
    assert solved(job.standing) > begun
    again = replace(job.standing)
    assert tuple(again.belief.ranked()) == ranked


def test_an_answer_does_not_wait_for_it(job: Board) -> None:
    """Stopped while it has the turn, it gives the turn back between two batches of solutions."""
    stop = threading.Event()
    ahead = threading.Thread(target=look_ahead_of, args=(job, stop.is_set))
    ahead.start()
    time.sleep(0.02)
    stop.set()
    begun = solved(job.standing)
    assert in_turn(lambda: "mine") == "mine"
    ahead.join(10.0)
    assert not ahead.is_alive()
    assert solved(job.standing) - begun < 200_000, "it went on to its end"


def test_leaving_waits_a_moment_and_no_longer(monkeypatch: pytest.MonkeyPatch) -> None:
    """While sums go on, what may be left out is left out."""
    monkeypatch.setattr(board, "AT_MOST", 0.05)
    done: list[str] = []
    at_rest(lambda: done.append("kept"))
    assert done == ["kept"]
    entered, leave = threading.Event(), threading.Event()

    def busy() -> None:
        entered.set()
        leave.wait(10.0)

    other = threading.Thread(target=in_turn, args=(busy,))
    other.start()
    entered.wait(10.0)
    at_rest(lambda: done.append("kept beside sums"))
    leave.set()
    other.join(10.0)
    assert done == ["kept"]
    at_rest(lambda: done.append("kept again"))
    assert done == ["kept", "kept again"]
