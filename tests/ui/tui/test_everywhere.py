"""Sizes, mouse, help and menu on every screen."""

from __future__ import annotations

from pathlib import Path

import pytest

from diag.casework.entries import SignAnswer
from tests.ui.tui.stage import stage

pytestmark = pytest.mark.slow  # several seconds: whole jobs, screens or processes

PATHS = {
    "work": (), "tell": ("t",), "causes": ("w",), "answers": ("a",), "car": ("k",), "picture": ("p",),
    "data log": ("i",), "others": ("o",),
    "people": ("e",), "note": ("b",), "cautions": ("!",), "jobs": ("j",), "finish": ("f",), "hand over": ("g",),
    "menu": ("full_stop",), "help": ("question_mark",),
}  # fmt: skip


@pytest.mark.parametrize("name", PATHS)
async def test_a_screen_stands_every_size_and_says_how_to_get_back(tmp_path: Path, name: str) -> None:
    """Resized from a post-card to a wall: no crash, nothing wider than the screen, a way back that works."""
    async with stage(tmp_path, title="Wren") as on:
        await on.press("down", "enter", "escape")
        await on.press(*PATHS[name])
        for size in ((40, 12), (200, 60), (109, 19)):
            await on.pilot.resize_terminal(*size)
            await on.settle()
            assert len(on.text.splitlines()) <= size[1]
        if PATHS[name]:
            assert "[esc]" in on.text
            await on.press("escape")
        await on.press("n")
        assert [e.sign for e in on.job.case.effective() if isinstance(e, SignAnswer)][-1] == "fuel-at-cap"


async def test_everything_in_brackets_can_be_clicked(tmp_path: Path) -> None:
    """A click on [n] answers no, a click on [z] takes it back, a click on a cause opens its reasons."""
    async with stage(tmp_path, title="Wren") as on:
        await on.press("escape")

        async def click(words: str) -> None:
            lines = on.text.splitlines()
            y = next(at for at, line in enumerate(lines) if words in line)
            await on.pilot.click(offset=(lines[y].index(words) + 1, y))
            await on.settle()

        await click("[n]")
        assert [e.answer for e in on.job.case.effective() if isinstance(e, SignAnswer)] == ["absent"]
        await click("[z]")
        assert not on.job.case.effective()
        board = on.work.state.board
        assert board is not None
        await click(on.job.book.causes[next(c for c, _ in board.ranked if c in on.job.book.causes)].title[:20])
        assert "Causes: how likely, and why" in on.text


async def test_the_menu_does_what_its_line_says(tmp_path: Path) -> None:
    """Every deed stands in the menu with its key, and Enter does it."""
    async with stage(tmp_path, title="Wren") as on:
        await on.press("escape", "full_stop")
        for key in ("[y]", "[n]", "[u]", "[t]", "[w]", "[z]"):
            assert key in on.text
        await on.press("enter", "a")
        assert [e.answer for e in on.job.case.effective() if isinstance(e, SignAnswer)] == ["present"]


async def test_a_plain_terminal_shows_ascii_only(tmp_path: Path) -> None:
    """Step, causes, picture and desk in ASCII mode hold no other character."""
    async with stage(tmp_path, title="Wren", ascii_only=True) as on:
        await on.press("down", "enter", "escape")
        for key in ("w", "p", "a", "o"):
            assert on.text.isascii(), sorted({c for c in on.text if not c.isascii()})
            await on.press(key)
            assert on.text.isascii(), sorted({c for c in on.text if not c.isascii()})
            await on.press("escape")


async def test_a_design_question_answers_and_compares(tmp_path: Path) -> None:
    """Figures are told with their units, the answer renews itself, and what-if shows both."""
    async with stage(tmp_path) as on:
        await on.press("d", "down", "enter")
        assert "Can this return carry this pump" in on.text
        await on.press("enter")
        await on.type("600")
        await on.press("enter")
        await on.press("down", "down", "down", "enter")
        await on.type("6 mm")
        await on.press("enter")
        assert "ANSWER" in on.text
        first = on.flat
        await on.press("i")
        await on.type("10 mm")
        await on.press("enter")
        assert "BEFORE" in on.text
        assert on.flat != first


async def test_a_job_opens_by_name_where_it_was_left(tmp_path: Path) -> None:
    """Left after one place of the look-over: the second place is asked when it is opened again."""
    async with stage(tmp_path, title="Linnet") as on:
        await on.press("escape", "n")
        name = on.job.case.id
        await on.press("q")
    async with stage(tmp_path, case=name) as on:
        assert (await on.now()).part == 2
        assert "Linnet" in on.text


async def test_a_job_that_is_open_elsewhere_is_left_or_taken_over(tmp_path: Path) -> None:
    """Two programs on one job: the second is told who has it and may leave it or take it over."""
    async with stage(tmp_path, title="Teasel") as first:
        await first.press("escape", "n")
        name = first.job.case.id
        async with stage(tmp_path, case=name) as second:
            assert "This job is open elsewhere" in second.text
            await second.press("2")
            await second.press("n")
            assert len(second.job.case.effective()) == 2
        await first.press("n")
        assert "NOT ON DISK" in first.text or "taken over" in first.flat
