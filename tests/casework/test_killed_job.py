"""The whole job, with rule book, replay and store, killed at random moments."""

from __future__ import annotations

import os
import random
import signal
import time
from pathlib import Path

import pytest

from diag.casework.entries import Note
from diag.casework.record import note
from diag.casework.store import CaseStore
from diag.session.job import Job
from tests.presentation.report.jobs import the_book

pytestmark = pytest.mark.slow  # several seconds: whole jobs, screens or processes

KILLS = int(os.environ.get("DIAG_KILLS", "200")) // 4


def _work_for_ever(folder: Path, case_id: str, pipe: int) -> None:
    """The child: open the job as the program does, answer on and on, tell each answer that counts as saved."""
    try:
        job = Job.open(CaseStore(folder, "Mira"), the_book(), case_id, "Mira")
        told = len(job.case.entries)
        while True:
            told += 1
            job.apply(lambda case: note(case, f"answer {len(case.entries) + 1}", at="2026-11-25T13:00:00Z", who="Mira"))
            if job.trouble:
                os._exit(8)
            os.write(pipe, told.to_bytes(4, "big"))
    finally:
        os._exit(7)


def test_a_killed_job_keeps_every_answer_it_took(tmp_path: Path) -> None:
    """SIGKILL while answers come in: the next start finds the job free, whole and complete."""
    rng = random.Random(6)
    started = Job.start(CaseStore(tmp_path, "Mira"), the_book(), "Wren runs rich", "Mira")
    case_id = started.case.id
    started.close_file()
    saved = 0
    for _ in range(KILLS):
        reading, writing = os.pipe()
        child = os.fork()
        if child == 0:
            os.close(reading)
            _work_for_ever(tmp_path, case_id, writing)
        os.close(writing)
        time.sleep(rng.uniform(0.0, 0.04))
        os.kill(child, signal.SIGKILL)
        _, how = os.waitpid(child, 0)
        assert os.WIFSIGNALED(how), "the program ended by itself"
        told = b""
        while part := os.read(reading, 65536):
            told += part
        os.close(reading)
        acknowledged = int.from_bytes(told[-4:], "big") if told else saved
        case = CaseStore(tmp_path).read(case_id).whole()
        assert acknowledged <= len(case.entries) <= acknowledged + 1
        assert [x.text for x in case.entries if isinstance(x, Note)] == [
            f"answer {n + 1}" for n in range(len(case.entries))
        ]
        saved = len(case.entries)
    assert saved > KILLS // 4
    job = Job.open(CaseStore(tmp_path, "Mira"), the_book(), case_id, "Mira")
    assert len(job.case.entries) == saved
    job.close_file()
