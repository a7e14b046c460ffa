"""A trial that is stopped and said again: the same figures as in one go, and no job worked twice."""

from __future__ import annotations

from dataclasses import asdict, replace
from pathlib import Path

import numpy as np
import pytest

from diag.evaluation import trial
from diag.evaluation.trial import TrialPlan, run_trials
from diag.evaluation.trial_state import TrialState
from diag.evaluation.worked import Ceiling
from diag.rulebook.where import rules_folder
from diag.simulation.course import Course
from diag.support.errors import StorageError, UserError
from diag.ui.cli.main import main

PLAN = TrialPlan(95, seed=7)
OF = {"plans": [asdict(PLAN)]}


class Stub:
    """A workshop whose jobs take no time; ``ends`` is the job at which somebody interrupts."""

    worked: list[int] = []  # noqa: RUF012
    ends = -1

    def __init__(self, rules: str, written: tuple[object, ...] = ()) -> None:
        pass

    def run(self, plan: TrialPlan, number: int) -> tuple[Course, Ceiling | None]:
        """One job, in numbers as arrays give them."""
        if number == Stub.ends:
            raise KeyboardInterrupt
        Stub.worked.append(number)
        draw = np.random.default_rng([plan.seed, number])
        course = Course(number, plan.generator, "full", ("leak",), "cured", bool(draw.random() < 0.5))
        course.minutes = draw.normal()
        course.checks = draw.integers(1, 9)  # type: ignore[assignment]
        course.right_end = draw.random() < 0.5  # type: ignore[assignment]
        course.ranking = (("leak", float(draw.random())), ("pump", 1.0 / 3.0))
        course.calibration = ((0.1, True), (float(draw.random()), False))
        course.later.append((0.7, True))
        course.right_names = frozenset({"leak", "pump"})
        return course, Ceiling(number, 1, 2, "leak") if number % 20 == 0 else None


@pytest.fixture(autouse=True)
def _stubbed(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(trial, "Workshop", Stub)
    Stub.worked, Stub.ends = [], -1


def worked(state: TrialState | None = None) -> trial.TrialOutcome:
    (found,) = run_trials([PLAN], rules_folder(), 1, state=state)
    return replace(found, seconds=0.0)


def test_stopped_twice_and_gone_on_it_gives_what_it_gives_in_one_go(tmp_path: Path) -> None:
    path = tmp_path / "trial"
    for ends in (31, 64):
        Stub.ends = ends
        with pytest.raises(KeyboardInterrupt):
            worked(TrialState(path, OF))
    Stub.ends = -1
    done: list[tuple[int, int]] = []
    state = TrialState(path, OF)
    before = sum(map(len, state.pieces.values()))
    assert 0 < before < 95
    (found,) = run_trials([PLAN], rules_folder(), 1, lambda *at: done.append(at), state=state)
    twice = [number for number in range(95) if Stub.worked.count(number) > 1]
    assert len(twice) < 2 * trial.CHUNK, "whole pieces were worked again"
    assert done[0][0] > before, "what is left is reckoned as if nothing had been done"
    assert done[-1] == (95, 95)
    Stub.worked = []
    assert replace(found, seconds=0.0) == worked()
    Stub.worked = []
    worked(TrialState(path, OF))
    assert Stub.worked == [], "a finished trial was worked again"


def _torn(data: bytes) -> bytes:
    return data[:-7]


def _a_bit(data: bytes) -> bytes:
    return data[:-40] + bytes([data[-40] ^ 1]) + data[-39:]


@pytest.mark.parametrize(
    "spoil", [_torn, _a_bit, lambda data: data + b"half a li", lambda data: data[: data.index(b"\n") + 1]]
)
def test_a_damaged_end_is_worked_again(tmp_path: Path, spoil: object) -> None:
    """Power gone in the middle of a line, a bit changed, nothing but the head."""
    path = tmp_path / "trial"
    alone = worked(TrialState(path, OF))
    path.write_bytes(spoil(path.read_bytes()))  # type: ignore[operator]
    assert worked(TrialState(path, OF)) == alone
    Stub.worked = []
    assert worked(TrialState(path, OF)) == alone
    assert Stub.worked == [], "the file was not mended"


@pytest.mark.parametrize("text", ["", "something else\n", "0123 [1]\n"])
def test_a_file_of_something_else_is_refused_and_left(tmp_path: Path, text: str) -> None:
    """Another trial's, or none at all; an empty one is a new one."""
    path = tmp_path / "trial"
    path.write_text(text)
    if not text:
        assert TrialState(path, OF).pieces == {}
        return
    with pytest.raises(UserError, match="none of this trial"):
        TrialState(path, OF)
    assert path.read_text() == text
    path.unlink()
    worked(TrialState(path, OF))
    with pytest.raises(UserError, match="none of this trial"):
        TrialState(path, {"plans": [asdict(replace(PLAN, seed=8))]})


def test_a_disk_that_takes_nothing_is_said(tmp_path: Path) -> None:
    """The folder is not there."""
    with pytest.raises(StorageError, match="Cannot save"):
        worked(TrialState(tmp_path / "nowhere" / "trial", OF))


def test_the_command_goes_on(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Interrupted it says where it goes on; said again it does; said with other jobs it refuses."""
    path = str(tmp_path / "kept")
    said = ["trial", "--jobs", "40", "--workers", "1", "--json", "--go-on", path]
    Stub.ends = 25
    assert main(said) == 130
    assert "jobs are kept in" in capsys.readouterr().err
    Stub.ends = -1
    assert main(said) == 0
    went_on = capsys.readouterr().out
    assert main(said[:-2]) == 0
    assert capsys.readouterr().out == went_on
    assert main([*said, "--seed", "9"]) == 2
    assert "none of this trial" in capsys.readouterr().err
