"""One job at work: what is told reaches disk, can be taken back, and never gets lost."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from functools import lru_cache
from pathlib import Path

import pytest

from diag.casework.agenda import Task, rest_of_begun
from diag.casework.entries import Believed, Outcome, ReadingTaken, SignAnswer, StatusSet, StepDone, StepRefused
from diag.casework.store import CaseStore
from diag.rulebook.load import load_book
from diag.rulebook.model import RuleBook
from diag.rulebook.steps import Yield
from diag.rulebook.where import rules_folder
from diag.session.clock import stamp
from diag.session.job import Job
from diag.session.kept import new_case
from diag.support.disk.operations import Disk
from diag.support.errors import NotOnDiskError, QuantityError, UnknownNameError, UserError


@lru_cache(maxsize=1)
def book() -> RuleBook:
    return load_book(rules_folder())


def job() -> Job:
    """A job in memory."""
    return Job(new_case(book(), "Otter will not idle down"), book(), who="Mira")


def answer_the_look_over(work: Job, answer: str = "no") -> None:
    """Answer the nine places one by one."""
    while work.task.step == "look-over":
        work.answer_task(work.task, answer)


def test_the_look_over_comes_first_and_is_written_down_when_complete() -> None:
    """A fresh job asks for wet fuel place by place; the last answer also notes that the check was done."""
    work = job()
    work.tell_person("mechanic")
    work.answer_sign("pressure-wont-come-down", "yes")
    assert (work.task.kind, work.task.step, work.task.part) == ("sign", "look-over", 1)
    answer_the_look_over(work)
    last = work.case.entries[-1]
    assert isinstance(last, StepDone)
    assert last.step == "look-over"
    assert work.standing.situation.wet.value == "dry"
    assert work.change is not None


def test_a_check_once_begun_is_finished_first() -> None:
    """The second question of a check follows the first, whatever the ranking would now propose."""
    work = job()
    work.answer_sign("fuel-at-cap", "no", check="look-over")
    assert work.task.step == "look-over"
    assert work.task.part == 2


def test_what_is_to_be_done_at_once_is_found_once_a_change(monkeypatch: pytest.MonkeyPatch) -> None:
    """A screen asks for it ten times a key; each finding walks the whole case, which made keys slow."""
    found: list[object] = []

    def counted(*told: object) -> tuple[Task, ...]:
        found.append(told)
        return rest_of_begun(*told)  # type: ignore[arg-type]

    monkeypatch.setattr("diag.session.kept.rest_of_begun", counted)
    work = job()
    work.answer_sign("fuel-at-cap", "no", check="look-over")
    assert [work.task.part, work.task.part, len(work.tasks_at_once)] == [2, 2, 8]
    assert len(found) == 1
    work.answer_task(work.task, "no")
    assert work.task.part == 3
    assert work.task.part == 3
    assert len(found) <= 3


def test_undo_takes_back_answer_and_bookkeeping_together() -> None:
    """After undo the last question of a finished check is open again and the ranking is as before."""
    work = job()
    work.tell_person("mechanic")
    while (task := work.task).step == "look-over" and task.part < task.parts:
        work.answer_task(task, "no")
    ranking, task = work.standing.belief.ranked(), work.task
    work.answer_task(task, "no")
    assert work.undo()
    assert work.task == task
    assert work.standing.belief.ranked() == ranking


def test_undo_of_nothing_says_so() -> None:
    """An empty job has nothing to take back."""
    assert not job().undo()


def test_an_earlier_answer_can_be_changed_and_the_change_is_shown() -> None:
    """Changing an answer keeps its place in the story and tells what it did to the ranking."""
    work = job()
    work.answer_sign("adjuster-does-nothing", "yes")
    number = work.case.entries[-1].number
    work.answer_sign("fuel-in-reference-hose", "no")
    work.change_answer(number, "no")
    told = [e for e in work.case.effective() if isinstance(e, SignAnswer)]
    assert next((e.number, e.answer) for e in told) == (number, "absent")
    assert work.change is not None
    assert work.change.moved


def test_what_cannot_be_is_refused_and_changes_nothing() -> None:
    """Nonsense raises one clear line and leaves the job as it was."""
    work = job()
    before = work.case
    with pytest.raises(QuantityError):
        work.take_reading("rail pressure", "pump-on-engine-off", "5 ft")
    with pytest.raises(UnknownNameError, match="fuel-at-cap"):
        work.answer_sign("fuel-at-capp", "yes")
    with pytest.raises(UserError):
        work.answer_sign("fuel-at-cap", "purple")
    assert work.case is before


def test_passing_over_a_reading_goes_on_with_the_check() -> None:
    """A reading that cannot be had is left out; passing over a whole check counts as skipping it."""
    work = job()
    work.tell_person("mechanic")
    answer_the_look_over(work)
    check = book().checks["base-pressure"]
    first = next(y for y in check.yields if y.reading)
    from diag.casework.agenda import Task

    work.pass_over(Task("reading", check.id, reading=first.reading, at=first.at, part=1, parts=len(check.yields)))
    assert not any(isinstance(e, ReadingTaken) for e in work.case.entries)
    assert not any(isinstance(e, StepRefused) and e.why == "cannot" for e in work.case.entries)


def test_everything_is_on_disk_before_the_next_question(tmp_path: Path) -> None:
    """Another program reading the file sees the answer as soon as the call returns, and replays to the same ranking."""
    store = CaseStore(tmp_path, "Mira")
    work = Job.start(store, book(), "Wren weeps at the cap", "Mira")
    work.answer_sign("fuel-at-cap", "yes")
    read = CaseStore(tmp_path).read(work.case.id).whole()
    assert read.entries == work.case.entries
    assert Job(read, book()).standing.belief.ranked() == work.standing.belief.ranked()
    work.close_file()


class FullDisk(Disk):
    """A disk that can be filled up at will."""

    full = False

    def write(self, *arguments: object) -> object:  # type: ignore[override]
        if self.full:
            raise OSError(28, "No space left on device")
        return super().write(*arguments)  # type: ignore[arg-type]


def test_a_full_disk_keeps_the_answer_and_says_so(tmp_path: Path) -> None:
    """With the disk full the answer stays in memory, the trouble is named, and the next save brings both to disk."""
    disk = FullDisk()
    work = Job.start(CaseStore(tmp_path, "Mira", disk), book(), "Teasel starves", "Mira")
    disk.full = True
    work.answer_sign("fuel-at-cap", "no")
    assert "the disk is full" in work.trouble
    assert len(work.unsaved) == 1
    with pytest.raises(NotOnDiskError):
        work.close_file()
    assert len(CaseStore(tmp_path).read(work.case.id).whole().entries) == 0
    disk.full = False
    work.answer_sign("fuel-at-joint", "no")
    assert work.trouble == ""
    assert work.unsaved == ()
    assert len(CaseStore(tmp_path).read(work.case.id).whole().entries) == 2
    work.close_file()


def test_finishing_records_belief_outcome_and_status() -> None:
    """Closing writes what was believed, how it ended and that the job is closed, in that order."""
    work = job()
    work.finish("cured", ["reference-hose-off-or-split"] if "reference-hose-off-or-split" in book().causes else [])
    kinds = [type(e) for e in work.case.entries]
    assert kinds == [Believed, Outcome, StatusSet]
    assert work.standing.phase == "closed"


def test_minutes_count_from_the_opening() -> None:
    """The timer shows the minutes since the job was opened."""
    moment = datetime(2026, 5, 3, 9, 0, tzinfo=UTC)
    clock = [moment]
    work = Job(new_case(book(), "Linnet", lambda: clock[0]), book(), clock=lambda: clock[0])
    work.note("came in on a trailer")
    clock[0] = moment + timedelta(minutes=12)
    assert work.minutes == pytest.approx(12.0)
    assert stamp(moment) == "2026-05-03T09:00:00Z"


def test_a_time_without_zone_counts_as_utc() -> None:
    """A file edited by hand may leave the zone out; the timer still runs."""
    clock = datetime(2026, 5, 3, 9, 30, tzinfo=UTC)
    by_hand = replace(new_case(book(), "Linnet", lambda: clock), opened="2026-05-03T09:00:00")
    work = Job(by_hand, book(), clock=lambda: clock)
    work.note("came in on a trailer")
    assert work.minutes == pytest.approx(30.0)


@pytest.mark.parametrize(("told", "stopped"), [("80 to 95 psi", True), ("over 100 psi", True), ("60 to 80 psi", False)])
def test_of_an_unsteady_pressure_the_worse_end_counts(told: str, stopped: bool) -> None:
    """A needle that swings past what hoses bear is as dangerous as one that stays there, also with the adjuster in."""
    for point, name in (("pump-on-engine-off", "pressure-over-limit"), ("screw-in", "adjuster-in-over-limit")):
        work = job()
        work.take_reading("rail pressure", point, told)
        assert any(rule.id == name for rule in work.standing.stops) is stopped


def test_who_cannot_read_a_value_is_not_asked_about_it_in_words() -> None:
    """Of every check with a value and a sign that the same value decides: the value unknown, the sign is not asked."""
    pairs = [
        (check, item, sign.id)
        for check in book().checks.values()
        for item in check.yields
        for sign in (book().signs[y.sign] for y in check.yields if y.sign)
        if item.reading
        and not sign.symptom
        and sign.seen_when is not None
        and (sign.seen_when.reading, sign.seen_when.point) == (item.reading, item.at)
    ]
    assert ("manifold vacuum", "idle-vacuum-low") in {(item.reading, sign) for _, item, sign in pairs}
    for check, item, sign in pairs:
        work = job()
        work.pass_over(Task("reading", check.id, reading=item.reading, at=item.at, part=1, parts=2))
        through = any(getattr(entry, "step", "") == check.id for entry in work.case.entries)
        assert through or Yield(sign=sign) in work.left_out, check.id
