"""The phone desk: an untrained caller without a gauge, a leak on the line, several calls, and the notes at the end."""

from __future__ import annotations

from pathlib import Path

import pytest

from diag.casework.entries import Acknowledged, HandedOver, PersonTold
from diag.ui.tui.screens.pages import NoticeScreen
from diag.ui.tui.screens.work import WorkScreen
from tests.ui.tui.stage import shipped_book, stage

pytestmark = pytest.mark.slow  # several seconds: whole jobs, screens or processes


async def test_a_call_begins_with_who_is_there_and_reads_steps_aloud(tmp_path: Path) -> None:
    """Untrained and without tools unless told otherwise; the step is worded for the telephone."""
    async with stage(tmp_path, title="Bramble: will not start", phone=True) as on:
        assert "Who is at the car, and what do they have?" in on.text
        await on.press("2", "down", "space", "enter")
        await on.until(lambda: "Understood as" in on.text, "what the call's name says")
        await on.press("escape")
        assert "What is the complaint?" in on.text
        await on.press("escape")
        (told, later) = [e for e in on.job.case.effective() if isinstance(e, PersonTold)]
        assert (told.person, told.by_phone, told.tools) == ("untrained", True, ())
        assert (later.person, later.by_phone, later.second_person, later.tools) == ("hobbyist", True, True, ())
        aloud = shipped_book().checks["look-over"].aloud[0]
        await on.press("pagedown")
        assert "phone: hobbyist" in on.text
        assert any(f'"{aloud[:20]}' in text for text in (on.flat, " ".join(map(str, on.work.panel("step").rows))))
        await on.press("+")
        assert "SAY" not in [r.label for r in on.work.panel("step").rows]


async def test_a_leak_on_the_line_must_be_acknowledged_and_nothing_unsafe_follows(tmp_path: Path) -> None:
    """The stop comes first, only its own key closes it, and from then on the untrained caller does nothing."""
    async with stage(tmp_path, title="Bramble: smells", phone=True) as on:
        await on.press("1", "enter")
        await on.until(lambda: "Understood as" in on.text, "what the call's name says")
        await on.press("escape")
        await on.type("stinks of petrol")
        await on.press("down", "enter")
        assert isinstance(on.app.screen, NoticeScreen)
        assert "Stop, please. Do exactly this first" in on.text
        await on.press("escape", "enter", "q", "y", "space")
        assert isinstance(on.app.screen, NoticeScreen)
        await on.press("a")
        await on.press("escape")
        job = on.job
        read = {e.rule for e in job.case.effective() if isinstance(e, Acknowledged)}
        assert "wet-fuel-untrained" in read
        assert on.text.splitlines()[1].startswith("STOP")
        assert (await on.now()).kind == "stop"
        step_of = on.work.state.board
        assert step_of is not None
        assert step_of.standing.proposal.kind == "stop"
        refused = [c for c in shipped_book().checks if not job.standing.verdict(c).allowed]
        assert len(refused) == len(shipped_book().checks), "an untrained caller beside wet fuel was allowed a check"
        await on.press("g")
        assert "Hand-over" in on.text
        assert "STOP" in on.text
        await on.press("h")
        await on.type("Mira")
        await on.press("enter")
        assert [e.to for e in job.case.effective() if isinstance(e, HandedOver)] == ["Mira"]


async def test_several_calls_stay_open_and_nothing_is_mixed_up(tmp_path: Path) -> None:
    """Two calls, switched with j: each keeps its own entries, steps and stops."""
    async with stage(tmp_path, title="Linnet: stalls hot", phone=True) as on:
        await on.press("enter")
        await on.until(lambda: "Understood as" in on.text, "what the call's name says")
        await on.press("escape")
        await on.press("escape")
        await on.press("n")
        first = on.job
        await on.press("j", "2")
        assert "new call at the phone desk" in on.flat
        await on.press("c")
        await on.type("Teasel")
        await on.press("enter")
        await on.press("enter")
        await on.press("escape")
        await on.press("n", "n")
        second = on.job
        assert second is not first
        await on.press("j")
        assert "Linnet: stalls hot" in on.text
        assert "Teasel" in on.text
        await on.press("1")
        assert on.job is first
        assert len([e for e in first.case.entries if getattr(e, "sign", "")]) == 1
        assert len([e for e in second.case.entries if getattr(e, "sign", "")]) == 2
        await on.press("q")
        assert not isinstance(on.app.screen, WorkScreen)
        assert list(on.app.jobs) == [second]


async def test_the_closing_summary_can_be_read_back_and_sent(tmp_path: Path) -> None:
    """The summary names the complaint and what must not be forgotten; the report lies beside the case."""
    async with stage(tmp_path, title="Otter", phone=True) as on:
        await on.press("enter")
        await on.type("wont come down")
        await on.press("down", "enter", "escape", "f")
        assert "To read back before closing" in on.text
        assert "pressure will not come down" in on.flat
        await on.press("w")
        (report,) = tmp_path.glob("*.report.txt")
        assert "Pressure will not come down" in report.read_text()
        await on.press("n")
        await on.until(lambda: "Hand-over: Otter" in on.text, "a note")
        await on.press("w", "2", "w")
        assert len([*tmp_path.glob("*.workshop.txt"), *tmp_path.glob("*.customer.txt")]) == 2
        await on.press("escape", "e")
        assert "Cured is offered once a repair was written down" in on.flat
        await on.press("4")  # nothing was repaired, so being cured is none of the ends
        assert "ENDED Handed on." in on.flat
