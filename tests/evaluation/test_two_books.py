"""A changed rule book beside the one before: what came and went, what moved, and which way."""

from __future__ import annotations

import re
import shutil
import subprocess
import time
from dataclasses import replace
from pathlib import Path

import pytest

from diag.evaluation.book_changes import changes
from diag.evaluation.cores import on_every_core
from diag.evaluation.two_books import Piece, beside, compare_books, difference_text
from diag.rulebook.load import load_book
from diag.rulebook.where import rules_folder
from diag.support.errors import RuleBookError
from diag.ui.cli.main import main
from tests.cases.expectations import case_of

pytestmark = pytest.mark.slow  # loads two books

NAME = "wren-pressure-stays-high"


def rare(folder: Path) -> Path:
    """A copy of the shipped rules in which the return that is too small is next to never met."""
    there = folder / "rules"
    shutil.copytree(rules_folder(), there)
    for path in there.rglob("*.yaml"):
        text = path.read_text(encoding="utf-8")
        found = re.search(r"cause: return-line-too-small\n.*?share: ([\w ]+)", text, re.DOTALL)
        if found:
            path.write_text(text[: found.start(1)] + "very rare" + text[found.end(1) :], encoding="utf-8")
            return there
    raise AssertionError("the cause is not in the book")


def test_the_same_book_twice_is_the_same() -> None:
    """Nothing added, nothing gone, nothing changed; nothing would move if a case were weighed."""
    piece = Piece(case_of(NAME), frozenset())
    found = compare_books(rules_folder(), rules_folder(), [piece], workers=1)
    assert (found.added, found.gone, found.changed.worded) == ((), (), frozenset())
    book = load_book(rules_folder())
    assert beside(piece, book, book).verdict == "same"


def test_a_cause_made_rare_is_seen_to_fall(tmp_path: Path) -> None:
    """Its chance falls in the case it explains; with a truth told, better and worse are named."""
    case = case_of(NAME)
    early = Piece(replace(case, entries=case.entries[:45]), frozenset({"return-line-too-small"}))
    found = compare_books(rules_folder(), rare(tmp_path), [early], workers=1)
    (one,) = found.cases
    moved = {cause: (was, now) for cause, was, now in one.moves}
    was, now = moved["return-line-too-small"]
    assert now < was
    assert "return-line-too-small" in difference_text(found)


def test_a_book_that_differs_in_words_only_weighs_no_case(tmp_path: Path) -> None:
    """No ranking can move, and that is said instead of weighing; a changed figure is named."""
    there = tmp_path / "rules"
    shutil.copytree(rules_folder(), there)
    path = there / "causes" / "return.yaml"
    path.write_text(
        path.read_text(encoding="utf-8").replace("    tell_apart: ", "    tell_apart: In short, ", 1), "utf-8"
    )
    piece = Piece(case_of(NAME), frozenset())
    found = compare_books(rules_folder(), there, [piece], workers=1)
    assert (found.cases, len(found.changed.worded), found.changed.weighed) == ((), 1, frozenset())
    assert "No ranking can move: 1 entries" in difference_text(found)
    old, new = load_book(rules_folder()), load_book(rare(tmp_path / "rare"))
    assert changes(old, new).weighed == {"return-line-too-small"}
    assert changes(old, old).alone_words


def test_an_earlier_book_may_lack_a_figure_that_came_later(tmp_path: Path) -> None:
    """It is set beside the later one all the same; the later one may not lack it."""
    there = tmp_path / "rules"
    shutil.copytree(rules_folder(), there)
    path = there / "book.yaml"
    text = path.read_text(encoding="utf-8")
    path.write_text(re.sub(r"  hand_on_minutes:\n(    .*\n)+", "", text), encoding="utf-8")
    found = compare_books(there, rules_folder(), [], workers=1)
    assert found.changed.done | found.changed.weighed <= {"knobs"}
    with pytest.raises(RuleBookError, match="hand_on_minutes"):
        compare_books(rules_folder(), there, [], workers=1)


def test_when_time_is_short_the_cases_concerned_come_first(tmp_path: Path) -> None:
    """The case whose cause changed is weighed, the others are counted as left; what has not begun never begins."""
    names = ("bramble-cap-weeps", NAME, "bramble-smell-inside-by-phone")
    pieces = [Piece(case_of(n), frozenset({"return-line-too-small"} if n == NAME else ())) for n in names]
    found = compare_books(rules_folder(), rare(tmp_path), pieces, workers=1, within=0.0)
    assert ([one.name for one in found.cases], found.left) == ([NAME], 2)
    assert "No time for 2" in difference_text(found)


def _nothing() -> None:
    """No room to open."""


def _asleep(room: None, seconds: float) -> float:
    time.sleep(seconds)
    return seconds


def test_whoever_stops_asking_is_not_kept_waiting() -> None:
    """Of forty tenths of a second on two cores only those that had begun, or stood at the door, are done."""
    begun = time.monotonic()
    for _ in on_every_core(_nothing, _asleep, [0.25] * 40, workers=2):
        break
    assert time.monotonic() - begun < 4.0  # all of them would take five seconds


def _git(folder: Path, *words: str) -> str:
    named = ("-c", "user.name=Mira", "-c", "user.email=mira@larkhill.example", "-c", "init.defaultBranch=main")
    return subprocess.run(["git", *named, *words], cwd=folder, check=True, capture_output=True, text=True).stdout


def _landed(folder: Path, into: str) -> str:
    script = Path(__file__).parents[2] / ".ci" / "landed-book"
    done = subprocess.run([str(script), into], cwd=folder, check=True, capture_output=True, text=True)
    return done.stdout


@pytest.mark.skipif(not shutil.which("git"), reason="git is not installed")
def test_the_last_landed_book_comes_out_of_the_history(tmp_path: Path) -> None:
    """On a branch the rules of the main branch, on the main branch those before the last change, else a word."""
    assert "no history" in _landed(tmp_path, "none")
    assert not (tmp_path / "none").exists()
    book = tmp_path / "rules" / "book.yaml"
    book.parent.mkdir()
    _git(tmp_path, "init")
    for text in ("first", "second"):
        book.write_text(text)
        _git(tmp_path, "add", "rules")
        _git(tmp_path, "commit", "--message", text)
        if text == "first":
            assert "no earlier book" in _landed(tmp_path, "none")
    assert "first" in _landed(tmp_path, "on-main")
    assert (tmp_path / "on-main" / "rules" / "book.yaml").read_text() == "first"
    _git(tmp_path, "checkout", "-b", "another")
    book.write_text("third")
    assert "second" in _landed(tmp_path, "not-committed")
    _git(tmp_path, "commit", "--all", "--message", "third")
    assert "second" in _landed(tmp_path, "on-branch")
    assert (tmp_path / "on-branch" / "rules" / "book.yaml").read_text() == "second"


def test_a_folder_that_is_not_there_is_one_clear_line(capsys: pytest.CaptureFixture[str]) -> None:
    """What, and what to do."""
    assert main(["compare", "/no/such/rules"]) == 4
    assert capsys.readouterr().err.count("\n") == 1
