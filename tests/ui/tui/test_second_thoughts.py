"""Changing earlier answers, taking them back, telling the car, choosing freely: always with before and after."""

from __future__ import annotations

from pathlib import Path

import pytest

from diag.casework.entries import CarFact, SignAnswer
from tests.ui.tui.stage import Stage, stage

pytestmark = pytest.mark.slow  # several seconds: whole jobs, screens or processes


async def begin(on: Stage) -> None:
    """A job with the complaint told and one place of the look-over answered."""
    await on.press("down", "enter", "escape")
    await on.press("n")


async def test_undo_takes_the_newest_answer_back_and_restores_the_ranking(tmp_path: Path) -> None:
    """One key, and ranking and question are as before, to the last figure."""
    async with stage(tmp_path, title="Wren") as on:
        await begin(on)
        before = on.work.state.board.ranked if on.work.state.board else ()
        question = await on.now()
        await on.press("n")
        assert (await on.now()) != question
        await on.press("z")
        assert (await on.now()) == question
        assert on.work.state.board is not None
        assert on.work.state.board.ranked == before
        assert "Taken back" in on.flat


async def test_a_change_is_shown_before_it_is_made_and_can_be_left(tmp_path: Path) -> None:
    """The preview names what would change; Esc leaves the case as it was, Enter makes the change."""
    async with stage(tmp_path, title="Wren") as on:
        await begin(on)
        job = on.job
        await on.press("a")
        assert "Pressure will not come down: yes" in on.text
        await on.press("end", "enter")
        assert "Another answer" in on.text
        case = job.case
        await on.press("2")
        assert "before" in on.text
        assert "CHANGE" in on.text
        await on.press("escape")
        assert job.case is case
        await on.press("enter", "2", "enter")
        (told,) = [e for e in job.case.effective() if isinstance(e, SignAnswer) and e.sign == "pressure-wont-come-down"]
        assert told.answer == "absent"
        await on.press("x", "enter")
        assert [e.sign for e in job.case.effective() if isinstance(e, SignAnswer)] == ["fuel-at-cap"]


async def test_a_car_fact_is_understood_while_it_is_typed_and_moves_the_ranking(tmp_path: Path) -> None:
    """A bore in dash sizes is understood; a length for a pressure is refused on its own line."""
    async with stage(tmp_path, title="Wren") as on:
        await begin(on)
        before = on.work.state.board.ranked if on.work.state.board else ()
        await on.press("k")
        shown = on.app.screen.query_one("#list")
        shown.highlighted = shown.get_option_index("return-bore")  # type: ignore[attr-defined]
        await on.press("enter")
        await on.type("dash 6")
        assert "understood as" in on.flat
        await on.press("enter")
        shown.highlighted = shown.get_option_index("target-pressure")  # type: ignore[attr-defined]
        await on.press("enter")
        await on.type("5 ft")
        await on.press("enter")
        assert "Target rail pressure" in on.text
        assert "5 ft" in on.text
        await on.press("escape", "escape")
        assert [(e.field, e.text) for e in on.job.case.effective() if isinstance(e, CarFact)] == [
            ("return-bore", "dash 6")
        ]
        assert on.work.state.board is not None
        assert on.work.state.board.ranked != before


async def test_a_check_that_is_not_allowed_says_why_and_until_when(tmp_path: Path) -> None:
    """With fuel found outside, choosing a check that runs the pump is refused in words and nothing is written."""
    async with stage(tmp_path, title="Wren") as on:
        await on.press("escape", "y", "a")
        case = on.job.case
        await on.press("o")
        shown = on.app.screen.query_one("#list")
        shown.highlighted = shown.get_option_index("base-pressure")  # type: ignore[attr-defined]
        await on.settle()
        assert "NOT NOW" in on.text
        await on.press("enter")
        assert "Not now" in on.flat
        assert "Until" in on.flat
        await on.press("escape")
        assert on.job.case is case


async def test_reasons_name_what_speaks_for_and_against(tmp_path: Path) -> None:
    """The causes' page holds chance in words and number, trend, reasons, and what was told."""
    async with stage(tmp_path, (100, 50), title="Wren") as on:
        await begin(on)
        await on.press("w")
        for word in ("CHANCE", "TREND", "FOR", "AGAINST", "CURE"):
            assert word in on.text
        assert "Pressure will not come down: yes" in on.flat
        assert "odds times" in on.flat


async def test_a_check_is_found_by_what_it_is_for(tmp_path: Path) -> None:
    """Among the other checks, everyday words lead to a check whose title holds none of them; Enter goes to it."""
    async with stage(tmp_path, title="Wren") as on:
        await on.press("escape", "o", "s")
        await on.type("is the fuse any good")
        await on.settle()
        shown = on.app.screen.query_one("#list")
        found = [shown.get_option_at_index(at).id for at in range(shown.option_count)]  # type: ignore[attr-defined]
        assert "look-at-fuse" in found[:3]
        await on.press("enter")
        await on.settle()
        assert on.app.screen.query_one("#list").chosen == found[0]  # type: ignore[attr-defined]
