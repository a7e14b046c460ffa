"""Which causes the book can tell apart when every check is answered."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from diag.evaluation.separable import separation_text, separations
from diag.rulebook.load import load_book
from diag.rulebook.where import rules_folder
from diag.support.errors import UnknownNameError

pytestmark = pytest.mark.slow  # several seconds: whole jobs, screens or processes

NAMES = ("lamp-left-on", "lamp-left-on-as-well")
TWINS = "causes:\n" + "".join(
    f"""  - cause: {name}
    title: Made up, {name}
    area: electrics
    kind: damage
    in_words: Made up for this test, the very likeness of its twin.
    how_often: {{share: common, basis: judgement, why: made up}}
    shows: {{fuse-blows-again: almost always}}
    remedies: [renew-relay]
    confirmed_by: [look-at-fuse]
    mistaken_for: []
    tell_apart: Nothing tells them apart.
    source: made up for this test
"""
    for name in NAMES
)


def test_two_causes_that_nothing_separates_are_named(tmp_path: Path) -> None:
    """Two causes with the same signs: at most one of them can lead, and the other one's cars name it."""
    folder = tmp_path / "rules"
    shutil.copytree(rules_folder(), folder)
    (folder / "causes" / "twins.yaml").write_text(TWINS, encoding="utf-8")
    book = load_book(folder)
    found = separations(folder, book, NAMES, 4, 1, workers=1)
    assert all(s.cars == 4 for s in found.values())
    assert min(s.first for s in found.values()) == 0
    never = next(name for name in NAMES if found[name].first == 0)
    assert found[never].instead.most_common(1)[0][0] in NAMES
    assert all(s.among_three >= s.first for s in found.values())
    assert "lamp-left-on-as-well" in separation_text(found, book)


def test_an_unknown_cause_is_named() -> None:
    """A slip in a name is answered at once, before any car is drawn."""
    book = load_book(rules_folder())
    with pytest.raises(UnknownNameError, match="pump-ded"):
        separations(rules_folder(), book, ["pump-ded"], 1, 1, workers=1)
