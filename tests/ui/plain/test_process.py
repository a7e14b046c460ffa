"""The line mode as a real process: pipes, signals, and what is on disk afterwards."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
from pathlib import Path

import pytest

from diag.casework import entries as e
from diag.casework.store import CaseStore
from tests import ROOT

pytestmark = pytest.mark.slow  # several seconds: whole jobs, screens or processes

OPENING = "Otter won't start\n\nmechanic\n"


def _listen_to_interrupts() -> None:
    """A shell that runs the tests in the background has its children ignore the interrupt; a person's does not."""
    signal.signal(signal.SIGINT, signal.default_int_handler)


def start(folder: Path) -> subprocess.Popen[str]:
    """The program in a pipe, line by line without being asked."""
    environment = {**os.environ, "PYTHONPATH": str(ROOT), "PYTHONIOENCODING": "utf-8", "DIAG_NO_CACHE": "1"}
    return subprocess.Popen(
        [sys.executable, "-m", "diag", "work", "--folder", str(folder), "--who", "Mira"],
        stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, env=environment, cwd="/",
        preexec_fn=_listen_to_interrupts,
    )  # fmt: skip


def notes(folder: Path) -> list[str]:
    """Notes in the only job of the folder."""
    (name,) = CaseStore(folder).ids()
    return [x.text for x in CaseStore(folder).read(name).whole().entries if isinstance(x, e.Note)]


def test_a_pipe_is_answered_in_lines_without_any_escape(tmp_path: Path) -> None:
    """Piped answers make a job; the output holds no control character but line ends; it ends with the input."""
    process = start(tmp_path)
    out, err = process.communicate(OPENING + "note brought in on a trailer\n", timeout=60)
    assert process.returncode == 0, err
    assert not err
    assert notes(tmp_path) == ["brought in on a trailer"]
    assert not [c for c in out if (ord(c) < 32 and c != "\n") or 0x7F <= ord(c) < 0xA0]
    assert "> note brought in on a trailer" in out


@pytest.mark.skipif(not hasattr(signal, "SIGHUP"), reason="needs POSIX signals")
def test_signals_end_it_in_order_and_lose_nothing(tmp_path: Path) -> None:
    """Terminate, hang up, interrupt, kill: whatever was answered before is in the file, and the job is free again."""
    for number, code in ((signal.SIGTERM, 143), (signal.SIGHUP, 129), (signal.SIGINT, 130), (signal.SIGKILL, -9)):
        folder = tmp_path / number.name
        process = start(folder)
        assert process.stdin is not None
        assert process.stdout is not None
        process.stdin.write(OPENING + "note before the signal\n")
        process.stdin.flush()
        seen = ""
        while "Noted." not in seen:
            seen = process.stdout.readline()
        process.send_signal(number)
        _, err = process.communicate(timeout=60)
        assert process.returncode == code
        assert "Traceback" not in err
        assert notes(folder) == ["before the signal"]
        CaseStore(folder).open(CaseStore(folder).ids()[0]).close()
