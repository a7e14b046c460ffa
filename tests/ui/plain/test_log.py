"""A data log at the prompt of the line mode."""

from __future__ import annotations

from pathlib import Path

import pytest

from diag.casework.entries import ReadingTaken, SignAnswer
from tests.datalog.test_demo import FILE
from tests.ui.plain.person import Person


@pytest.fixture(autouse=True)
def _apart(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """Confirmed columns are kept away from this account."""
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))


def readings(person: Person) -> list[ReadingTaken]:
    """Readings written down."""
    return [e for e in person.room.job.case.entries if isinstance(e, ReadingTaken)]


def test_a_log_becomes_readings_once_all_is_confirmed() -> None:
    """Columns, hose, pressure let off, and the wish to write it down are asked; then it is one change."""
    person = Person(
        ["car target-pressure = 43.5 psi", f"log {FILE}", "yes", "yes", "yes", "yes", "causes", "quit"]
    ).run()
    assert "Rail pressure: column" in person.said
    assert "Slope of rail over manifold pressure: 0.6" in person.said
    assert "There is no boost in the log" in person.said
    assert "Sensor range entered too small" in person.said
    assert {e.point for e in readings(person)} >= {"log-at-rest", "log-pump-on", "idle-hose-on", "cruise"}
    assert any(isinstance(e, SignAnswer) and "log " in e.text for e in person.room.job.case.entries)


def test_nothing_is_written_without_a_yes() -> None:
    """No at any question, Enter, or the end of the input leave the job as it was."""
    for answers in (["no"], [""], ["yes", "yes", "yes", "no"], ["yes"]):
        person = Person([f"log {FILE}", *answers]).run()
        assert readings(person) == []


def test_a_wrong_column_is_put_right_at_the_prompt() -> None:
    """A channel can be told until the columns are right."""
    person = Person([f"log {FILE}", "throttle = none", "yes", "yes", "no", "yes", "quit"]).run()
    assert readings(person)
    assert "Not found: Throttle." in person.said


def test_a_file_that_is_no_log(tmp_path: Path) -> None:
    """One line says why; the job goes on."""
    bad = tmp_path / "bad.csv"
    bad.write_text("hello")
    person = Person([f"log {bad}", "", "log /nowhere.csv", "", "entries", "quit"]).run()
    assert "no readings" in person.said
    assert readings(person) == []
