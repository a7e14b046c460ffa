"""The log that comes with the program: the Linnet of the Larkhill Hillclimb Club, whose log reads two thirds.

Made by the same independent simulation as every other log here; ``python -m tests.datalog.test_demo`` writes it anew.
"""

from __future__ import annotations

from pathlib import Path

from diag.datalog.analysis import analysed
from diag.datalog.log import read_log
from tests import ROOT
from tests.datalog.making import PSI
from tests.datalog.simulated import Made, as_text, made_log

FILE = ROOT / "cases" / "linnet-log-says-two-thirds.csv"
LINNET = Made(seed=1956, rate=10.0, base=43.5, scale=2.0 / 3.0, boost_kpa=0.0, idle_kpa=-61.0, minutes=1.8, off=50.0)


def text() -> str:
    """The log as it should stand on disk."""
    return as_text(made_log(LINNET).columns)


def test_it_is_the_made_log_and_small() -> None:
    """Nobody has edited it."""
    assert FILE.read_text(encoding="utf-8") == text()
    assert FILE.stat().st_size < 120_000


def test_it_shows_the_wrong_range() -> None:
    """Two thirds of slope and base, zero right: the doubt names the range."""
    found = analysed(read_log(Path(FILE)), 43.5 * PSI)
    assert [doubt.kind for doubt in found.doubts] == ["range"]
    assert found.rest is not None
    assert abs(found.rest.value) < 0.3 * PSI


if __name__ == "__main__":
    FILE.write_text(text(), encoding="utf-8")
