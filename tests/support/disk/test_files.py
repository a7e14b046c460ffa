from __future__ import annotations

import contextlib
import errno
import os
import random
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from diag.support.disk.files import read_text, sweep_leftovers, write_atomic
from diag.support.disk.holder import host_name
from diag.support.errors import ExitCode, SourceError, StorageError, UserError
from tests import ROOT
from tests.support.disk.faulty import CountingDisk, Died, DripDisk, DyingDisk, FailingDisk, FullDisk, PowerDisk

OLD, NEW = "old content\n", "new content\n" * 50
CODES = [errno.ENOSPC, errno.EIO, errno.EACCES, errno.EROFS, errno.EDQUOT, errno.ENOENT, errno.EMFILE]


def steps() -> int:
    """How many operations one save takes."""
    disk = PowerDisk()
    disk.put("/d/a", b"old")
    write_atomic("/d/a", NEW, disk=disk)
    return disk.count


def check_line(error: StorageError, old_stands: bool) -> None:
    assert error.exit_code == ExitCode.STORAGE
    assert "\n" not in error.one_line()
    assert ("is unchanged" in error.hint) == old_stands


def parts(folder: Path) -> list[str]:
    return [name for name in os.listdir(folder) if name.endswith(".part")]


@pytest.mark.parametrize("existing", [True, False])
@pytest.mark.parametrize("code", CODES)
def test_any_failing_operation_leaves_old_or_new(tmp_path: Path, code: int, existing: bool) -> None:
    """Each operation of a save in turn fails with each error: one StorageError, the old content or the new, no rest."""
    number = 0
    while True:
        number += 1
        target = tmp_path / f"case-{number}.yaml"
        if existing:
            target.write_text(OLD)
        disk = FailingDisk(number, code)
        try:
            write_atomic(target, NEW, disk=disk)
        except StorageError as error:
            replaced = disk.failed == "sync_folder"
            check_line(error, old_stands=not replaced)
            wanted = NEW if replaced else (OLD if existing else None)
        else:
            wanted = NEW
        assert (target.read_text() if target.exists() else None) == wanted, disk.failed
        assert not parts(tmp_path)
        if not disk.failed:
            break
    assert number >= 8


@pytest.mark.parametrize("code", [errno.EIO, errno.EROFS])
def test_a_disk_that_stays_dead_leaves_old_or_new(tmp_path: Path, code: int) -> None:
    """From some operation on everything fails, the clean-up too: still one StorageError and no half file."""
    for number in range(1, 12):
        target = tmp_path / f"case-{number}.yaml"
        target.write_text(OLD)
        disk = FailingDisk(number, code, ever=True)
        try:
            write_atomic(target, NEW, disk=disk)
        except StorageError:
            assert target.read_text() == (NEW if disk.failed == "sync_folder" else OLD)
        else:
            assert target.read_text() == NEW


def test_death_at_any_operation_leaves_old_or_new(tmp_path: Path) -> None:
    """The process dies before each operation in turn: old or new content; the rest is swept once it is dead."""
    seen = set()
    for number in range(1, 14):
        target = tmp_path / f"case-{number}.yaml"
        target.write_text(OLD)
        with contextlib.suppress(Died):
            write_atomic(target, NEW, disk=DyingDisk(number))
        seen.add(target.read_text())
        assert target.read_text() in (OLD, NEW)
    assert seen == {OLD, NEW}


def test_power_cut_at_any_operation_leaves_old_or_new() -> None:
    """In the pessimistic model of a power cut every possible state afterwards is the old or the new content.

    Source: Pillai et al., "All File Systems Are Not Created Equal", OSDI 2014 (data needs its own sync, a rename its
    folder's sync; unsynced operations persist in any selection).
    """
    outcomes = set()
    for cut in range(1, steps() + 2):
        disk = PowerDisk(cut_at=cut)
        disk.put("/d/a", b"old")
        try:
            write_atomic("/d/a", NEW, disk=disk)
        except Died:
            states = set(disk.after_a_cut("/d/a"))
            assert states <= {b"old", NEW.encode()}
        else:
            states = set(disk.after_a_cut("/d/a"))
            assert states == {NEW.encode()}  # once we said it is saved, it is
        outcomes |= states
    assert outcomes == {b"old", NEW.encode()}


def test_the_model_would_catch_a_missing_sync() -> None:
    """The same test fails for a writer that forgets to sync the data, so it does prove something."""

    class NoSync(PowerDisk):
        def sync(self, fd: int) -> None:
            self._step()

    disk = NoSync()
    disk.put("/d/a", b"old")
    write_atomic("/d/a", NEW, disk=disk)
    assert set(disk.after_a_cut("/d/a")) != {NEW.encode()}


def test_short_writes_are_finished(tmp_path: Path) -> None:
    """A disk that takes three bytes at a time still gets the whole text."""
    write_atomic(tmp_path / "a", NEW, disk=DripDisk())
    assert (tmp_path / "a").read_text() == NEW


@pytest.mark.parametrize("room", [0, 1, 100])
def test_a_full_disk_is_said_and_harms_nothing(tmp_path: Path, room: int) -> None:
    """No space left: the message says so and the old content stands."""
    target = tmp_path / "a.yaml"
    target.write_text(OLD)
    with pytest.raises(StorageError, match=r"a\.yaml: Cannot save: the disk is full\. Free some space"):
        write_atomic(target, NEW, disk=FullDisk(room))
    assert target.read_text() == OLD
    assert not parts(tmp_path)


def test_a_really_full_disk() -> None:
    """The system's own always-full device gives the same words."""
    if not os.path.exists("/dev/full"):
        pytest.skip("this system has no /dev/full")

    class ToFull(CountingDisk):
        def create(self, path: str) -> int:
            return os.open("/dev/full", os.O_WRONLY)

    disk = ToFull(watch=())
    with pytest.raises(StorageError, match="the disk is full"):
        write_atomic("/tmp/never-made/../a-case", "x", disk=disk)


def test_the_order_of_a_save() -> None:
    """Write, sync, close, rename, sync the folder: in this order."""
    disk = CountingDisk()
    order = [c for c in _save_calls(disk) if c in ("create", "write", "sync", "close", "replace", "sync_folder")]
    assert order == ["create", "write", "sync", "close", "replace", "sync_folder"]


def _save_calls(disk: CountingDisk) -> list[str]:
    import tempfile

    with tempfile.TemporaryDirectory() as folder:
        write_atomic(os.path.join(folder, "a"), "x", disk=disk)
    return disk.calls


def test_who_may_read_it_stays(tmp_path: Path) -> None:
    """An existing file keeps its permission bits; a new one follows the umask, so colleagues can read it."""
    target = tmp_path / "a.yaml"
    target.write_text(OLD)
    target.chmod(0o664)
    write_atomic(target, NEW)
    assert target.stat().st_mode & 0o777 == 0o664
    before = os.umask(0o022)
    try:
        write_atomic(tmp_path / "b.yaml", NEW)
    finally:
        os.umask(before)
    assert (tmp_path / "b.yaml").stat().st_mode & 0o777 == 0o644


def test_a_link_is_written_through(tmp_path: Path) -> None:
    """A link to a case stays a link and the file behind it is replaced."""
    (tmp_path / "real").mkdir()
    real = tmp_path / "real" / "a.yaml"
    real.write_text(OLD)
    link = tmp_path / "a.yaml"
    link.symlink_to(real)
    write_atomic(link, NEW)
    assert link.is_symlink()
    assert real.read_text() == NEW


def test_odd_names_and_texts(tmp_path: Path) -> None:
    """Long names, spaces, dots and accents work; what UTF-8 cannot hold is replaced and not a crash."""
    for name in ("a b.yaml", "Wren é.yaml", ".hidden", "x" * 240):
        write_atomic(tmp_path / name, "\ud800 é")
        assert read_text(tmp_path / name) == "? é"
    with pytest.raises(UserError, match="not the name of a file"):
        write_atomic("a\0b", "x")
    with pytest.raises(StorageError, match="name is too long"):
        write_atomic(tmp_path / ("x" * 300), "x")


def test_what_cannot_be_read_is_one_clear_line(tmp_path: Path) -> None:
    """Missing file, folder, device, pipe, too long, not text: each has its own words."""
    with pytest.raises(StorageError, match="there is no such file or folder"):
        read_text(tmp_path / "none")
    with pytest.raises(StorageError, match="this is a folder"):
        read_text(tmp_path)
    with pytest.raises(StorageError, match="not an ordinary file"):
        read_text("/dev/zero")
    os.mkfifo(tmp_path / "pipe")
    with pytest.raises(StorageError, match="not an ordinary file"):
        read_text(tmp_path / "pipe")
    (tmp_path / "long").write_text("x" * 101)
    with pytest.raises(StorageError, match="longer than 100 bytes"):
        read_text(tmp_path / "long", limit=100)
    assert read_text(tmp_path / "long", limit=101) == "x" * 101
    (tmp_path / "picture").write_bytes(b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR")
    with pytest.raises(SourceError, match="picture: This is not a text file"):
        read_text(tmp_path / "picture")
    (tmp_path / "loop").symlink_to(tmp_path / "loop")
    with pytest.raises(StorageError, match="round in a circle"):
        read_text(tmp_path / "loop")


@pytest.mark.parametrize("code", CODES)
def test_a_failing_read_is_one_clear_line(tmp_path: Path, code: int) -> None:
    """Any error while reading becomes a StorageError that names the file."""
    with pytest.raises(StorageError, match=r"a\.yaml: Cannot read"):
        read_text(tmp_path / "a.yaml", disk=FailingDisk(1, code))


def test_only_rests_of_our_dead_processes_are_swept(tmp_path: Path) -> None:
    """Half-written files of living processes, of other computers and of other programs stay."""
    dead = subprocess.run(
        [sys.executable, "-c", "import os; print(os.getpid())"], capture_output=True, text=True, check=True
    )
    names = {
        f".a.yaml.{host_name()}-{dead.stdout.strip()}-0badcafe.part": True,
        f".a.yaml.{host_name()}-{os.getpid()}-0badcafe.part": False,
        f".a.yaml.elsewhere-{dead.stdout.strip()}-0badcafe.part": False,
        ".other.part": False,
        "a.part": False,
        "a.yaml": False,
    }
    for name in names:
        (tmp_path / name).write_text("x")
    assert sweep_leftovers(tmp_path) == [name for name, gone in names.items() if gone]
    assert sorted(os.listdir(tmp_path)) == sorted(name for name, gone in names.items() if not gone)
    assert sweep_leftovers(tmp_path / "none") == []


WRITER = """
import sys
from diag.support.disk.files import write_atomic
text = {"A": "A" * 200_000, "B": "B" * 200_000}
print("ready", flush=True)
while True:
    for letter in "AB":
        write_atomic(sys.argv[1], text[letter])
"""


def test_kill_never_tears_a_file(tmp_path: Path) -> None:
    """SIGKILL at random moments of a busy writer: always one whole text, and the rest can be swept."""
    target = tmp_path / "a.yaml"
    pause = random.Random(7)
    for _ in range(8):
        writer = subprocess.Popen([sys.executable, "-c", WRITER, str(target)], stdout=subprocess.PIPE, cwd=ROOT)
        assert writer.stdout is not None
        writer.stdout.readline()
        time.sleep(0.01 + pause.random() * 0.05)
        writer.send_signal(signal.SIGKILL)
        writer.wait()
        writer.stdout.close()
        if target.exists():
            text = target.read_text()
            assert len(text) == 200_000
            assert len(set(text)) == 1
    sweep_leftovers(tmp_path)
    assert not parts(tmp_path)
    assert target.exists()
