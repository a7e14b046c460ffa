"""No way out of the screens with answers that are not on disk, except by choice of a person who was shown them."""

from __future__ import annotations

import errno
import os
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from pathlib import Path

import pytest

from diag.casework import entries as e
from diag.casework.store import CaseStore
from diag.support.disk.operations import Disk
from diag.support.errors import ExitCode
from diag.ui.tui.screens.leaving import LeaveScreen
from diag.ui.tui.screens.start import StartScreen
from tests.ui.tui.stage import Stage, stage

pytestmark = pytest.mark.slow


class FillableDisk(Disk):
    """A disk that can be full in one folder, and be freed again."""

    def __init__(self, folder: Path) -> None:
        self.folder, self.full = os.fspath(folder), False

    def create(self, path: str) -> int:
        if self.full and path.startswith(self.folder):
            raise OSError(errno.ENOSPC, "No space left on device")
        return super().create(path)


@asynccontextmanager
async def full(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> AsyncIterator[tuple[Stage, FillableDisk]]:
    """A job at its first question, on a disk that is full now, with two answers that it does not hold."""
    folder = tmp_path / "jobs"
    monkeypatch.setattr("diag.ui.refuge.places", lambda: iter([tmp_path / "refuge"]))
    async with stage(folder, title="Wren") as s:
        await s.press("escape")
        disk = FillableDisk(folder)
        s.app.jobs[0]._held.store.disk = disk  # type: ignore[union-attr]
        disk.full = True
        s.job.note("pump hums")
        s.job.note("gauge borrowed")
        s.work.renew()
        await s.settle()
        yield s, disk


def notes(folder: Path) -> list[str]:
    """Notes in the only job of a folder."""
    (name,) = CaseStore(folder).ids()
    return [x.text for x in CaseStore(folder).read(name).whole().entries if isinstance(x, e.Note)]


async def test_leaving_a_job_shows_what_is_not_on_disk(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """q does not leave: the answers are shown; tried again on a freed disk it does, and the job opens again."""
    async with full(tmp_path, monkeypatch) as (s, disk):
        assert "NOT ON DISK" in s.text
        await s.press("q")
        assert isinstance(s.app.screen, LeaveScreen)
        assert "2 answers would be lost" in s.flat
        assert "pump hums" in s.flat
        assert "gauge borrowed" in s.flat
        await s.press("t")
        assert isinstance(s.app.screen, LeaveScreen)
        assert "the disk is full" in s.flat
        disk.full = False
        await s.press("t")
        assert isinstance(s.app.screen, StartScreen)
        assert notes(tmp_path / "jobs") == ["pump hums", "gauge borrowed"]
        await s.press("enter")
        assert s.job.case.title == "Wren"


async def test_another_folder_takes_the_job(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A folder that cannot be is said; one that can takes everything; Esc stays with the job."""
    async with full(tmp_path, monkeypatch) as (s, _):
        await s.press("q", "escape")
        assert s.job.unsaved
        (tmp_path / "file").write_text("")
        await s.press("q", "f")
        await s.type(f"{tmp_path}/file")
        await s.press("enter")
        assert s.app.screen.query("#line"), "the refused folder stays on the line to be mended"
        await s.press(*["backspace"] * 4)
        await s.type("other")
        await s.press("enter")
        assert isinstance(s.app.screen, StartScreen)
        assert notes(tmp_path / "other") == ["pump hums", "gauge borrowed"]
        assert len(s.app.jobs) == 0
        CaseStore(tmp_path / "jobs").open(CaseStore(tmp_path / "jobs").ids()[0]).close()


@pytest.mark.parametrize("key", ["ctrl+c", "ctrl+q"])
async def test_every_key_that_leaves_asks_and_print_writes(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], key: str
) -> None:
    """Ctrl+C and Ctrl+Q ask too; what is taken in writing is printed at the end, with the disk's exit code."""
    async with full(tmp_path, monkeypatch) as (s, _):
        await s.press(key)
        assert isinstance(s.app.screen, LeaveScreen)
        await s.press(key, "p")
        assert "pump hums" in "\n".join(s.app.written)
    assert s.app.return_code == ExitCode.STORAGE
    assert "gauge borrowed" in capsys.readouterr().err


async def test_a_sudden_end_moves_the_job_into_a_refuge(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A signal: nobody can be asked, so the whole job goes elsewhere and the last line says where."""
    async with full(tmp_path, monkeypatch) as (s, _):
        s.app.end_at_once(143)
    assert s.app.return_code == 143
    assert notes(tmp_path / "refuge") == ["pump hums", "gauge borrowed"]
    assert str(tmp_path / "refuge") in "\n".join(s.app.written)
