"""What a log cannot say is said, with what to record next time, and never with a pull on the road."""

from __future__ import annotations

import inspect
import re
from pathlib import Path

import pytest

from diag.datalog import wanted
from diag.datalog.analysis import analysed
from diag.datalog.wanted import LOAD_WHERE, gaps_of
from tests.datalog.making import made, read
from tests.datalog.simulated import Made, as_text, made_log


def missing(found: object) -> str:
    """All that is missing, in one text."""
    return " ".join(gap.missing for gap in gaps_of(found))  # type: ignore[arg-type]


def test_no_boost(tmp_path: Path) -> None:
    """A log without boost says nothing about boost, unless the car has none."""
    _, found = made(tmp_path, Made(boost_kpa=0.0, minutes=3.0))
    assert "no boost" in missing(found)
    assert "no boost" not in " ".join(gap.missing for gap in gaps_of(found, boosted=False))
    assert next(gap for gap in gaps_of(found) if "no boost" in gap.missing).next_time == LOAD_WHERE


@pytest.mark.parametrize(
    ("without", "says"), [("MAP (kPa)", "manifold channel"), ("RPM", "engine speed"), ("Battery (V)", "")]
)
def test_a_missing_channel(without: str, says: str, tmp_path: Path) -> None:
    """The log still reads; what hangs on the channel is left open."""
    columns = {n: v for n, v in made_log(Made(minutes=2.0)).columns.items() if n != without}
    found = analysed(read(tmp_path, as_text(columns)))
    assert says in missing(found)
    assert (found.follow is None) == (without == "MAP (kPa)")


def test_a_short_slow_log_of_idling(tmp_path: Path) -> None:
    """One row a second, idle only: no slope, no ripple, no prime, no holding."""
    columns = {n: v[200:900:20] for n, v in made_log(Made(minutes=1.0)).columns.items()}
    found = analysed(read(tmp_path, as_text(columns)))
    said = missing(found)
    assert "rows a second are too few" in said
    assert "prime" in said
    assert "at rest" in said
    assert found.ripple is None


def test_load_is_never_asked_for_on_the_road() -> None:
    """Every sentence that speaks of load sends it to rollers or a closed course; none proposes driving."""
    text = inspect.getsource(wanted)
    assert "rollers or a closed course" in LOAD_WHERE
    assert "Never on the public road" in LOAD_WHERE
    assert LOAD_WHERE.startswith("An earlier log")
    asks = re.findall(r"\b(?:drive|pull|accelerate|full throttle)\b[^.]*\.", text.split('"""', 2)[2])
    assert asks == []
