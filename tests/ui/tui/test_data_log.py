"""A data log on the screen."""

from __future__ import annotations

from pathlib import Path

import pytest

from diag.casework.entries import ReadingTaken
from tests.datalog.test_demo import FILE
from tests.ui.tui.stage import Stage, stage

pytestmark = pytest.mark.slow  # several seconds: whole jobs, screens or processes


@pytest.fixture(autouse=True)
def _apart(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """Confirmed columns are kept away from this account, and the log has a name that can be typed."""
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))
    monkeypatch.chdir(tmp_path)
    (tmp_path / "run.csv").write_bytes(FILE.read_bytes())


def readings(on: Stage) -> list[ReadingTaken]:
    """Readings written down."""
    return [e for e in on.job.case.entries if isinstance(e, ReadingTaken)]


async def test_a_log_is_confirmed_read_and_written(tmp_path: Path) -> None:
    """File, columns, two questions, what it says, and w."""
    async with stage(tmp_path / "jobs", title="Linnet") as on:
        await on.press("escape", "i")
        await on.type("run.csv")
        await on.press("enter")
        assert "Fuel Pressure (psi)" in on.flat
        await on.type("yes")
        await on.press("enter")
        assert "reference hose" in on.flat
        await on.press("1", "1")
        assert "The slope is 0.67" in on.flat
        await on.press("w")
        assert {e.point for e in readings(on)} >= {"log-at-rest", "log-pump-on", "idle-hose-on"}


async def test_a_bad_name_and_going_back_write_nothing(tmp_path: Path) -> None:
    """One line says what is wrong; Esc leaves everything as it was."""
    async with stage(tmp_path / "jobs", title="Linnet") as on:
        await on.press("escape", "i")
        await on.type("none.csv")
        await on.press("enter")
        assert "Cannot read" in on.flat
        await on.press("escape")
        assert readings(on) == []


async def test_a_page_opens_no_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """In a browser the terminal is pointed to."""
    async with stage(tmp_path / "jobs", title="Linnet") as on:
        await on.press("escape", "i")
        monkeypatch.setenv("TEXTUAL_DRIVER", "textual.drivers.web_driver:WebDriver")
        await on.type("run.csv")
        await on.press("enter")
        assert "no file by name" in on.flat
