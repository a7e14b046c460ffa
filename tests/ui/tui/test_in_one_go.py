"""Several deeds and several values at once, answers in between, and the lines of a call one at a time."""

from __future__ import annotations

from pathlib import Path

import pytest

from diag.casework.entries import ReadingTaken, SignAnswer, StepDone
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
