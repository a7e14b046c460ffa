"""What is typed before the screen has caught up belongs to what comes after Enter, and to no answer before it."""

from __future__ import annotations

from pathlib import Path

import pytest
from textual.events import Key

from diag.casework.entries import Note
from tests.ui.tui.stage import stage

pytestmark = pytest.mark.slow  # whole screens


def keys(text: str) -> list[Key]:
    """Keys as a terminal sends them."""
    return [Key("enter", "\r") if c == "\n" else Key("space" if c == " " else c, c) for c in text]


async def test_a_burst_of_notes_stays_apart(tmp_path: Path) -> None:
    """Three notes with their keys in one burst, faster than any screen opens, are three notes and nothing else."""
    async with stage(tmp_path, title="Wren") as s:
        await s.press("escape")
        for key in keys("bfirst one\nbsecond one\nbthird one\n"):
            s.app.post_message(key)
        for _ in range(40):
            await s.pilot.pause(0.05)
        case = s.app.jobs[0].case
        assert [x.text for x in case.effective() if isinstance(x, Note)] == ["first one", "second one", "third one"]
