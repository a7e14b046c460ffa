"""Several deeds and several values at once, answers in between, and the lines of a call one at a time."""

from __future__ import annotations

from pathlib import Path

import pytest

from diag.casework.entries import Acknowledged, Note, ReadingTaken, SignAnswer, StepDone
from tests.ui.tui.stage import Stage, shipped_book, stage

pytestmark = pytest.mark.slow  # several seconds: whole jobs, screens or processes


async def begin(on: Stage) -> None:
    """The complaint told, every place dry at one key."""
    await on.until(lambda: "Understood as" in on.text, "what the job's name says")
    await on.press("enter")
    assert (await on.now()).step == "look-over"
    await on.press("r")


async def test_deeds_values_and_answers_in_between_take_one_key_or_line_each(tmp_path: Path) -> None:
    """D reports what follows too, two values stand in one line, keys behind a value's line are shown with Esc."""
    async with stage(tmp_path, title="Wren: pressure won't come down") as on:
        await begin(on)
        on.job.choose("base-pressure")
        on.work.renew()
        await on.settle()
        assert "THEN" in [row.label for row in on.work.panel("step").rows]
        await on.press("D")
        done = [e.step for e in on.job.case.effective() if isinstance(e, StepDone)]
        assert done[-3:] == ["pressure-released", "gauge-fitted", "hose-off"]
        await on.press("r")
        on.job.choose("base-pressure")
        on.work.renew()
        await on.settle()
        await on.press("d")
        assert (await on.now()).kind == "reading"
        assert "[Esc" in " ".join(part.text for row in on.work.panel("stop").rows for part in row.parts) or (
            "after Esc:" in on.flat
        )
        await on.type("58.4, 2")
        await on.press("enter")
        assert [e.text for e in on.job.case.effective() if isinstance(e, ReadingTaken)] == ["58.4"]
        needle = [e.answer for e in on.job.case.effective() if isinstance(e, SignAnswer) and e.sign == "needle"]
        assert needle == [shipped_book().signs["needle"].choices[1].id]
        assert "Expected there" in " ".join(p.text for row in on.work.panel("since").rows for p in row.parts)


async def test_a_call_reads_one_line_at_a_time_beside_what_was_said(tmp_path: Path) -> None:
    """Space goes on to the next line; the question and its keys stay where they are."""
    async with stage(tmp_path, title="Linnet won't start, no hum from the pump at all", phone=True) as on:
        await on.press("enter")
        await on.until(lambda: "Understood as" in on.text, "what the call's name says")
        await on.press("enter")
        lines = shipped_book().checks[(await on.now()).step].aloud
        assert f'SAY "{lines[0]}" 1 of {len(lines)}' in on.flat
        assert lines[2] not in on.flat
        await on.press("space", "space")
        assert f'SAY "{lines[2]}"'[:60] in on.flat
        assert "[y] yes" in on.flat


async def test_a_complaint_may_go_on_with_who_is_there_and_what_was_not_taken_is_named(tmp_path: Path) -> None:
    """One sentence tells complaint, person, tools and papers; words that mean nothing are shown and kept as said."""
    async with stage(tmp_path, title="Wren won't start; hobbyist, no gauge; target 43.5 psi, purple wheels") as on:
        await on.until(lambda: "Understood as" in on.text, "what the job's name says")
        await on.press("enter")
        here = on.job.standing.situation
        assert here.person == "hobbyist"
        assert here.tools is not None
        assert "pressure-gauge" not in here.tools
        assert on.job.standing.car.number("target-pressure") is not None
        kept = [e.text for e in on.job.case.effective() if isinstance(e, Note)]
        assert any("purple wheels" in text for text in kept)
        assert (await on.now()).step == "look-over"


async def test_tools_and_papers_are_told_in_one_line_or_with_one_key_for_the_rest(tmp_path: Path) -> None:
    """[r] leaves only what was ticked by hand; [t] takes a line; what it did not take stands above the keys."""
    async with stage(tmp_path, title="Wren: pressure won't come down") as on:
        await begin(on)
        await on.press("e", "1", "r", "down", "down", "down", "down", "space", "enter")
        here = on.job.standing.situation
        assert here.person == "untrained"
        assert here.tools == {"pressure-gauge"}
        await on.press("e", "t")
        await on.type("mechanic, all tools, petrol, striped roof")
        await on.press("enter")
        assert "Not taken, kept as said: striped roof" in on.flat
        assert "Fuel: petrol" in on.flat
        await on.press("escape")
        assert on.job.standing.situation.person == "mechanic"
        await on.press("k", "t")
        await on.type("target 3 bar hose off, return 8 mm")
        await on.press("enter")
        assert "Target rail pressure: 3 bar" in on.flat


@pytest.mark.parametrize("phone", [False, True])
async def test_a_danger_told_in_the_opening_is_read_before_anything_else(tmp_path: Path, phone: bool) -> None:
    """The stop notice stays until its own key; only then does the job begin, and the complaint is not asked again."""
    async with stage(tmp_path, title="Otter dies at the lights and stinks of petrol; owner", phone=phone) as on:
        await on.until(lambda: "Understood as" in on.text, "what the job's name says")
        await on.press("enter")
        assert "STOP. Read this first." in on.text
        assert not any(isinstance(e, Acknowledged) for e in on.app.jobs[0].case.effective())
        await on.press("a")
        assert any(isinstance(e, Acknowledged) for e in on.job.case.effective())
