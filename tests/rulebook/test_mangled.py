"""However a rule file is mangled, reading it gives findings and never an exception."""

from __future__ import annotations

from pathlib import Path

from hypothesis import given
from hypothesis import strategies as st

from diag.rulebook.lint import lint_texts
from tests.support.fuzzing import examples

GOOD = (Path(__file__).parent / "good.yaml").read_text(encoding="utf-8")
LINES = GOOD.split("\n")
JUNK = st.sampled_from(
    [
        "[]",
        "{}",
        "x",
        "5",
        "-1",
        "'",
        '"',
        "- a",
        "{a: b}",
        "[[1], {b: c}]",
        "\t",
        "#",
        "null",
        "~",
        "yes",
        "&a",
        "*a",
        ": ",
    ]
)


@examples(150)
@given(st.lists(st.tuples(st.integers(0, len(LINES) - 1), JUNK), min_size=1, max_size=3))
def test_values_replaced_by_junk(changes: list[tuple[int, str]]) -> None:
    """A value replaced by something of another shape is found; everything else is still read."""
    lines = list(LINES)
    for at, junk in changes:
        head, colon, _ = lines[at].partition(": ")
        lines[at] = f"{head}{colon}{junk}"
    for problem in lint_texts({"a.yaml": "\n".join(lines)}):
        assert problem.what


@examples(100)
@given(st.sets(st.integers(0, len(LINES) - 1), min_size=1, max_size=6))
def test_lines_taken_out(gone: set[int]) -> None:
    """Lines that are missing lead to findings about what then does not fit."""
    for problem in lint_texts({"a.yaml": "\n".join(line for at, line in enumerate(LINES) if at not in gone)}):
        assert problem.what
