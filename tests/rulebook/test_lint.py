"""Every way of writing a bad rule is found where it stands, and a good book has no finding at all."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from diag.rulebook.desk import Problem
from diag.rulebook.lint import RULES, lint_texts
from diag.rulebook.lint.__main__ import line_of, main

HERE = Path(__file__).parent
GOOD = (HERE / "good.yaml").read_text(encoding="utf-8")
BAD = sorted((HERE / "bad").glob("*.yaml"))
EXPECT = re.compile(r"# expect (\d+):(\d+) ([a-z-]+): ?(.*)")


def findings(path: Path) -> list[Problem]:
    """What lint says about the good book together with one bad file, about the bad file only."""
    found = lint_texts({"a-good.yaml": GOOD, "bad.yaml": path.read_text(encoding="utf-8")})
    return [p for p in found if p.place and p.place.file == "bad.yaml"]


def test_good_book_has_no_finding() -> None:
    """The tiny book that all bad files build on is free of errors and advice."""
    assert [line_of(p) for p in lint_texts({"a-good.yaml": GOOD})] == []


@pytest.mark.parametrize("path", BAD, ids=lambda p: p.stem)
def test_bad_file_is_found_where_it_stands(path: Path) -> None:
    """The expected rule speaks at the expected line and column, in the expected words."""
    head = EXPECT.match(path.read_text(encoding="utf-8"))
    assert head, "a bad file starts with what is expected of it"
    line, column, rule, words = int(head[1]), int(head[2]), head[3], head[4]
    found = findings(path)
    here = [p for p in found if p.place and (p.place.line, p.place.column) == (line, column) and p.rule == rule]
    assert here, [line_of(p) for p in found]
    assert any(words in f"{p.what} {p.hint}" for p in here), [line_of(p) for p in here]


def test_every_rule_has_a_bad_file_and_documentation() -> None:
    """No lint rule is left without an example that trips it, nor without words that explain it."""
    tripped = {EXPECT.match(p.read_text(encoding="utf-8"))[3] for p in BAD}  # type: ignore[index]
    assert {rule.name for rule in RULES if not rule.deep} <= tripped
    assert all(len(rule.about) > 40 for rule in RULES)


def test_command_prints_one_line_per_finding(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The command shows file:line:column, level, rule and hint, and its exit status tells errors from none."""
    (tmp_path / "good.yaml").write_text(GOOD, encoding="utf-8")
    (tmp_path / "bad.yaml").write_text("cuases: []\n", encoding="utf-8")
    assert main([str(tmp_path)]) == 2
    lines = capsys.readouterr().out.splitlines()
    wanted = "bad.yaml:1:1: error: unknown-field: There is no list called 'cuases'. Did you mean causes?"
    assert any(line.endswith(wanted) for line in lines)


def test_missing_folder_is_one_clear_line(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A folder that is not there is said on one line, and nothing is traced back."""
    assert main([str(tmp_path / "nowhere")]) != 0
    assert "nowhere" in capsys.readouterr().err


def test_junk_never_escapes() -> None:
    """Text that is no rule file at all gives findings, never an exception."""
    for junk in (
        "",
        "\x00",
        "[[[",
        "a: b: c",
        "causes: 3",
        "causes:\n  - 5\n  - [1]\n",
        "signs: {a: {b: c}}",
        "knobs: []",
    ):
        lint_texts({"a-good.yaml": GOOD, "junk.yaml": junk})
    assert lint_texts({"junk.yaml": "[[["})[0].rule == "yaml"
