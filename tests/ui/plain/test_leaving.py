"""No way out of the line mode with answers that are not on disk, except by choice of a person who was shown them."""

from __future__ import annotations

import errno
import os
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

from diag.casework import entries as e
from diag.casework.store import CaseStore
from diag.session.job import Job
from diag.support.disk.operations import Disk
from diag.support.errors import ExitCode
from diag.ui.plain.conversation import Conversation
from tests.ui.plain.person import Person, the_book


class FillableDisk(Disk):
    """A disk that can be full in one folder, and be freed again."""

    def __init__(self, folder: Path) -> None:
        self.folder = os.fspath(folder)
        self.full = False

    def create(self, path: str) -> int:
        if self.full and path.startswith(self.folder):
            raise OSError(errno.ENOSPC, "No space left on device")
        return super().create(path)


class Room:
    """A job on a disk that fills up, and somebody who talks to it."""

    def __init__(self, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
        self.folder = tmp_path / "jobs"
        self.disk = FillableDisk(self.folder)
        self.store = CaseStore(self.folder, "Mira", self.disk)
        self.job = Job.start(self.store, the_book(), "Wren", "Mira")
        self.case_id = self.job.case.id
        self.other = tmp_path / "other"
        self.refuge = tmp_path / "refuge"
        monkeypatch.setattr("diag.ui.refuge.places", lambda: iter([self.refuge]))

    def set_full(self, full: bool) -> Callable[[Conversation], None]:
        """A line of the script that is no line: the disk changes."""

        def change(_: Conversation) -> None:
            self.disk.full = full

        return change

    def person(self, *lines: str | Callable[[Conversation], None]) -> Person:
        """Talk."""
        return Person(lines, self.job).run()

    def notes(self, folder: Path) -> list[str]:
        """Notes in the only job of a folder."""
        (name,) = CaseStore(folder).ids()
        return [x.text for x in CaseStore(folder).read(name).whole().entries if isinstance(x, e.Note)]


@pytest.fixture
def room(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Room:
    return Room(tmp_path, monkeypatch)


def test_quitting_with_a_full_disk_shows_the_answers_and_asks(room: Room) -> None:
    """quit does not end: the answers are shown; after space was freed `again` saves them, and only then it ends."""
    said = room.person(room.set_full(True), "note pump hums", "quit", room.set_full(False), "again")
    assert "NOT ON DISK YET: 1 answer" in said.said
    assert "Not left yet: 1 answer would be lost" in said.said
    assert "pump hums" in said.said.split("Not left yet")[1]
    assert said.code == ExitCode.DONE
    assert room.notes(room.folder) == ["pump hums"]
    assert "Every answer given so far is on disk." in said.said


def test_another_folder_takes_the_whole_job(room: Room) -> None:
    """A folder that was named gets the job with everything; the first one is free again at once."""
    said = room.person("note before", room.set_full(True), "note after", "quit", f"folder {room.other}")
    assert said.code == ExitCode.DONE
    assert room.notes(room.other) == ["before", "after"]
    assert room.notes(room.folder) == ["before"]
    CaseStore(room.folder).open(room.case_id).close()


def test_answers_taken_in_writing_let_the_job_go_and_the_code_says_so(room: Room) -> None:
    """`print` writes every answer that no disk holds; the exit code is still that of a disk that failed."""
    said = room.person(room.set_full(True), "note pump hums", "note gauge borrowed", "quit", "print")
    written = said.said.split("Write this down:")[1]
    assert "pump hums" in written
    assert "gauge borrowed" in written
    assert said.code == ExitCode.STORAGE
    assert "Every answer given so far is on disk" not in said.said
    assert room.notes(room.folder) == []
    CaseStore(room.folder).open(room.case_id).close()


def test_whoever_stays_goes_on_with_the_job(room: Room) -> None:
    """`stay` leads back to the job; new answers after a print-out count as not given out."""
    said = room.person(
        room.set_full(True), "note one", "quit", "stay", "note two", "quit", "nonsense", room.set_full(False), "again"
    )
    assert said.code == ExitCode.DONE
    assert room.notes(room.folder) == ["one", "two"]
    assert said.said.count("Not left yet") == 3


def test_the_end_of_the_input_loses_nothing(room: Room) -> None:
    """Nobody can be asked any more: the whole job goes into a folder of refuge, which is named; the code says it."""
    said = room.person(room.set_full(True), "note one")
    assert said.code == ExitCode.STORAGE
    assert room.notes(room.refuge) == ["one"]
    assert str(room.refuge) in said.said


def test_where_no_folder_takes_it_the_answers_are_written(room: Room) -> None:
    """Not even a refuge: every answer stands in the last lines."""
    room.refuge.write_text("in the way")
    said = room.person(room.set_full(True), "note pump hums")
    assert said.code == ExitCode.STORAGE
    assert "1 answer not on disk" in said.said
    assert said.said.rstrip().endswith("pump hums")


@pytest.mark.parametrize("what", ["folder gone", "link", "pipe", "directory"])
def test_whatever_stands_in_the_file_s_place_is_noticed(room: Room, what: str) -> None:
    """Without a new answer, too: a file that is not there any more is no file that holds the answers."""

    def replace(_: Conversation) -> None:
        path = room.folder / f"{room.case_id}.yaml"
        if what == "folder gone":
            shutil.rmtree(room.folder)
            room.folder.write_text("in the way")
            return
        path.unlink()
        if what == "link":
            path.symlink_to(room.other)
        elif what == "pipe":
            os.mkfifo(path)
        else:
            path.mkdir()

    said = room.person("note one", replace, "quit", f"folder {room.other}")
    assert "Not left yet: 1 answer would be lost" in said.said
    assert said.code == ExitCode.DONE
    assert room.notes(room.other) == ["one"]


def test_an_interrupt_tells_the_truth(room: Room) -> None:
    """Ctrl+C with an answer that is not on disk: the note on the exception names the refuge and claims nothing else."""

    def interrupt(_: Conversation) -> None:
        raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt) as ended:
        room.person(room.set_full(True), "note one", interrupt)
    told = " ".join(ended.value.__notes__)
    assert str(room.refuge) in told
    assert "Every answer given so far is on disk" not in told
    assert room.notes(room.refuge) == ["one"]


def test_an_interrupt_with_everything_saved_says_so(room: Room) -> None:
    """The same sentence, where it is true."""

    def interrupt(_: Conversation) -> None:
        raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt) as ended:
        room.person("note one", interrupt)
    assert ended.value.__notes__ == ["Every answer given so far is on disk."]
