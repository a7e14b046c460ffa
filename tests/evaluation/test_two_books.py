"""A changed rule book beside the one before: what came and went, what moved, and which way."""

from __future__ import annotations

import re
import shutil
from dataclasses import replace
from pathlib import Path

import pytest

from diag.evaluation.two_books import Piece, compare_books, difference_text
from diag.rulebook.where import rules_folder
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
    """Nothing added, nothing gone, nothing moved."""
    found = compare_books(rules_folder(), rules_folder(), [Piece(case_of(NAME), frozenset())], workers=1)
    assert (found.added, found.gone) == ((), ())
    assert [one.verdict for one in found.cases] == ["same"]


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


def test_a_folder_that_is_not_there_is_one_clear_line(capsys: pytest.CaptureFixture[str]) -> None:
    """What, and what to do."""
    assert main(["compare", "/no/such/rules"]) == 4
    assert capsys.readouterr().err.count("\n") == 1
