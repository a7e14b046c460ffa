"""People at a team's desk: line by line and on the screens, with the server there and away."""

from __future__ import annotations

import io
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from diag.support.errors import ExitCode
from tests.casework.test_store import empty_case
from tests.desk.postgres import Cable, Postgres
from tests.ui.tui.stage import Stage

pytest.importorskip("psycopg")

from diag.desk.server import ServerStore
from diag.presentation.last_words import short_words, state_words, trouble_words
from diag.rulebook.cached import load_quickly
from diag.rulebook.where import rules_folder
from diag.session.job import Job
from diag.ui.cli.main import main
from diag.ui.tui.app import DiagApp, Options

Desk = Callable[..., ServerStore]
pytestmark = pytest.mark.slow  # whole conversations


def talk(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], lines: str, *arguments: str) -> str:
    """A conversation line by line; all that was said."""
    monkeypatch.setattr(sys, "stdin", io.StringIO(lines))
    main(["work", "--plain", *arguments])
    return "".join(capsys.readouterr())


def test_a_call_goes_from_one_to_the_next(
    address: str, desk: Desk, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Taken by Mira, handed over, taken up by Oskar as the next one, looked at on the board."""
    monkeypatch.setenv("DIAG_STORE", address)
    said = talk(
        monkeypatch,
        capsys,
        "Wren no start\n\n\nboard\nhand over anybody: no gauge here\nboard\nquit\n",
        "--who",
        "Mira",
    )
    assert "Mira has it" in said
    assert "Mira has it, then whoever is free" in said
    assert "Every answer given so far is on the server." in said
    name = desk().ids()[0]
    said = talk(monkeypatch, capsys, "entries\nquit\n", "--next", "--who", "Oskar")
    assert name in said
    assert "no gauge here" in said


def test_what_is_said_while_answers_wait(server: Postgres, database: str, desk: Desk) -> None:
    """Shown as not sent yet wherever the state of a job is shown, and no longer once it is."""
    cable = Cable(server.port)
    store = desk(address=server.address(database, port=cable.port), patience=0.6, lease=1.8)
    job = Job.start(store, load_quickly(rules_folder(), None), "Wren", "Mira")
    assert (short_words(job), trouble_words(job)) == ("on the server", "")
    cable.cut()
    job.note("pump is out")
    assert job.unsaved == ()
    assert short_words(job) == "NOT SENT YET: 1"
    assert "NOT SENT YET: 1 answer" in trouble_words(job)
    assert "does not answer" in trouble_words(job)
    assert "The next program that works with this server on this machine sends them." in state_words([job])
    cable.mend()
    job.save_again()
    while job.unsent:
        job.save_again()
    assert short_words(job) == "on the server"
    assert "The server has the answer that waited." in job.notice
    job.close_file()
    cable.close()


async def test_the_screens_show_the_teams_jobs(address: str, desk: Desk, monkeypatch: pytest.MonkeyPatch) -> None:
    """The list is the server's; a job opened from it is held there."""
    monkeypatch.setenv("DIAG_NO_CACHE", "1")
    desk("Oskar").create(empty_case("wren")).close()
    app = DiagApp(Options(address, case="wren", who="Mira"), load_quickly(rules_folder(), None))
    async with app.run_test(size=(100, 30)) as pilot:
        for _ in range(200):
            await pilot.pause(0.05)
            if app.jobs:
                break
        assert [job.place for job in app.jobs] == ["server"]
        rows = desk().link.run(lambda line: line.execute("select who from diag.claims").fetchall())
        assert rows == [("Mira",)]
        await pilot.press("ctrl+q")
        await pilot.pause(0.2)
    assert app.return_code == ExitCode.DONE


async def test_the_screens_say_when_the_server_is_away(tmp_path: Path) -> None:
    """No fault, no empty list without a word."""
    app = DiagApp(Options("postgresql://127.0.0.1:1/larkhill", who="Mira"), load_quickly(rules_folder(), None))
    async with app.run_test(size=(100, 30)) as pilot:
        seen = Stage(app, pilot)
        await seen.until(lambda: "does not answer" in seen.flat, "why there is no list")
        await pilot.pause(0.3)
        assert "does not answer" in seen.flat
