"""The program as installed: a one-shot command leaves at once, and nothing it said is lost by that."""

from __future__ import annotations

import subprocess
import sys

import pytest

from diag.rulebook.where import cases_folder
from diag.ui.cli.main import COMMANDS, ONE_SHOT
from tests import ROOT

NAME = "wren-pressure-stays-high"


def run(*arguments: str) -> subprocess.CompletedProcess[str]:
    """The program in a process of its own, its output in a pipe."""
    return subprocess.run([sys.executable, "-m", "diag", *arguments], capture_output=True, text=True, cwd=ROOT)


def test_all_of_a_long_answer_arrives() -> None:
    """A case of some thousand lines, printed and left at once."""
    done = run("demo", NAME)
    assert done.returncode == 0
    assert done.stdout == (cases_folder() / f"{NAME}.yaml").read_text(encoding="utf-8")


@pytest.mark.parametrize(("arguments", "code"), [(["demo", "no-such-case"], 2), (["weigh"], 2), (["--version"], 0)])
def test_the_exit_code_is_that_of_the_command(arguments: list[str], code: int) -> None:
    """With its one line on standard error where it failed."""
    done = run(*arguments)
    assert done.returncode == code
    assert done.stderr.count("\n") == (1 if code else 0)


def test_only_known_commands_leave_at_once_and_none_that_keeps_jobs_open() -> None:
    """What works a job, or starts processes of its own, ends in the usual way."""
    assert {*COMMANDS, "--version"} >= ONE_SHOT
    assert not ONE_SHOT & {"work", "practice", "trial", "compare", "learn", "bench"}
