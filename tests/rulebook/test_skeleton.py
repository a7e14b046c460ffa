"""A drafted entry stands beside its neighbour, changes nothing by itself, and lint leads through the rest."""

from __future__ import annotations

import re
import shutil
from pathlib import Path

import pytest

from diag.rulebook.lint.run import lint_folder
from diag.rulebook.skeleton import KINDS, beside, entry_span, skeleton
from diag.rulebook.tables import SECTIONS
from diag.rulebook.where import rules_folder
from diag.support.errors import UnknownNameError, UserError
from diag.ui.cli.main import main

FILE = (rules_folder() / "causes" / "return.yaml").read_text(encoding="utf-8")
FIRST = re.findall(r"^  - cause: ([\w-]+)", FILE, re.MULTILINE)


@pytest.mark.parametrize("kind", sorted(KINDS))
def test_every_field_of_the_table_is_explained(kind: str) -> None:
    """Each kind of entry, each of its fields, with what it is for; only the name is no comment."""
    lines = skeleton(kind, "some-new-entry")
    text = " ".join(line.strip().lstrip("#").strip() for line in lines)
    for field in SECTIONS[KINDS[kind]][1][1:]:
        assert f"{field.name}:" in text
        assert " ".join(field.about.split()[:4]) in text
    assert [line for line in lines if not line.lstrip().startswith("#")] == [f"  - {kind}: some-new-entry"]


@pytest.mark.parametrize("neighbour", FIRST)
def test_taking_the_new_lines_out_again_gives_the_old_file(neighbour: str) -> None:
    """Behind any neighbour, also the last one; the entry found there is the new one."""
    text, line = beside(FILE, "cause", "brand-new", neighbour)
    begin, end = entry_span(text, "cause", "brand-new")
    assert begin + 1 == line
    rest = text.split("\n")
    del rest[begin:end]
    assert [x for x in rest if x.strip()] == [x for x in FILE.split("\n") if x.strip()]
    assert entry_span(text, "cause", neighbour)[1] <= begin


def test_a_draft_filled_in_with_its_neighbours_words_is_an_entry(tmp_path: Path) -> None:
    """With every '#' before a neighbour's line taken away only the repeated title and meaning are left to mend."""
    rules = tmp_path / "rules"
    shutil.copytree(rules_folder(), rules)
    path = rules / "causes" / "return.yaml"
    assert main(["draft", "cause", "brand-new", "--beside", FIRST[0], "--rules", str(rules)]) == 0
    missing = {p.what for p in lint_folder(rules) if not p.advice and "brand-new" not in p.what}
    assert any("'title' is missing" in what for what in missing)
    text = path.read_text(encoding="utf-8")
    begin, end = entry_span(text, "cause", "brand-new")
    lines = text.split("\n")
    filled = [re.sub(r"^    #(?=\w+:| )(?! [A-Z])", "    ", line) for line in lines[begin + 1 : end]]
    filled = [line for line in filled if not line.startswith("    # ") and not re.fullmatch(r"    \w+:", line)]
    filled = [re.sub(r"title: .*", "title: A title of its own", line) for line in filled]
    path.write_text("\n".join([*lines[: begin + 1], *filled, *lines[end:]]), encoding="utf-8")
    errors = [p for p in lint_folder(rules) if not p.advice]
    assert not [p for p in errors if p.rule in ("missing-field", "unknown-field", "bad-value")], errors


def test_what_is_usual_is_marked_and_what_is_usual_only_in_part_is_still_needed(
    capsys: pytest.CaptureFixture[str],
) -> None:
    """A cause needs no kind where damage is meant; how often it is met nobody can say for it."""
    assert main(["draft", "cause", "brand-new"]) == 0
    lines = capsys.readouterr().out.split("\n")
    about = {line: lines[at - 1] for at, line in enumerate(lines) if re.fullmatch(r"    #\w+:", line)}
    assert about["    #kind:"].startswith("    # Only where it is not as usual. ")
    assert about["    #how_often:"].startswith("    # NEEDED. ")


def test_what_cannot_be_is_refused() -> None:
    """A kind, a neighbour and a name nobody knows; a name that is taken."""
    with pytest.raises(UnknownNameError):
        skeleton("fault", "brand-new")
    with pytest.raises(UserError):
        skeleton("cause", "Brand New!")
    with pytest.raises(UnknownNameError):
        beside(FILE, "cause", "brand-new", "no-such-neighbour")
    with pytest.raises(UserError):
        beside(FILE, "cause", FIRST[1], FIRST[0])
