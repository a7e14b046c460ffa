"""Results on disk, and progress in figures and pictures."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path
from xml.etree import ElementTree

import pytest

from diag.practice.debrief import debrief
from diag.practice.moves import read_move
from diag.practice.progress import LEGEND, figures, mark, picture_lines, progress_lines, progress_svg
from diag.practice.results import Trainee, from_text, to_text, trainee_name
from diag.practice.session import play
from diag.practice.store import PracticeStore, default_practice_folder, file_name
from diag.support.disk.files import Lock
from diag.support.errors import HeldElsewhereError, SourceError, StorageError, UserError
from tests.practice.rig import KEPT, dealt, played, result, the_book

HOSTILE = "<script>\x1b[31m\u202e[/] 'x' \"y\" &amp; " + "z" * 80


def test_results_survive_the_file() -> None:
    """What is written is read back unchanged."""
    kept = Trainee("Mira", (result(1), result(2, solved=False, minutes=33.5, causes=(), moves=())))
    assert from_text(to_text(kept), "mira.yaml") == kept


def test_a_kept_session_can_be_played_again(tmp_path: Path) -> None:
    """Level, number and moves of the file give the same turns as the session itself."""
    session = played(dealt("loud-fault", 2), "do listen-to-pump", "do look-over", "name pump-dead", "finish give up")
    told = debrief(session, KEPT)
    assert told is not None
    store = PracticeStore(tmp_path)
    store.keep("Mira", told, datetime(2026, 11, 25, 14, 0, tzinfo=UTC))
    kept = store.read("Mira").results[0]
    again = play(the_book(), dealt(kept.level, kept.seed), [read_move(m) for m in kept.moves])
    assert again.turns == session.turns
    assert (kept.at, kept.unsafe, kept.solved) == ("2026-11-25T14:00:00Z", 1, False)
    assert kept.program_minutes == pytest.approx(told.program_score.minutes, abs=0.1)


def test_two_trainees_never_share_a_file(tmp_path: Path) -> None:
    """Names that look alike without accents have files of their own; capitals do not matter."""
    names = ["Mira", "Míra", "mira!", "Oskar", "名前", HOSTILE]
    assert len({file_name(trainee_name(n)) for n in names}) == len(names)
    assert file_name("MIRA") == file_name("mira")
    store = PracticeStore(tmp_path)
    for name in names:
        store.add(name, result())
    assert all(p.parent == tmp_path for p in tmp_path.iterdir())
    assert all(len(store.read(name).results) == 1 for name in names)
    with pytest.raises(UserError):
        store.read(" .. ")


def test_a_damaged_file_is_kept_and_named(tmp_path: Path) -> None:
    """Adding to a file that cannot be read changes nothing and says where it is wrong."""
    store = PracticeStore(tmp_path)
    store.add("Mira", result())
    path = store.path("Mira")
    broken = path.read_text().replace("seed: 1", "seed: one")
    path.write_text(broken)
    with pytest.raises(SourceError, match=r"mira-.*yaml:\d+:\d+"):
        store.add("Mira", result(2))
    assert path.read_text() == broken


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ("format: 1", "format: 9", "format 9"),
        ("level: loud-fault", "level: loud", "no level"),
        ("  - do look-over", "  - jump over", "no move"),
        ("  risk: 20", "  rsk: 20", "rsk"),
        ("trainee: Mira", "trainee: [a]", "rainee"),
        ("  minutes: 120", "  minutes: -5", "inutes"),
    ],
)
def test_bad_files_are_refused_with_their_place(old: str, new: str, words: str) -> None:
    """One line with file and line for every mistake a hand may make."""
    text = to_text(Trainee("Mira", (result(),)))
    assert old in text
    with pytest.raises(SourceError, match=words) as caught:
        from_text(text.replace(old, new, 1), "mira.yaml")
    assert caught.value.place is not None
    assert caught.value.place.line > 0


def test_a_second_writer_waits_and_is_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """While another program writes the file, adding gives up with a clear line, and nothing is lost."""
    monkeypatch.setattr("diag.practice.store.WAIT", 0.1)
    store = PracticeStore(tmp_path)
    store.add("Mira", result())
    with Lock(store.path("Mira"), who="Oskar"), pytest.raises(HeldElsewhereError):
        store.add("Mira", result(2))
    assert len(store.read("Mira").results) == 1


def test_a_folder_that_cannot_be_made_is_a_storage_error(tmp_path: Path) -> None:
    """A file where the folder should be."""
    (tmp_path / "file").write_text("x")
    with pytest.raises(StorageError):
        PracticeStore(tmp_path / "file").add("Mira", result())


def test_the_folder_follows_the_data_folder_of_the_account() -> None:
    """XDG_DATA_HOME when it is absolute, else the usual place."""
    assert default_practice_folder({"XDG_DATA_HOME": "/data"}, Path("/home/m")) == Path("/data/diag/practice")
    usual = Path("/home/m/.local/share/diag/practice")
    assert default_practice_folder({"XDG_DATA_HOME": "data"}, Path("/home/m")) == usual


def test_figures_are_counted() -> None:
    """Shares, means, and the median pace of the solved sessions."""
    found = figures([
        result(1, minutes=100.0, proven=False), result(2, minutes=300.0), result(3, minutes=200.0, unsafe=3),
        result(4, solved=False, named=False, proven=False, minutes=900.0, wasted=2),
    ])  # fmt: skip
    assert (found.sessions, found.solved, found.named, found.proven) == (4, 0.75, 0.75, 0.5)
    assert (found.pace, found.unsafe, found.wasted) == (2.0, 0.75, 0.5)
    assert figures([]).sessions == 0


def test_the_picture_places_sessions_by_pace() -> None:
    """The program's pace lies on its own line, slower ones above, and marks differ by outcome."""
    shown = [result(1, minutes=100.0), result(2, minutes=200.0, proven=False), result(3, minutes=5000.0, solved=False)]
    lines = picture_lines(shown)
    at = {
        label: next(n for n, line in enumerate(lines) if line.strip().startswith(f"{label} x")) for label in (1, 2, 4)
    }
    rows = {
        sign: next(n for n, line in enumerate(lines[1:10], 1) if sign in line.split("|")[-1]) for sign in ("o", "+")
    }
    assert rows["o"] == at[1]
    assert rows["+"] == at[2]
    assert lines[at[4]].split("|")[1].strip().endswith("x")
    assert "".join(lines).isascii()
    assert [mark(r) for r in shown] == ["o", "+", "x"]


def test_the_svg_is_well_formed_and_holds_every_session() -> None:
    """One mark a session besides the legend's three; names are escaped; the file is plain XML."""
    shown = [result(n, minutes=80.0 + n, unsafe=n % 2, solved=n % 3 > 0) for n in range(1, 26)]
    root = ElementTree.fromstring(progress_svg(HOSTILE, shown))
    marks = [e for e in root.iter() if e.tag.endswith("circle") or e.get("class") == "l"]
    assert len(marks) == len(shown) + len(LEGEND)
    assert "\x1b" not in ElementTree.tostring(root, encoding="unicode")
    assert ElementTree.fromstring(progress_svg("new", [])) is not None


def test_progress_is_told_by_level_and_over_time() -> None:
    """Levels that were practised, and the latest ten beside all before; nothing for a new trainee."""
    assert "no practice session yet" in progress_lines("Mira", [])[0]
    text = "\n".join(progress_lines("Mira", [result(n, level="no-gauge") for n in range(12)]))
    assert "Level 3, No pressure gauge: 12 done" in text
    assert "Latest 10: 10 done" in text
    assert "All before: 2 done" in text
