"""Practice on the screen, with keys only: the whole way of a trainee, the wall, the debrief, and what is kept."""

from __future__ import annotations

from pathlib import Path

import pytest
from textual.pilot import Pilot
from textual.widgets import Input

from diag.practice.moves import Move
from diag.practice.store import PracticeStore
from diag.ui.tui.app import Options
from diag.ui.tui.card import lay_out, plain_text
from diag.ui.tui.panel import Panel
from diag.ui.tui.practice_app import PracticeApp
from diag.ui.tui.practice_parts import StepScreen
from diag.ui.tui.practice_screen import DebriefScreen, PracticeScreen, ProgressScreen
from diag.ui.tui.practice_session import SessionScreen
from diag.ui.tui.screens.lists import PickScreen, SearchScreen
from diag.ui.tui.screens.pages import PageScreen
from tests.practice.rig import first_deal, level, the_book

pytestmark = pytest.mark.slow  # several seconds: whole jobs, screens or processes

HOSTILE = "[/] [@click=app.leave]x[/] \x1b[2J\u202e" + "w" * 90


def app_for(folder: Path, seed: int | None = None, name: str = "loud-fault", **more: object) -> PracticeApp:
    """The program for one trainee, with the book already read."""
    options = Options(folder / "cases", who=str(more.pop("who", "Mira")), **more)  # type: ignore[arg-type]
    begin = level(name) if seed is not None else None
    return PracticeApp(options, folder / "results", begin, seed, book=the_book())


async def settled(pilot: Pilot[int]) -> None:
    """Wait for threads and repainting."""
    await pilot.app.workers.wait_for_complete()
    await pilot.pause()
    await pilot.pause()


async def reach(pilot: Pilot[int], kind: type) -> None:
    """Wait until a screen of this kind is on top."""
    for _ in range(200):
        if isinstance(pilot.app.screen, kind):
            await pilot.pause()
            return
        await pilot.pause(0.05)
    raise AssertionError(f"{kind.__name__} did not come; there is {type(pilot.app.screen).__name__}")


def shown(pilot: Pilot[int], width: int = 78) -> str:
    """Every card of the screen on top as text."""
    panels = pilot.app.screen.query(Panel)
    return "\n".join(plain_text(lay_out(p.rows, width)) for p in panels)


async def type_words(pilot: Pilot[int], words: str) -> None:
    """Put words into the line at once; a key each would only test the library."""
    pilot.app.screen.query_one(Input).value = words
    await pilot.pause()


def pump_car() -> int:
    """The number of a car with a dead pump that the first repair cures."""
    fits = first_deal("loud-fault", lambda d: d.causes == ("pump-dead",) and not d.car.after("renew-pump").present())
    return fits.seed


@pytest.mark.parametrize("size", [(80, 24), (120, 40), (40, 12)])
async def test_a_trainee_is_stopped_names_repairs_and_reads_the_debrief(tmp_path: Path, size: tuple[int, int]) -> None:
    """From the owner's story to the kept result, by keyboard, at several sizes."""
    app = app_for(tmp_path, pump_car())
    async with app.run_test(size=size) as pilot:
        await reach(pilot, SessionScreen)
        assert "OWNER" in shown(pilot)
        await pilot.press("c")
        await reach(pilot, SearchScreen)
        await type_words(pilot, "listen to the pump at key on")
        await pilot.press("enter")
        await reach(pilot, StepScreen)
        assert "CARE" in shown(pilot)
        await pilot.press("y")
        await reach(pilot, PickScreen)
        assert "Nobody has looked for wet fuel" in shown(pilot, 200)
        await pilot.press("1")
        await reach(pilot, SessionScreen)
        assert app.screen.session.turns[0].kind == "unsafe"  # type: ignore[attr-defined]
        assert "STOP" in shown(pilot)
        assert "Sound of the pump" in shown(pilot)
        app.screen.move(Move("ready", ("pump-volts-reading",)))  # type: ignore[attr-defined]
        await pilot.press("r")
        await reach(pilot, SearchScreen)
        await type_words(pilot, "renew the pump with its strainer")
        await pilot.press("enter")
        await reach(pilot, StepScreen)
        await pilot.press("y")
        await reach(pilot, PickScreen)
        await pilot.press("1")  # the safe way; then the wall asks for a name
        await reach(pilot, PickScreen)
        lines = app.screen.choices  # type: ignore[attr-defined]
        await pilot.press(str(1 + [name for name, _ in lines].index("pump-dead")))
        await reach(pilot, SessionScreen)
        assert app.screen.session.car.present() == ()  # type: ignore[attr-defined]
        await pilot.press("f")
        await reach(pilot, PickScreen)
        await pilot.press("1")
        await reach(pilot, DebriefScreen)
        await settled(pilot)
        said = shown(pilot, 200)
        assert "Solved. The fault was named." in said
        assert "To take away" in said
        assert "Kept as session 1 of Mira" in said
        await pilot.press("escape")
        await reach(pilot, PracticeScreen)
        await pilot.press("g")
        await reach(pilot, ProgressScreen)
        await pilot.press("s")
        await pilot.pause()
    kept = PracticeStore(tmp_path / "results")
    assert kept.read("Mira").results[0].solved
    assert kept.path("Mira").with_suffix(".svg").read_text().startswith("<svg")


async def test_answers_are_struck_figures_measured_and_hints_counted(tmp_path: Path) -> None:
    """The lists of answers and of the car do what their lines say; a hint names the program's step."""
    app = app_for(tmp_path, pump_car())
    async with app.run_test(size=(80, 24)) as pilot:
        await reach(pilot, SessionScreen)
        screen = app.screen
        assert isinstance(screen, SessionScreen)
        screen.do_step("look-over")
        await pilot.press("a")
        await reach(pilot, PickScreen)
        await pilot.press("1")
        await reach(pilot, PickScreen)
        await pilot.press("1")
        await reach(pilot, SessionScreen)
        assert screen.session.turns[-1].title.startswith("Strike entry")
        await pilot.press("k")
        await reach(pilot, PickScreen)
        await pilot.press("1")
        await reach(pilot, SessionScreen)
        assert screen.session.turns[-1].title == "Measure: Rated pump flow"
        await pilot.press("s")
        await reach(pilot, PageScreen)
        await pilot.press("escape")
        await reach(pilot, SessionScreen)
        await pilot.press("h")
        await settled(pilot)
        assert screen.session.hints == 1
        assert "HINT" in shown(pilot)
        await pilot.press("q")
        await reach(pilot, PickScreen)
        await pilot.press("2")
        await reach(pilot, PracticeScreen)
    assert PracticeStore(tmp_path / "results").read("Mira").results == ()


async def test_the_drawing_tells_what_was_found_and_not_what_is_suspected(tmp_path: Path) -> None:
    """What the papers say stands in it; no chance does, since that would be a hint that is not counted."""
    app = app_for(tmp_path, seed=7)
    async with app.run_test(size=(100, 40)) as pilot:
        await reach(pilot, SessionScreen)
        await pilot.press("p")
        await reach(pilot, PageScreen)
        drawn = shown(pilot, 100)
        assert "Regulator" in drawn
        assert "%" not in drawn


async def test_one_question_alone_can_be_asked(tmp_path: Path) -> None:
    """A check of loose questions offers each of them; picking one asks that one only."""
    app = app_for(tmp_path, pump_car())
    async with app.run_test(size=(80, 24)) as pilot:
        await reach(pilot, SessionScreen)
        screen = app.screen
        assert isinstance(screen, SessionScreen)
        await pilot.press("c")
        await reach(pilot, SearchScreen)
        await type_words(pilot, "ask how it starts")
        await pilot.press("enter")
        await reach(pilot, PickScreen)
        await pilot.press("2")
        await reach(pilot, SessionScreen)
        assert len(screen.session.turns[-1].told) == 1
        assert "only: " in screen.session.turns[-1].title


async def test_a_gauge_is_borrowed_by_one_key(tmp_path: Path) -> None:
    """On the level without a gauge the offer names it and its minutes."""
    found = first_deal("no-gauge", lambda d: not any(the_book().signs[s].wet for s in d.complaints))
    app = app_for(tmp_path, found.seed, "no-gauge")
    async with app.run_test(size=(80, 24)) as pilot:
        await reach(pilot, SessionScreen)
        screen = app.screen
        assert isinstance(screen, SessionScreen)
        screen.do_step("base-pressure", "ready")
        await reach(pilot, PickScreen)
        await pilot.press("1")
        await reach(pilot, SessionScreen)
        assert [t.step for t in screen.session.turns if t.kind == "done"][-1] == "base-pressure"


async def test_leaving_a_debrief_stops_its_work_and_keeps_nothing(tmp_path: Path) -> None:
    """Esc gives the debrief up; the trainee is back at the levels at once."""
    app = app_for(tmp_path, pump_car())
    async with app.run_test(size=(80, 24)) as pilot:
        await reach(pilot, SessionScreen)
        await pilot.press("f")
        await reach(pilot, PickScreen)
        await pilot.press("3")
        await reach(pilot, DebriefScreen)
        await pilot.press("escape")
        await reach(pilot, PracticeScreen)
        await settled(pilot)
        assert isinstance(app.screen, PracticeScreen)


async def test_levels_names_and_earlier_sessions(tmp_path: Path) -> None:
    """A hostile name harms nothing, a wrong number is refused, an earlier session is shown again."""
    from tests.practice.rig import result

    app = app_for(tmp_path, who=HOSTILE)
    store = PracticeStore(tmp_path / "results")
    store.add(HOSTILE, result(pump_car(), book="another book"))
    async with app.run_test(size=(80, 24)) as pilot:
        await reach(pilot, PracticeScreen)
        assert "1 session so far" in shown(pilot)
        assert "\x1b" not in shown(pilot)
        await pilot.press("n")
        await type_words(pilot, "many")
        await pilot.press("enter")
        await reach(pilot, PracticeScreen)
        assert "no number of a car" in shown(pilot)
        await pilot.press("l")
        await reach(pilot, PickScreen)
        await pilot.press("1")
        await reach(pilot, DebriefScreen)
        await settled(pilot)
        assert "The rule book has changed" in shown(pilot, 200)
        await pilot.press("escape")
        await reach(pilot, PracticeScreen)
        await pilot.press("question_mark")
        await reach(pilot, PageScreen)
        await pilot.press("escape")
        await reach(pilot, PracticeScreen)
        await pilot.press("3")
        await reach(pilot, SessionScreen)
        assert app.screen.session.deal.level.id == "no-gauge"  # type: ignore[attr-defined]


async def test_the_end_of_practice_ends_the_program(tmp_path: Path) -> None:
    """Esc at the levels leaves with code 0."""
    app = app_for(tmp_path)
    async with app.run_test(size=(80, 24)) as pilot:
        await reach(pilot, PracticeScreen)
        await pilot.press("escape")
        await pilot.pause()
    assert app.return_code == 0
