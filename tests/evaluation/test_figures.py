"""Figures beside their bars and beside another build's: by hand, with small numbers."""

from __future__ import annotations

import json
import math

import pytest

from diag.evaluation.bench import Row
from diag.evaluation.figures import as_plain, kept_figures, table_of, verdict
from diag.support.errors import UserError

ROWS = (
    Row("quick", 40.0, math.nan, "ms", bar=50.0),
    Row("slow", 90.0, 180.0, "ms", "three runs", 30.0),
    Row("large", 300.0, math.nan, "MB", bar=200.0),
    Row("not measured", math.nan, math.nan, "ms", bar=10.0),
    Row("without a bar", 7.0, math.nan, ""),
)


def test_what_falls_short_is_said_farthest_first() -> None:
    assert [row.name for row in ROWS if row.falls_short] == ["slow", "large"]
    assert verdict(ROWS) == "2 of 3 figures with a bar fall short of it: slow (3.0 times); large (1.5 times)."
    assert verdict(ROWS[:1]) == "All 1 figures with a bar keep it."


def test_figures_are_set_beside_those_of_another_build() -> None:
    before = kept_figures(json.dumps(as_plain([Row("slow", 120.0, math.nan, "ms"), ROWS[3]])), "kept.json")
    assert before == {"slow": 120.0}
    heads, lines = table_of(ROWS, before)
    table = {line[0]: dict(zip(heads, line, strict=True)) for line in lines}
    assert (table["slow"]["before"], table["slow"]["now"], table["slow"]["change"]) == ("120", "90", "-25 %")
    assert (table["quick"]["before"], table["quick"]["change"]) == ("", "")
    assert table["slow"]["bar"] == "30"
    assert "falls short" in lines[1]
    assert "falls short" not in lines[0]


@pytest.mark.parametrize(
    "text",
    ["", "[]", "{}", '{"schema": 2, "kind": "bench", "figures": []}', '{"schema": 1, "kind": "bench", "figures": [1]}'],
)
def test_other_files_are_refused(text: str) -> None:
    with pytest.raises(UserError, match="no figures"):
        kept_figures(text, "kept.json")
