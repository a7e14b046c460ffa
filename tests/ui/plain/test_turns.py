"""How many lines are typed: a no-start to its first measurement, and what the line mode adds to what is asked."""

from __future__ import annotations

from pathlib import Path

import pytest

from diag.casework.replay import ModelCache
from diag.casework.store import CaseStore
from diag.ui.plain import doing
from diag.ui.plain.conversation import Conversation
from tests.ui.plain.person import Person, dry, the_book
from tests.ui.plain.played import made

pytestmark = pytest.mark.slow  # whole jobs

MOST_LINES = 8  # to the first measurement of a no-start with everything dry, the opening sentence among them
MOST_ADDED = 4  # opening line, ticks, who and papers, a stop that must be acknowledged


@pytest.mark.parametrize("said", ["Wren cranks but won't start", "Plover won't start, no noise from the pump"])
def test_a_no_start_with_everything_dry_is_measured_within_eight_lines(said: str, tmp_path: Path) -> None:
    """One sentence, Enter, one line about people and papers, all dry, and hardly more before a meter is read."""
    before = 0

    def onward(room: Conversation) -> str | None:
        nonlocal before
        if room.task.kind == "reading":
            before = person.given
            return None
        if room.task.kind == "do":
            return "done all" if len(doing.chain(room, room.task)) > 1 else "done"
        questions = sum(t.kind == "sign" and t.step == room.task.step for t in room.job.tasks)
        return dry(room) or ", ".join(["u"] * max(questions, 1))  # the questions of one check go in one line

    person = Person([said, "", "mechanic; petrol, target 43.5 psi", onward, "quit"], CaseStore(tmp_path))
    person.run()
    assert 0 < before <= MOST_LINES + 1  # the line that would answer the reading was asked for as well


@pytest.mark.parametrize("number", [1, 4])
def test_the_line_mode_adds_hardly_a_line_to_what_is_asked(number: int) -> None:
    """Played by a made car to the first proposal: every line but a few answers a question or reports a deed."""
    cache: ModelCache = {}
    player = made(number, the_book(), cache)
    turns = player.play()
    assert turns.ended in ("remedy", "hand on", "close"), player.said[-800:]
    assert turns.proposal - player.answered <= MOST_ADDED
