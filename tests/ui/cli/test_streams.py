"""Standard streams that are closed or full, and names nobody can have: a line and a code, never a fault."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from diag.casework.store import CaseStore
from diag.support.errors import ExitCode
from tests import ROOT
from tests.presentation.report.jobs import job

DIAG = f'"{sys.executable}" -m diag'
LONG = "x" * 300
WEIGH = "weigh --demo wren-pressure-stays-high"
SILENT = ("--version", "--help", "weigh --help", "demo --list", WEIGH)


def run(line: str, given: str = "") -> subprocess.CompletedProcess[str]:
    """The program in a shell, so that its streams can be closed."""
    environment = {**os.environ, "PYTHONPATH": str(ROOT), "DIAG_NO_CACHE": "1"}
    return subprocess.run(
        ["sh", "-c", line], input=given, capture_output=True, text=True, env=environment, timeout=120, check=False
    )


@pytest.mark.parametrize("command", SILENT)
@pytest.mark.parametrize("how", [">&-", ">/dev/full"])
def test_output_that_cannot_be_written_is_a_matter_of_the_disk(command: str, how: str) -> None:
    """Closed or full standard output: code 4 and one line that says which."""
    done = run(f"{DIAG} {command} {how}")
    assert done.returncode == ExitCode.STORAGE
    assert "andard output" in done.stderr or command.endswith("--help")
    assert "Fault" not in done.stderr
    assert "Traceback" not in done.stderr


def test_input_that_is_closed_is_said_where_it_is_needed(tmp_path: Path) -> None:
    """A command that reads standard input ends with code 4; one that does not, works."""
    assert run(f"{DIAG} weigh - <&-").returncode == ExitCode.STORAGE
    assert run(f"{DIAG} demo --list <&-").returncode == ExitCode.DONE
    done = run(f"{DIAG} work --plain --folder {tmp_path} --new Wren <&-")
    assert done.returncode == ExitCode.STORAGE
    assert "Standard input is closed" in done.stderr


def test_errors_that_cannot_be_written_change_no_code() -> None:
    """Closed standard error: the result and the code are those of always."""
    done = run(f"{DIAG} {WEIGH} --json 2>&-")
    assert done.returncode == ExitCode.UNDECIDED
    assert done.stdout.startswith("{")


def test_a_reader_who_goes_ends_the_line_mode_with_a_code(tmp_path: Path) -> None:
    """Answers still come in but nobody hears the questions: not code 0, and what was answered is said to be on disk."""
    lines = "Mira\n" + "note one\n" * 200
    done = run(f"{{ {DIAG} work --plain --folder {tmp_path} --who Mira --new Wren; echo $? >&2; }} | head -n 3", lines)
    assert done.stderr.split()[-1] == str(int(ExitCode.STORAGE))
    assert "Every answer given so far is on disk." in done.stderr


@pytest.mark.parametrize(
    "command",
    [f"weigh {LONG}", f"weigh /tmp/{LONG}.yaml", f"work --plain --case /tmp/{LONG}.yaml",
     f"{WEIGH} --rules /tmp/{LONG}",
     f"lint /tmp/{LONG}", f"jobs --folder /tmp/{LONG}", f"demo {LONG}", f"learn /tmp/{LONG}"],
)  # fmt: skip
def test_a_name_that_is_too_long_is_bad_input(command: str) -> None:
    """256 letters and more in a name, wherever one is given."""
    done = run(f"{DIAG} {command}")
    assert done.returncode == ExitCode.BAD_INPUT, done.stderr
    assert "Fault" not in done.stderr


def test_words_of_any_length_can_be_searched_for(tmp_path: Path) -> None:
    """Sixty thousand letters are a word that no job has."""
    CaseStore(tmp_path).create(job()).close()
    for more in ("y" * 60_000, "--cause " + "y" * 60_000, "% " * 5_000):
        done = run(f"{DIAG} jobs --folder {tmp_path} {more}")
        assert done.returncode == ExitCode.DONE, done.stderr
        assert "1 open" in done.stdout


@pytest.mark.parametrize("note", ["--hand-over", "--summary", "--suspect-part"])
def test_a_note_written_as_a_page_is_literal_text(tmp_path: Path, note: str) -> None:
    """Markup in a title stays text in every form that a file's ending asks for; as JSON there is none."""
    text = subprocess.run([sys.executable, "-m", "diag", "demo", "wren-pressure-stays-high"], capture_output=True,
                          text=True, check=True, cwd=ROOT).stdout  # fmt: skip
    lines = ['title: "<script>alert(1)</script> ``` x"' if x.startswith("title:") else x for x in text.split("\n")]
    case = tmp_path / "wren.yaml"
    case.write_text("\n".join(lines))
    for ending in ("html", "md"):
        page = tmp_path / f"note.{ending}"
        assert run(f"{DIAG} report {case} {note} -o {page}").returncode == 0
        told = page.read_text()
        if ending == "html":
            assert "<script" not in told
            assert "default-src 'none'" in told
        else:
            outside = told.split("````")[1:2] or [""]
            assert "<script" not in told.replace(outside[0], "") or note == "--suspect-part"
    assert run(f"{DIAG} report {case} {note} -o {tmp_path}/note.json").returncode == ExitCode.BAD_INPUT
