"""The folder of cases: durability, failures, two writers, names and links."""

from __future__ import annotations

import errno
import os
import random
import signal
import stat
import subprocess
import time
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diag.casework.casefile import write_case
from diag.casework.entries import Case, Note
from diag.casework.ids import is_case_id, new_case_id
from diag.casework.open_case import OpenCase
from diag.casework.store import CaseStore, default_folder
from diag.support.disk.holder import host_name
from diag.support.disk.operations import Disk
from diag.support.errors import CaseFileError, HeldElsewhereError, StorageError, UserError
from tests.casework.cases import T, small_case

pytestmark = pytest.mark.slow  # several seconds: whole jobs, screens or processes

KILLS = int(os.environ.get("DIAG_KILLS", "200"))  # moments at which the writer is killed


def empty_case(case_id: str = "2026-11-25-wren-1a2b") -> Case:
    """A job without entries."""
    return replace(small_case(case_id), entries=())


def noted(case: Case, text: str = "said") -> Case:
    """The case with one more note."""
    number = len(case.entries) + 1
    return replace(case, entries=(*case.entries, Note(number, T, "Mira", f"{text} {number}")))


def test_default_folder_follows_the_open_standard() -> None:
    """XDG Base Directory Specification 0.8: $XDG_DATA_HOME, else ~/.local/share; relative paths are ignored."""
    home = Path("/home/mira")
    assert default_folder({}, home) == Path("/home/mira/.local/share/diag/cases")
    assert default_folder({"XDG_DATA_HOME": "/data"}, home) == Path("/data/diag/cases")
    assert default_folder({"XDG_DATA_HOME": "data"}, home) == Path("/home/mira/.local/share/diag/cases")


def test_a_case_is_kept_and_opened_again(tmp_path: Path) -> None:
    """Create, answer, close, open: everything is there, and lists show it."""
    store = CaseStore(tmp_path / "cases", "Mira")
    with store.create(empty_case()) as held:
        held.save(noted(held.case))
    assert store.ids() == ["2026-11-25-wren-1a2b"]
    with store.open("2026-11-25-wren-1a2b") as held:
        assert held.case == noted(empty_case())
    assert store.find("wren") == "2026-11-25-wren-1a2b"
    with pytest.raises(UserError, match="There is no case 'plover'"):
        store.find("plover")
    with pytest.raises(UserError, match="already"):
        store.create(empty_case())


@pytest.mark.parametrize(
    "name",
    ["../wren", "/etc/passwd", "a/b", "a\\b", "", ".", "..", ".hidden", "con", "lpt1", "a" * 65, "Wren", "a b", "a\n",
     "a\x00", "wren.yaml", "-wren", "wren-", "é"],
)  # fmt: skip
def test_a_name_never_leads_out_of_the_folder(tmp_path: Path, name: str) -> None:
    """Path names, device names and hidden names are refused before the disk is touched."""
    store = CaseStore(tmp_path)
    for use in (store.path, store.read, store.open):
        with pytest.raises(UserError, match="cannot be a case's name"):
            use(name)
    assert list(tmp_path.iterdir()) == []


@given(st.text(max_size=80), st.text(max_size=200))
def test_new_names_are_always_fit(opened: str, title: str) -> None:
    """Whatever the title, the name made from it is a safe file name."""
    assert is_case_id(new_case_id(opened, title, "3f7a"))


def test_links_are_left_alone(tmp_path: Path) -> None:
    """A case file or holder file that is a link is neither read, nor listed, nor written through."""
    secret = tmp_path / "secret.yaml"
    secret.write_text(write_case(empty_case()), encoding="utf-8")
    folder = tmp_path / "cases"
    folder.mkdir()
    (folder / "linked.yaml").symlink_to(secret)
    store = CaseStore(folder)
    assert store.ids() == []
    for use in (store.read, store.open, lambda name: store.create(empty_case(name))):
        with pytest.raises(UserError, match="link"):
            use("linked")
    with store.create(empty_case("wren")) as held:
        (folder / ".open" / "wren").unlink()
        (folder / ".open" / "wren").symlink_to(secret)
        with pytest.raises(UserError, match="link"):
            held.save(noted(held.case))
    assert secret.read_text(encoding="utf-8") == write_case(empty_case())


def test_a_new_folder_is_private(tmp_path: Path) -> None:
    """Customers' jobs are nobody else's business unless the folder was shared on purpose."""
    store = CaseStore(tmp_path / "deep" / "cases")
    store.create(empty_case()).close()
    assert stat.S_IMODE((tmp_path / "deep" / "cases").stat().st_mode) == 0o700


# --- killed at any moment ------------------------------------------------------------------------------------------


def _write_for_ever(folder: Path, pipe: int) -> None:
    """The child: open the case like any program and save answer after answer, telling each that is on disk."""
    try:
        held = CaseStore(folder, "Mira").open("2026-11-25-wren-1a2b")
        case = held.case
        while True:
            case = noted(case)
            held.save(case)
            time.sleep(0.001)  # so that some kills fall between the save and its acknowledgement on any machine
            os.write(pipe, len(case.entries).to_bytes(4, "big"))
    finally:
        os._exit(7)


def test_a_killed_writer_loses_no_saved_answer(tmp_path: Path) -> None:
    """SIGKILL at hundreds of random moments: the file is always whole and holds every answer that was told saved."""
    rng = random.Random(20261125)
    store = CaseStore(tmp_path, "Mira")
    store.create(empty_case()).close()
    saved_before, died_inside, kills = 0, 0, 0
    began, longest = time.monotonic(), 0.02
    while kills < KILLS:
        if kills >= 100 and died_inside and KILLS <= 200 and time.monotonic() - began > 15:
            break  # a slow machine; more kills only on request
        if saved_before > 60:  # keep the file short, so that more moments fit
            (tmp_path / "2026-11-25-wren-1a2b.yaml").write_text(write_case(empty_case()), encoding="utf-8")
            saved_before = 0
        reading, writing = os.pipe()
        child = os.fork()
        if child == 0:
            os.close(reading)
            _write_for_ever(tmp_path, writing)
        os.close(writing)
        time.sleep(rng.uniform(0.0, longest))
        os.kill(child, signal.SIGKILL)
        _, how = os.waitpid(child, 0)
        assert os.WIFSIGNALED(how), "the writer ended by itself"
        told = b""
        while part := os.read(reading, 65536):
            told += part
        os.close(reading)
        acknowledged = int.from_bytes(told[-4:], "big") if told else saved_before
        # A busy machine may not even start the writer within its time: give it more until it gets something done.
        longest = max(0.9 * longest, 0.02) if told else min(1.3 * longest, 1.0)
        result = store.read("2026-11-25-wren-1a2b")
        assert result.problems == ()
        case = result.whole()
        assert [entry.number for entry in case.entries] == list(range(1, len(case.entries) + 1))
        assert acknowledged <= len(case.entries) <= acknowledged + 1
        died_inside += len(case.entries) == acknowledged + 1
        saved_before = len(case.entries)
        kills += 1
    assert kills >= min(KILLS, 100)
    assert died_inside > 0, "no kill fell between the save and its acknowledgement"
    with store.open("2026-11-25-wren-1a2b") as held:  # no take-over needed, and nothing is left lying about
        assert len(held.case.entries) == saved_before
    names = sorted(item.name for item in tmp_path.iterdir())
    assert names == [".open", "2026-11-25-wren-1a2b.yaml"]


# --- a disk that fails ---------------------------------------------------------------------------------------------


class FailingDisk(Disk):
    """The real disk until the operation with the given count, which fails once or for good."""

    def __init__(self, at: int, code: int, stays_broken: bool) -> None:
        self.at = at
        self.code = code
        self.stays_broken = stays_broken
        self.count = -1
        self.failed = ""

    def _step(self, name: str) -> None:
        self.count += 1
        if self.count == self.at or (self.stays_broken and self.count > self.at):
            self.failed = self.failed or name
            raise OSError(self.code, os.strerror(self.code))

    def create(self, path: str) -> int:
        self._step("create")
        return super().create(path)

    def write(self, fd: int, data: bytes) -> int:
        self._step("write")
        return super().write(fd, data[: max(len(data) // 2, 1)])  # short writes as well

    def sync(self, fd: int) -> None:
        self._step("sync")
        super().sync(fd)

    def close(self, fd: int) -> None:
        super().close(fd)  # the system lets go of the file even when it reports a failure; close(2)
        self._step("close")

    def replace(self, source: str, target: str) -> None:
        self._step("replace")
        super().replace(source, target)

    def sync_folder(self, folder: str) -> None:
        self._step("sync_folder")
        super().sync_folder(folder)


@pytest.mark.parametrize("code", [errno.ENOSPC, errno.EIO, errno.EACCES, errno.EROFS, errno.ESTALE])
@pytest.mark.parametrize("stays_broken", [False, True])
def test_a_failing_disk_never_spoils_what_was_saved(tmp_path: Path, code: int, stays_broken: bool) -> None:
    """Each single disk operation of a save fails once, or from then on: old or new file, a plain message, no loss."""
    seen = set()
    for at in range(200):
        folder = tmp_path / str(at)
        store = CaseStore(folder, "Mira")
        held = store.create(empty_case())
        disk = FailingDisk(at, code, stays_broken)
        store.disk = store.claims.disk = disk
        first, second = noted(held.case), noted(noted(held.case))
        message = "Saved."
        try:
            held.save(first)
        except StorageError as error:
            message = error.what
            seen.add(disk.failed)
        assert message.endswith(".")
        assert "\n" not in message
        store.disk = store.claims.disk = Disk()
        now = store.read(held.case.id).whole()
        assert now in (empty_case(), first)
        held.save(second)  # the disk is well again: the answer in memory is not lost
        assert store.read(held.case.id).whole() == second
        assert store.ids() == [held.case.id]
        held.close()
        if not disk.failed:
            break
    assert seen >= {"create", "write", "sync", "replace", "sync_folder"}


@pytest.mark.skipif(os.geteuid() == 0, reason="root may write everywhere")
def test_a_folder_that_can_only_be_read_is_said_plainly(tmp_path: Path) -> None:
    """Without the right to write, opening says so, and reading still works."""
    CaseStore(tmp_path).create(empty_case()).close()
    tmp_path.chmod(0o500)
    try:
        assert CaseStore(tmp_path).read("2026-11-25-wren-1a2b").case == empty_case()
        with pytest.raises(StorageError, match="not allowed"):
            CaseStore(tmp_path).create(empty_case("other"))
    finally:
        tmp_path.chmod(0o700)


def test_a_vanished_folder_keeps_the_answer_in_memory(tmp_path: Path) -> None:
    """The network folder goes away and comes back: the next save holds everything."""
    folder, away = tmp_path / "cases", tmp_path / "away"
    held = CaseStore(folder, "Mira").create(empty_case())
    folder.rename(away)
    case = noted(held.case)
    with pytest.raises(StorageError, match="no such file or folder"):
        held.save(case)
    away.rename(folder)
    held.save(noted(case))
    assert CaseStore(folder).read(case.id).whole() == noted(case)


def test_a_job_too_long_for_one_file_is_refused_before_it_is_written(tmp_path: Path) -> None:
    """A file that the reader would refuse for its size is never written."""
    held = CaseStore(tmp_path).create(empty_case())
    huge = held.case
    for number in range(1, 61):
        huge = replace(huge, entries=(*huge.entries, Note(number, T, "Mira", "x" * 19_000)))
    many = replace(held.case, entries=tuple(Note(number, T, "Mira", "") for number in range(1, 5002)))
    for case in (huge, many):
        with pytest.raises(StorageError, match="too long"):
            held.save(case)
    assert CaseStore(tmp_path).read(huge.id).case == empty_case()


# --- two programs --------------------------------------------------------------------------------------------------


def test_the_second_program_is_told_who_has_the_case(tmp_path: Path) -> None:
    """It can read it, or take it over; the first is told at its next save and its answer goes into a copy."""
    first = CaseStore(tmp_path, "Mira").create(empty_case())
    other = CaseStore(tmp_path, "Oskar")
    with pytest.raises(HeldElsewhereError, match=r"open elsewhere by Mira \(computer .*, process \d+, since 2\d\d\d-"):
        other.open(first.case.id)
    assert other.read(first.case.id).case == empty_case()
    second = other.open(first.case.id, take_over=True)
    second.save(noted(second.case, "Oskar said"))
    with pytest.raises(HeldElsewhereError, match="taken over by Oskar") as caught:
        first.save(noted(first.case, "Mira said"))
    assert first.copy_id in caught.value.one_line()
    with pytest.raises(HeldElsewhereError):
        first.save(noted(first.case, "Mira said"))
    first.close()
    assert other.read(second.case.id).whole() == noted(empty_case(), "Oskar said")
    copy = other.read(first.copy_id).whole()
    assert [entry.text for entry in copy.entries if isinstance(entry, Note)] == ["Mira said 1", "Mira said 2"]
    with pytest.raises(HeldElsewhereError, match="Oskar"):  # the first one's leaving did not free Oskar's hold
        CaseStore(tmp_path, "Mira").open(second.case.id)
    second.close()
    CaseStore(tmp_path, "Mira").open(second.case.id).close()


def test_a_file_edited_meanwhile_is_not_written_over(tmp_path: Path) -> None:
    """Somebody's editor saved the file during the session: both versions are kept."""
    store = CaseStore(tmp_path, "Mira")
    held = store.create(empty_case())
    path = store.path(held.case.id)
    path.write_text(write_case(noted(empty_case(), "by hand")), encoding="utf-8")
    with pytest.raises(HeldElsewhereError, match="changed by another program"):
        held.save(noted(held.case, "in the program"))
    assert store.read(held.case.id).whole() == noted(empty_case(), "by hand")
    assert store.read(held.copy_id).whole().entries == noted(empty_case(), "in the program").entries


def _contend(folder: Path, who: str, pipe: int, rng: random.Random) -> None:
    """The child: take the case over again and again and save into it, telling what was accepted."""
    try:
        store = CaseStore(folder, who)
        for turn in range(12):
            held: OpenCase = store.open("2026-11-25-wren-1a2b", take_over=True)
            for step in range(rng.randint(1, 3)):
                text = f"{who}/{turn}/{step}"
                number = len(held.case.entries) + 1
                try:
                    held.save(replace(held.case, entries=(*held.case.entries, Note(number, T, who, text))))
                except HeldElsewhereError:
                    break
                os.write(pipe, (text + "\n").encode())
        os._exit(0)
    except BaseException:
        os._exit(1)


def test_two_programs_that_fight_over_a_case_lose_no_accepted_answer(tmp_path: Path) -> None:
    """Three processes take the case from each other: whatever was accepted is in the file or in a copy of it."""
    CaseStore(tmp_path).create(empty_case()).close()
    reading, writing = os.pipe()
    children = []
    for seed, who in enumerate(("Mira", "Oskar", "Tilda")):
        child = os.fork()
        if child == 0:
            os.close(reading)
            _contend(tmp_path, who, writing, random.Random(seed))
        children.append(child)
    os.close(writing)
    told = b""
    while part := os.read(reading, 65536):
        told += part
    os.close(reading)
    for child in children:
        assert os.waitpid(child, 0)[1] == 0
    main = CaseStore(tmp_path).read("2026-11-25-wren-1a2b").whole()
    kept = [entry.text for entry in main.entries if isinstance(entry, Note)]
    accepted = told.decode().split()
    assert len(accepted) > 20
    assert set(accepted) <= set(kept)
    assert len(kept) == len(set(kept))
    assert [entry.number for entry in main.entries] == list(range(1, len(main.entries) + 1))


# --- damaged files -------------------------------------------------------------------------------------------------


def test_a_damaged_file_is_kept_as_found_when_its_readable_part_is_taken(tmp_path: Path) -> None:
    """Opening says what is wrong; going on with the readable part keeps the damaged original beside it."""
    store = CaseStore(tmp_path, "Mira")
    store.create(small_case()).close()
    path = store.path(small_case().id)
    broken = path.read_text(encoding="utf-8")[:900]
    path.write_text(broken, encoding="utf-8")
    with pytest.raises(CaseFileError, match=r"2026-11-25-wren-1a2b\.yaml:\d+:\d+"):
        store.open(small_case().id)
    with store.open(small_case().id, accept_readable_part=True) as held:
        assert held.case.entries
        assert held.case.entries == small_case().entries[: len(held.case.entries)]
    assert (tmp_path / f"{path.name}.found-1").read_text(encoding="utf-8") == broken
    assert store.read(small_case().id).problems == ()


def test_a_file_of_a_newer_format_is_never_written_over(tmp_path: Path) -> None:
    """Not even when the readable part is asked for."""
    store = CaseStore(tmp_path, "Mira")
    store.create(small_case()).close()
    path = store.path(small_case().id)
    newer = path.read_text(encoding="utf-8").replace("format: 1\n", "format: 2\n")
    path.write_text(newer, encoding="utf-8")
    with pytest.raises(CaseFileError, match="newer program"):
        store.open(small_case().id, accept_readable_part=True)
    assert path.read_text(encoding="utf-8") == newer
    assert store.claims.holder(small_case().id) is None


def _comment_inside(text: str) -> str:
    return text.replace("title:", "# keep this remark\ntitle:", 1)


@pytest.mark.parametrize("change", [lambda c: replace(c, title="Wren"), lambda c: noted(c)])
def test_remarks_made_by_hand_are_never_lost(tmp_path: Path, change: Callable[[Case], Case]) -> None:
    """They stay in the file, or the file is kept as it was found."""
    store = CaseStore(tmp_path, "Mira")
    store.create(noted(empty_case())).close()
    path = store.path(empty_case().id)
    path.write_text(_comment_inside(path.read_text(encoding="utf-8")), encoding="utf-8")
    with store.open(empty_case().id) as held:
        held.save(change(held.case))
        after = held.case
    assert store.read(after.id).whole() == after
    everything = [item.read_text(encoding="utf-8") for item in tmp_path.iterdir() if item.is_file()]
    assert any("# keep this remark" in text for text in everything)


def test_a_readable_part_once_accepted_opens_again_without_a_word(tmp_path: Path) -> None:
    """Whatever header field was damaged: what is written after accepting the rest is a whole file."""
    whole = write_case(small_case("wren"))
    for line in [at for at, text in enumerate(whole.split("\n")) if text.split(":")[0] in ("opened", "title", "case")]:
        for bad in ('"soon"', "", "[]", '""'):
            lines = whole.split("\n")
            lines[line] = f"{lines[line].split(':')[0]}: {bad}"
            (tmp_path / "wren.yaml").write_text("\n".join(lines))
            CaseStore(tmp_path).open("wren", accept_readable_part=True).close()
            result = CaseStore(tmp_path).read("wren")
            assert result.problems == (), lines[line]
            assert len(result.whole().entries) == len(small_case().entries)


def test_a_file_marked_read_only_is_not_written_over(tmp_path: Path) -> None:
    """Somebody's mark is respected, for the administrator too; allowed again, the answers arrive."""
    held = CaseStore(tmp_path).create(small_case("wren"))
    path = tmp_path / "wren.yaml"
    before = path.read_text()
    path.chmod(0o444)
    more = replace(held.case, entries=(*held.case.entries, Note(12, T, "Mira", "back again")))
    with pytest.raises(StorageError, match="read-only"):
        held.save(more)
    assert path.read_text() == before
    assert held.on_disk != more
    path.chmod(0o644)
    held.save(more)
    assert "back again" in path.read_text()
    held.close()


def test_half_written_claims_of_the_dead_are_swept(tmp_path: Path) -> None:
    """A program that died while it took a case leaves nothing behind in .open for ever."""
    CaseStore(tmp_path).create(small_case("wren")).close()
    dead = subprocess.Popen(["true"])
    dead.wait()
    left = tmp_path / ".open" / f".wren.{host_name()}-{dead.pid}-0a0b0c0d.part"
    left.write_text("half")
    CaseStore(tmp_path).open("wren").close()
    assert not left.exists()


def test_on_a_full_disk_a_case_is_let_go_of(tmp_path: Path) -> None:
    """The hold is removed though nothing can be written, so that the same person meets a free case."""
    disk = Disk()
    held = CaseStore(tmp_path, disk=disk).create(small_case("wren"))

    def full(*_: object) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    for name in ("create", "write", "rewrite"):
        setattr(disk, name, full)
    held.close()
    CaseStore(tmp_path).open("wren").close()
