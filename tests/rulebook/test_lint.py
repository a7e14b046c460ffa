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


DEEP_PAIR = """
causes:
  - cause: set-too-high
    title: Set too high
    area: return
    kind: damage
    in_words: The screw is in too far.
    how_often: {share: common, basis: judgement, why: usual}
    acts_on: {set pressure: {add: [3 psi, 10 psi]}}
    remedies: [free-return]
    confirmed_by: [base-pressure]
    source: common practice, no source
"""


def test_deep_rule_asks_the_physics() -> None:
    """With base pressure as the only reading, a wrong setting and a gauge that is off by as much look the same;
    with a reading at rest they do not, since only the gauge is then off (zero check of the trade, common practice)."""
    texts = {"a-good.yaml": GOOD, "pair.yaml": DEEP_PAIR}
    assert not [p for p in lint_texts(texts) if p.rule == "same-readings"]
    found = [p for p in lint_texts(texts, deep=True) if p.rule == "same-readings"]
    assert [("gauge-reads-high" in p.what, "set-too-high" in p.what) for p in found] == [(True, True)]
    at_rest = """
readings:
  - {reading: gauge at rest, title: Gauge at rest, ask: What does it show?, quantity: pressure,
     plausible: [-5 psi, 50 psi], error: 0.4 psi, offset: 0.2 psi, model_error: 0.2 psi, misread_spread: 5 psi,
     instrument: gauge at rest, basis: judgement, why: usual}
points:
  - {point: at-rest, title: at rest, how_taken: Off., settings: {pump: "off", engine: "off"}}
checks:
  - {check: zero, title: Zero check, why: Shows the offset., minutes: 1, steps: [Look.],
     yields: [{reading: gauge at rest, at: at-rest}]}
"""
    assert not [p for p in lint_texts({**texts, "rest.yaml": at_rest}, deep=True) if p.rule == "same-readings"]


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


def test_rules_list_themselves(capsys: pytest.CaptureFixture[str]) -> None:
    """--rules prints every rule with its documentation, and says which are slow."""
    assert main(["--rules"]) == 0
    shown = capsys.readouterr().out
    assert all(rule.name in shown and rule.about.split("\n")[0] in shown for rule in RULES)
    assert "same-readings (only with --deep)" in shown


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
