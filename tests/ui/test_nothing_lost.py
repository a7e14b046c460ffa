"""Both front ends as real processes: killed at any moment, and on a disk that really is full; no answer is lost.

Long run: ``DIAG_KILLS=1000 DIAG_DISK_FAILURES=500 pytest tests/ui/test_nothing_lost.py -s`` prints the figures.
"""

from __future__ import annotations

import contextlib
import errno
import os
import random
import re
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path
from typing import IO

import pytest

from diag.casework import entries as e
from diag.casework.store import CaseStore
from diag.session.job import Job
from diag.support.disk.operations import Disk
from tests.presentation.report.jobs import the_book
from tests.ui.forked import Forked
from tests.ui.plain.person import Person
from tests.ui.tui.control_bytes import control_bytes
from tests.ui.tui.stage import stage
from tests.ui.tui.test_terminal import Terminal, work

pytestmark = pytest.mark.slow

KILLS = int(os.environ.get("DIAG_KILLS", "8")) // 2  # of each front end
FAILURES = int(os.environ.get("DIAG_DISK_FAILURES", "24")) // 2
ANEW = 10  # every so many rounds the program is started anew; the others are forked, for speed
ONE_JOB = 20  # rounds that one job of the line mode goes through
LOUD = re.compile(r"[\x00-\x08\x0b-\x1f\x7f\x80-\x9f]")


def notes(folder: Path) -> list[str]:
    """Every note of every job of a folder that can be read, in order."""
    store = CaseStore(folder)
    found = [store.read(name).whole() for name in store.ids()]
    return [x.text for case in found for x in case.entries if isinstance(x, e.Note)]


def to_the_job(terminal: Terminal) -> None:
    """From the complaint, which is left untold, to the job's screen."""
    terminal.until(lambda s: "that is all" in s, "the complaint")
    at = len(terminal.seen)
    terminal.send("\x1b")
    terminal.until(lambda s: "LIKELY" in s[at:] and "[t]" in s[at:], "the job")


def note_of(terminal: Terminal, text: str, count: int) -> None:
    """Write a note and wait until the heading counts it."""
    at = len(terminal.seen)
    terminal.send("b")
    terminal.until(lambda s: "A note for this job" in s[at:], "the line for a note")
    at = len(terminal.seen)
    terminal.send(f"{text}\r")
    terminal.until(lambda s: f"{count} entr" in s[at:], f"entry {count} in the heading")


# ------------------------------------------------------------------ killed


def _with_pipes(arguments: list[str], forked: bool) -> tuple[subprocess.Popen[str] | Forked, IO[str], IO[str]]:
    """The program with what is told to it and what it says as open files."""
    if not forked:
        pipe = subprocess.PIPE
        process = subprocess.Popen([sys.executable, "-m", "diag", *arguments], stdin=pipe, stdout=pipe, text=True)
        assert process.stdin is not None
        assert process.stdout is not None
        return process, process.stdin, process.stdout
    (hears, told), (said, says) = os.pipe(), os.pipe()
    child = Forked(arguments, (hears, says, 2), os.environ)
    os.close(hears)
    os.close(says)
    return child, open(told, "w"), open(said)


def test_the_line_mode_killed_at_any_moment_keeps_what_it_acknowledged(tmp_path: Path) -> None:
    """SIGKILL while notes come in: every one that was answered with "Noted." is in the file, and the job is free."""
    rng = random.Random(11)
    lost, acknowledged, controls = 0, 0, 0
    for round_ in range(KILLS):
        if round_ % ONE_JOB == 0:  # a job of thousands of notes would measure the patience of its reader
            folder = tmp_path / str(round_)
            job = Job.start(CaseStore(folder, "Mira"), the_book(), "Wren", "Mira")
            job.close_file()
        work_on = ["work", "--plain", "--case", job.case.id, "--folder", str(folder), "--who", "Mira"]
        process, told, said = _with_pipes(work_on, forked=round_ % ANEW != 0)
        first = len(notes(folder))
        told.write("".join(f"note number {first + at}\n" for at in range(60)))
        told.flush()
        seen, wanted, end = "", rng.randint(1, 40), time.monotonic() + 60
        while seen.count("Noted.") < wanted and time.monotonic() < end:
            seen += said.readline()
        time.sleep(rng.uniform(0.0, 0.01))
        process.send_signal(signal.SIGKILL)
        seen += said.read()
        process.wait()
        told.close()
        said.close()
        acknowledged += seen.count("Noted.")
        controls += len(LOUD.findall(seen))
        kept = notes(folder)
        lost += kept != [f"number {at}" for at in range(len(kept))] or len(kept) < first + seen.count("Noted.")
    print(f"\nline mode: {KILLS} kills, {acknowledged} answers acknowledged, {lost} lost, {controls} control bytes out")
    assert (lost, controls) == (0, 0)


def test_the_screens_killed_at_any_moment_keep_what_they_showed(tmp_path: Path) -> None:
    """SIGKILL while places are answered: every count of entries that the heading showed is in the file."""
    rng = random.Random(12)
    lost, shown_most, controls = 0, 0, 0
    for round_ in range(KILLS):
        folder = tmp_path / str(round_)
        terminal = Terminal(work(folder, "--new", "Wren"), forked=round_ % ANEW != 0, LINES="24")
        try:
            to_the_job(terminal)
            for at in range(6):
                terminal.send("b")
                terminal.until(lambda s: "A note for this job" in s[-6000:], "the line for a note")
                terminal.send(f"number {at}\r")
                time.sleep(rng.uniform(0.0, 0.06))
            end = time.monotonic() + rng.uniform(0.0, 1.5)  # keys are dealt with one at a time, ten to a note
            while time.monotonic() < end:
                terminal._read(0.02)
            terminal.process.send_signal(signal.SIGKILL)
            terminal.process.wait()
            with contextlib.suppress(OSError):
                terminal._read(0.05)
        finally:
            terminal.close()
        shown = max((int(n) for n in re.findall(r"(\d+) entr(?:y|ies)", terminal.seen)), default=0)
        kept = notes(folder)
        shown_most = max(shown_most, shown)
        controls += len(control_bytes(terminal.seen, killed=True))
        lost += len(kept) < shown or any(text != f"number {at}" for at, text in enumerate(kept[:shown]))
    print(f"\nscreens: {KILLS} kills, {lost} lost, {controls} control bytes out")
    assert (lost, controls) == (0, 0)
    assert shown_most > 0


# ------------------------------------------------------------------ the disk fails


class Failing(Disk):
    """The real disk; from the n-th writing operation on, some or all fail, in one folder only."""

    def __init__(self, folder: Path, first: int, code: int, for_good: bool) -> None:
        self.folder, self.first, self.code, self.for_good = os.fspath(folder), first, code, for_good
        self.count = 0
        self.failed = 0

    def _step(self, path: str) -> None:
        if not path.startswith(self.folder):
            return
        self.count += 1
        if self.count == self.first or (self.for_good and self.count > self.first):
            self.failed += 1
            raise OSError(self.code, os.strerror(self.code))

    def create(self, path: str) -> int:
        self._step(path)
        return super().create(path)

    def replace(self, source: str, target: str) -> None:
        self._step(target)
        super().replace(source, target)

    def sync_folder(self, folder: str) -> None:
        self._step(folder)
        super().sync_folder(folder)


CODES = (errno.ENOSPC, errno.EIO, errno.EROFS, errno.EDQUOT, errno.EACCES)


def failing(folder: Path, rng: random.Random) -> Failing:
    """One of the ways in which a disk lets people down."""
    return Failing(folder, rng.randint(1, 14), rng.choice(CODES), rng.random() < 0.5)


@pytest.fixture(autouse=True)
def refuge(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Path:
    """The folder that takes what the jobs' own does not."""
    monkeypatch.setattr("diag.ui.refuge.places", lambda: iter([tmp_path / "refuge"]))
    return tmp_path / "refuge"


def everywhere(*folders: Path) -> set[str]:
    """Notes in any of these folders."""
    return {text for folder in folders if folder.is_dir() for text in notes(folder)}


def test_the_line_mode_loses_nothing_to_a_failing_disk(tmp_path: Path, refuge: Path) -> None:
    """Any operation fails, once or for good; whoever quits, tries again, moves or ends: every note is in some file."""
    rng = random.Random(13)
    lost, failed, untrue = 0, 0, 0
    for round_ in range(FAILURES):
        folder, other = tmp_path / f"jobs{round_}", tmp_path / f"other{round_}"
        disk = Failing(folder, 10**9, errno.ENOSPC, False)
        job = Job.start(CaseStore(folder, "Mira", disk), the_book(), "Wren", "Mira")
        disk.count, disk.first = 0, rng.randint(1, 14)
        disk.code, disk.for_good = rng.choice(CODES), rng.random() < 0.5
        told = [f"{round_} number {at}" for at in range(4)]
        ways = rng.choice([["quit", "again", f"folder {other}"], ["quit", f"folder {other}"], [], ["quit", "print"]])
        person = Person([*(f"note {text}" for text in told), *ways], job).run()
        failed += disk.failed > 0
        found = everywhere(folder, other, refuge)
        written = person.said.split("Write this down:")[-1] if "print" in ways else ""
        lost += any(text not in found and text not in written for text in told)
        claimed = "Every answer given so far is on disk." in person.said
        untrue += claimed and any(text not in found for text in told)
    print(f"\nline mode: {failed} of {FAILURES} rounds met a failure; {lost} lost, {untrue} untrue last words")
    assert (lost, untrue) == (0, 0)
    assert failed > FAILURES // 2


async def test_the_screens_lose_nothing_to_a_failing_disk(tmp_path: Path, refuge: Path) -> None:
    """The same through keys: q, then again, another folder or print; or a sudden end."""
    rng = random.Random(14)
    lost, failed = 0, 0
    for round_ in range(FAILURES):
        folder, other = tmp_path / f"jobs{round_}", tmp_path / f"other{round_}"
        told = [f"{round_} number {at}" for at in range(3)]
        async with stage(folder, title="Wren") as s:
            await s.press("escape")
            disk = failing(folder, rng)
            s.app.jobs[0]._held.store.disk = disk  # type: ignore[union-attr]
            for text in told:
                await s.press("b")
                await s.type(text)
                await s.press("enter")
            way = rng.choice(["again", "folder", "print", "end"])
            if way == "end":
                s.app.end_at_once(143)
            else:
                await s.press("q")
                if type(s.app.screen).__name__ == "LeaveScreen":
                    await s.press({"again": "t", "folder": "f", "print": "p"}[way])
                    if way == "folder":
                        await s.type(str(other))
                        await s.press("enter")
                if type(s.app.screen).__name__ == "LeaveScreen":
                    await s.press("p")
            failed += disk.failed > 0
        found, written = everywhere(folder, other, refuge), "\n".join(s.app.written)
        lost += any(text not in found and text not in written for text in told)
    print(f"\nscreens: {failed} of {FAILURES} rounds met a failure; {lost} lost")
    assert lost == 0
    assert failed > FAILURES // 2


# ------------------------------------------------------------------ a disk that really is full


@pytest.fixture
def small_disk(tmp_path: Path) -> Iterator[Path]:
    """A file system of 256 kB. Only the administrator may mount one; the tests above fake it for everybody."""
    place = tmp_path / "small"
    place.mkdir()
    if os.geteuid() != 0:
        pytest.skip("only the administrator may mount a file system")
    done = subprocess.run(
        ["mount", "-t", "tmpfs", "-o", "size=256k", "tmpfs", str(place)], check=False, capture_output=True
    )
    if done.returncode:
        pytest.skip(f"this system mounts nothing here: {done.stderr.decode().strip()}")
    yield place
    subprocess.run(["umount", "-l", str(place)], check=True)


def fill(place: Path) -> Path:
    """Take every byte that is left; the file that holds them."""
    filler = place / "filler"
    with filler.open("ab", buffering=0) as file, contextlib.suppress(OSError):
        while file.write(b"\0" * 4096):
            pass
    return filler


def test_the_screens_on_a_full_file_system(small_disk: Path, tmp_path: Path) -> None:
    """A brim-full disk under the real program: leaving asks, freed space is used, the job opens again at once."""
    folder = small_disk / "jobs"
    terminal = Terminal(work(folder, "--new", "Wren"))
    try:
        to_the_job(terminal)
        filler = fill(small_disk)
        for at in range(3):
            note_of(terminal, f"number {at}", at + 1)
        terminal.until(lambda s: "NOT ON DISK" in s, "the trouble")
        terminal.send("q")
        terminal.until(lambda s: "3 answers would be lost" in s, "the question")
        terminal.send("\x11")  # Ctrl+Q leads nowhere else either
        filler.unlink()
        terminal.send("t")
        terminal.until(lambda s: "new job in the workshop" in s[-4000:], "the start")
        terminal.send("q")
        assert terminal.end() == 0
        assert terminal.restored()
    finally:
        terminal.close()
    assert notes(folder) == ["number 0", "number 1", "number 2"]
    CaseStore(folder).open(CaseStore(folder).ids()[0]).close()


def test_the_line_mode_on_a_full_file_system(small_disk: Path, tmp_path: Path) -> None:
    """The same, line by line, with another folder."""
    folder, other = small_disk / "jobs", tmp_path / "other"
    job = Job.start(CaseStore(folder, "Mira"), the_book(), "Wren", "Mira")
    filler = fill(small_disk)
    person = Person(["note number 0", "note number 1", "quit", f"folder {other}"], job).run()
    assert person.code == 0
    assert notes(other) == ["number 0", "number 1"]
    filler.unlink()
    CaseStore(folder).open(job.case.id).close()
