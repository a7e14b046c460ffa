"""A data log in a job: one change, not twice, and taken back as a whole."""

from __future__ import annotations

from dataclasses import replace

import pytest

from diag.casework.entries import ReadingTaken
from diag.datalog.told import LoggedReading, LoggedSign
from diag.session.job import Job
from diag.session.kept import new_case
from diag.session.logged import FromLog
from diag.support.errors import UserError
from tests.ui.plain.person import the_book

PSI = 6894.757
READINGS = (
    LoggedReading("rail pressure", "log-pump-on", 43.5 * PSI, 0.4 * PSI, "pump prime"),
    LoggedReading("rail pressure", "idle-hose-on", 34.6 * PSI, 0.4 * PSI, "idle", {"vacuum": 61_000.0}),
)
LOG = FromLog("run.csv", "slope 1.0", READINGS, (LoggedSign("traces-lag", "absent", "0.1 s"),))


def job() -> Job:
    """A job in memory with one answer."""
    found = Job(new_case(the_book(), "Otter"), the_book(), who="Mira")
    found.answer_sign("fuel-smell", "no")
    return found


def test_it_is_one_change_and_taken_back_as_one() -> None:
    """Undo takes the whole log back, and leaves what was told before it."""
    at_work = job()
    assert at_work.take_log(LOG) == ()
    assert len(at_work.case.effective()) == 5
    assert at_work.undo()
    assert [entry.number for entry in at_work.case.effective()] == [1]


def test_an_answer_after_it_is_taken_back_alone() -> None:
    """Only the newest thing goes."""
    at_work = job()
    at_work.take_log(LOG)
    at_work.answer_sign("fuel-in-cabin", "no")
    at_work.undo()
    assert len(at_work.case.effective()) == 5


def test_the_same_log_counts_once() -> None:
    """Added again it is refused; after it was taken back it may come again; another log may come beside it."""
    at_work = job()
    at_work.take_log(LOG)
    with pytest.raises(UserError, match="already"):
        at_work.take_log(LOG)
    assert len(at_work.case.effective()) == 5
    at_work.take_log(replace(LOG, name="run-2.csv"))
    at_work.undo()
    at_work.undo()
    at_work.take_log(LOG)
    assert len([e for e in at_work.case.effective() if isinstance(e, ReadingTaken)]) == 2


def test_what_this_book_does_not_know_is_left_out_and_said() -> None:
    """An unknown reading or a figure that cannot be costs only itself; nothing at all is refused."""
    at_work = job()
    odd = LoggedReading("rail pressure", "no-such-point", 40.0 * PSI, 1.0, "idle")
    high = LoggedReading("rail pressure", "cruise", 400.0 * PSI, 1.0, "cruise")
    left = at_work.take_log(replace(LOG, readings=(*READINGS, odd, high)))
    assert len(left) == 2
    assert "cannot be right" in left[1]
    with pytest.raises(UserError, match="nothing that can be used"):
        job().take_log(FromLog("x.csv", "nothing", (odd,), ()))
