"""Pictures of the main screens at two sizes, in colour and without; another textual than the pinned one skips them."""

from __future__ import annotations

from collections.abc import Awaitable, Callable
from pathlib import Path

import pytest
import textual
from textual.pilot import Pilot

from diag.rulebook.load import book_from_texts
from diag.ui.tui.app import DiagApp, Options
from tests import ROOT

PINNED = "8.2.8"
GOOD = ROOT / "tests" / "rulebook" / "good.yaml"
SIZES = ((80, 24), (120, 40))

pytestmark = pytest.mark.skipif(textual.__version__ != PINNED, reason=f"pictures were made with textual {PINNED}")


async def quiet(pilot: Pilot[int]) -> None:
    """Wait for threads and painting."""
    for _ in range(3):
        while any(not worker.is_finished for worker in pilot.app.workers):
            await pilot.pause(0.01)
        await pilot.pause()


def keys(*pressed: str) -> Callable[[Pilot[int]], Awaitable[None]]:
    """Press keys, everything worked out in between."""

    async def before(pilot: Pilot[int]) -> None:
        await quiet(pilot)
        for key in pressed:
            await pilot.press(key)
            await quiet(pilot)

    return before


SCREENS = {
    "start": ((), ""),
    "step": (("escape", "down", "enter", "escape"), "Wren: pressure stays high"),
    "look": (("escape", "down", "enter", "escape", "n"), "Wren: pressure stays high"),
    "stop": (("escape", "escape", "y"), "Bramble: cap weeps"),
    "causes": (("down", "enter", "escape", "n", "w"), "Otter: no drop at idle"),
    "help": (("question_mark",), ""),
}


@pytest.mark.parametrize("size", SIZES, ids=["80x24", "120x40"])
@pytest.mark.parametrize("colour", [True, False], ids=["colour", "monochrome"])
@pytest.mark.parametrize("name", SCREENS)
def test_a_screen_looks_as_it_did(
    name: str, colour: bool, size: tuple[int, int], tmp_path: Path, snap_compare, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The tiny rule book of the tests, so that no edit of a rule changes a picture."""
    monkeypatch.delenv("NO_COLOR", raising=False)
    pressed, title = SCREENS[name]
    book = book_from_texts({"good.yaml": GOOD.read_text(encoding="utf-8")})
    app = DiagApp(Options(tmp_path, title=title, no_color=not colour, who="ES"), book)
    assert snap_compare(app, terminal_size=size, run_before=keys(*pressed))
