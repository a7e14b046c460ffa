from __future__ import annotations

import errno
import os
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from diag.support.disk.files import Lock
from diag.support.disk.holder import Holder, boot_id, from_line, host_name, me, process_lives, process_start
from diag.support.disk.operations import Disk
from diag.support.errors import ExitCode, HeldElsewhereError, StorageError
from tests import ROOT
from tests.support.disk.faulty import FailingDisk

HOLDER = """
import sys
from diag.support.disk.operations import Disk
from diag.support.disk.files import Lock
class NoLocks(Disk):
    def try_lock(self, fd):
        return None
lock = Lock(sys.argv[1], who="Mira", disk=NoLocks() if sys.argv[2] == "exclusive" else Disk())
lock.acquire()
print("held", flush=True)
sys.stdin.readline()
lock.release()
"""


class NoLocks(Disk):
    """A file system without locks: the exclusive file takes their place."""

    def try_lock(self, fd: int) -> bool | None:
        return None


def disk_for(way: str) -> Disk:
    return NoLocks() if way == "exclusive" else Disk()


@contextmanager
def other_process(path: Path, way: str) -> Iterator[subprocess.Popen[bytes]]:
    process = subprocess.Popen(
        [sys.executable, "-c", HOLDER, str(path), way],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        cwd=ROOT,
    )
    assert process.stdout is not None
    assert process.stdin is not None
    process.stdout.readline()
    try:
        yield process
    finally:
        process.stdin.close()
        process.wait()
        process.stdout.close()


ways = pytest.mark.parametrize("way", ["flock", "exclusive"])


@ways
def test_a_second_writer_is_told_who_holds_it(tmp_path: Path, way: str) -> None:
    """While another process holds the lock, we get its name, computer, process and the time it began."""
    path = tmp_path / "a.yaml"
    with other_process(path, way) as process:
        with pytest.raises(HeldElsewhereError) as caught:
            Lock(path, disk=disk_for(way)).acquire()
        line = caught.value.one_line()
        assert f"Mira (computer {host_name()}, process {process.pid}, since 20" in line
        assert caught.value.exit_code == ExitCode.STORAGE
        assert process.stdin is not None
        process.stdin.write(b"\n")
        process.stdin.flush()
        process.wait()
        with Lock(path, disk=disk_for(way)) as lock:
            assert lock.took_over is None


@ways
def test_a_killed_holder_is_taken_over(tmp_path: Path, way: str) -> None:
    """A holder that was killed is proven dead; the next one gets the lock and learns whose it was."""
    path = tmp_path / "a.yaml"
    with other_process(path, way) as process:
        process.kill()
        process.wait()
        with Lock(path, disk=disk_for(way)) as lock:
            assert lock.held
            assert lock.took_over is not None
            assert (lock.took_over.who, lock.took_over.pid) == ("Mira", process.pid)


@ways
def test_one_process_cannot_take_it_twice(tmp_path: Path, way: str) -> None:
    """A second lock in the same program is refused too; after release it works, and releasing twice is harmless."""
    path = tmp_path / "a.yaml"
    first = Lock(path, disk=disk_for(way))
    first.acquire()
    first.acquire()
    with pytest.raises(HeldElsewhereError):
        Lock(path, disk=disk_for(way)).acquire()
    first.release()
    first.release()
    assert not first.held
    with Lock(path, disk=disk_for(way)) as second:
        assert second.held


@ways
def test_waiting_gets_it_when_it_comes_free(tmp_path: Path, way: str) -> None:
    """With a waiting time the lock is taken as soon as the other one lets go."""
    path = tmp_path / "a.yaml"
    first = Lock(path, disk=disk_for(way))
    first.acquire()
    timer = threading.Timer(0.15, first.release)
    timer.start()
    start = time.monotonic()
    with Lock(path, wait=5.0, disk=disk_for(way)):
        assert 0.05 < time.monotonic() - start < 4
    timer.join()


@ways
def test_a_name_on_another_computer_is_believed_unless_forced(tmp_path: Path, way: str) -> None:
    """A holder on another computer cannot be proven dead: refused, and taken only by force."""
    path = tmp_path / "a.yaml"
    far = Holder("barn-laptop", 4711, "123", "boot", "2026-11-25T09:00:00Z", "Tom").as_line()
    (tmp_path / "a.yaml.lock").write_text(far)
    (tmp_path / "a.yaml.lock-held").write_text(far)
    with pytest.raises(HeldElsewhereError, match=r"Tom \(computer barn-laptop.*by force"):
        Lock(path, disk=disk_for(way)).acquire()
    with Lock(path, force=True, disk=disk_for(way)) as lock:
        assert lock.took_over is not None
        assert lock.took_over.host == "barn-laptop"


def test_only_one_of_many_takes_a_dead_lock_over(tmp_path: Path) -> None:
    """Sixteen at once find a dead holder's file: exactly one gets the lock, every time."""
    path = tmp_path / "a.yaml"
    dead = subprocess.run(
        [sys.executable, "-c", "import os; print(os.getpid())"], capture_output=True, text=True, check=True
    )
    line = Holder(host_name(), int(dead.stdout), "1", boot_id(), "2026-11-25T09:00:00Z").as_line()
    for _ in range(10):
        (tmp_path / "a.yaml.lock-held").write_text(line)
        winners: list[Lock] = []
        gate = threading.Barrier(16)

        def run(gate: threading.Barrier = gate, winners: list[Lock] = winners) -> None:
            lock = Lock(path, disk=NoLocks())
            gate.wait()
            try:
                lock.acquire()
            except HeldElsewhereError:
                return
            winners.append(lock)

        threads = [threading.Thread(target=run) for _ in range(16)]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()
        assert len(winners) == 1
        assert winners[0].took_over is not None
        winners[0].release()
        assert list(tmp_path.glob("*-held*")) == []


def test_proof_of_death() -> None:
    """Dead: no such process, another start time, or another boot; alive or unknown: everything else."""
    mine = me("2026-11-25T09:00:00Z")
    assert not mine.dead()
    dead = subprocess.run(
        [sys.executable, "-c", "import os; print(os.getpid())"], capture_output=True, text=True, check=True
    )
    assert Holder(host_name(), int(dead.stdout), "", "", "").dead()
    assert not Holder("elsewhere", int(dead.stdout), "", "", "").dead()
    if process_start(os.getpid()):
        assert Holder(host_name(), os.getpid(), "1", boot_id(), "").dead()  # the number was used again
    if boot_id():
        assert Holder(host_name(), os.getpid(), mine.start, "another-boot", "").dead()
    assert process_lives(os.getpid()) is True
    assert process_lives(0) is None
    assert process_lives(1) is True


def test_a_holder_line_survives_and_rubbish_is_nobody() -> None:
    """What is written is read back; an empty or damaged line names nobody and is no crash."""
    holder = Holder("shed", 12, "99", "b", "2026-11-25T09:00:00Z", "Ann of\tthe club\x1b[31m")
    read = from_line(holder.as_line())
    assert read is not None
    assert (read.host, read.pid, read.since) == ("shed", 12, "2026-11-25T09:00:00Z")
    assert "\x1b" not in read.words()
    for text in ("", "\n", "a\tb", "h\tx\t\t\t\t", "h\t" + "9" * 30 + "\t\t\t\t", "\0\xff"):
        assert from_line(text) is None


def test_a_damaged_lock_file_does_not_lock_anybody_out(tmp_path: Path) -> None:
    """Rubbish in the lock file of a free lock is written over."""
    (tmp_path / "a.yaml.lock").write_bytes(b"\xff\xfe rubbish")
    with Lock(tmp_path / "a.yaml") as lock:
        assert lock.held
        assert from_line((tmp_path / "a.yaml.lock").read_text()) is not None
    assert (tmp_path / "a.yaml.lock").read_text() == ""


@pytest.mark.parametrize("code", [errno.EACCES, errno.EROFS, errno.EIO, errno.ENOSPC])
def test_any_failing_operation_of_a_lock_is_said(tmp_path: Path, code: int) -> None:
    """Each operation in turn fails: a StorageError or the lock; never another error, and never a lock left behind."""
    lines: list[str] = []
    for number in range(1, 8):
        path = tmp_path / f"{code}-{number}.yaml"
        lock = Lock(path, disk=FailingDisk(number, code))
        try:
            lock.acquire()
        except StorageError as error:
            lines.append(error.one_line())
            assert not lock.held
        lock.release()
        with Lock(path) as again:
            assert again.held
    assert lines
    assert not any("\n" in line for line in lines)


def test_a_folder_that_is_gone_is_said(tmp_path: Path) -> None:
    """A lock in a folder that does not exist says that the case can still be looked at."""
    with pytest.raises(StorageError, match=r"Cannot lock: there is no such file or folder.*without changing"):
        Lock(tmp_path / "none" / "a.yaml").acquire()
