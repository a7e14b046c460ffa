"""What to ask or do next, one thing at a time: the proposal taken apart into tasks. Pure.

A check that was begun is finished before the next proposal is looked at, unless the wall says no by then.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from diag.casework.entries import Case, ReadingTaken, SignAnswer, StepDone, StepRefused
from diag.casework.evidence_of import lacks_told
from diag.casework.replay import Standing
from diag.casework.situation_of import situation_of
from diag.rulebook.built import fitting
from diag.rulebook.findings import NOT_KNOWN
from diag.rulebook.model import RuleBook
from diag.rulebook.steps import Action, Check, Remedy, Step, Yield
from diag.safety.effects import after
from diag.safety.setups import plan
from diag.safety.situation import Situation, Wet
from diag.safety.steps import RUNS, TRAINED, find_step, look_check, questions_only
from diag.safety.stop_rules import full_stop
from diag.support.errors import UserError

TaskKind = Literal["do", "sign", "reading", "remedy", "stop", "hand on", "close"]


@dataclass(frozen=True, slots=True)
class Task:
    """One thing to do or to answer.

    ``step`` is the check, setup or remedy it belongs to; ``part`` of ``parts`` counts its questions from 1.
    """

    kind: TaskKind
    step: str = ""
    sign: str = ""
    reading: str = ""
    at: str = ""
    part: int = 1
    parts: int = 1


def tasks(standing: Standing, left_out: Collection[Yield] = ()) -> tuple[Task, ...]:
    """Everything from here to the end of the present proposal, in order; never empty.

    Args:
        standing: where the job stands.
        left_out: questions of the check in progress that the person wants to pass over.
    """
    return rest_of_begun(standing, left_out) or _of_proposal(standing, left_out)


def rest_of_begun(standing: Standing, left_out: Collection[Yield] = ()) -> tuple[Task, ...]:
    """The questions left of the check in progress; found without belief or proposal, so at once."""
    begun = in_progress(standing.case, standing.book)
    if begun is None or not _may_go_on(standing, begun):
        return ()
    return _questions(begun, standing.book, _answered(standing.case, standing.book, begun.id), left_out)


def way_to(standing: Standing, step_id: str, left_out: Collection[Yield] = ()) -> tuple[Task, ...]:
    """What leads to a step the person chose, and the step itself, as far as the next look-over.

    Needs no belief for a step that does nothing; any other may be barred by what is likely by now.

    Raises:
        UserError: there is no such step, or no safe way to it now; says why and until when.
    """
    step = find_step(standing.book, step_id)
    if step is None:
        raise UserError(f"There is no step called {step_id!r}.", "Pick one from the list.")
    found = plan(standing.informed if step.does else standing.situation, step, standing.book)
    if not found.verdict.allowed:
        raise UserError(f"Not now: {found.verdict.why}", f"Until: {found.verdict.until}.", step.title)
    before, target = found.up_to_look()
    check = standing.book.checks.get(target.id)
    here = _once_done(standing.situation, before, standing.book)
    questions = _fresh(standing, check, left_out, here) if check is not None else ()
    kind: TaskKind = "remedy" if isinstance(target, Remedy) else "do"
    return (*(Task("do", s.id) for s in before), *(questions or (Task(kind, target.id),)))


def in_progress(case: Case, book: RuleBook) -> Check | None:
    """The check whose answers are coming in, when some of its questions are still open."""
    for entry in reversed(case.effective()):
        if isinstance(entry, StepDone | StepRefused):
            return None
        if isinstance(entry, SignAnswer | ReadingTaken) and entry.check:
            check = book.checks.get(entry.check)
            if check is None or questions_only(check):
                return None  # loose questions are weighed anew after every answer
            return check if len(_answered(case, book, check.id)) < len(check.yields) else None
    return None


def complete(case: Case, book: RuleBook, check_id: str, left_out: Collection[Yield] = ()) -> bool:
    """Whether every question of the check was answered or passed over since it was begun."""
    check = book.checks.get(check_id)
    return check is not None and not _questions(check, book, _answered(case, book, check_id), left_out)


def _answered(case: Case, book: RuleBook, check_id: str) -> set[Yield]:
    """The questions of this check answered since it was last done, or since the car was last changed."""
    answered: set[Yield] = set()
    now: set[int] = set()  # entries of the answers that count
    check = book.checks.get(check_id)
    for entry in case.effective():
        if isinstance(entry, StepDone | StepRefused):
            changed = isinstance(entry, StepDone) and isinstance(find_step(book, entry.step), Remedy | Action)
            if entry.step == check_id or changed:
                answered.clear()
                now.clear()
        elif isinstance(entry, SignAnswer) and entry.check == check_id:
            answered.add(Yield(sign=entry.sign))
            now.add(entry.number)
        elif isinstance(entry, ReadingTaken) and entry.check == check_id:
            answered.add(Yield(reading=entry.reading, at=entry.point))
    if check is not None and check.look_over and now:
        answered |= {Yield(sign=sign) for sign in _spared(case, book, now)}
    if check is not None:
        answered |= asked_in_words(check, book, answered) | _told_elsewhere(case, book, check)
        answered |= set(check.yields) - set(fitting(check, book, lacks_told(case, book)))
    return answered


def asked_in_words(check: Check, book: RuleBook, answered: Collection[Yield]) -> set[Yield]:
    """Signs that only ask in words about a value just read, or just passed over as not known.

    A complaint is asked all the same, for its end counts.
    """
    found = set()
    for item in check.yields:
        sign = book.signs.get(item.sign)
        seen = sign.seen_when if sign is not None and not sign.symptom else None
        if seen is not None and Yield(reading=seen.reading, at=seen.point) in answered:
            found.add(item)
    return found


def _told_elsewhere(case: Case, book: RuleBook, check: Check) -> set[Yield]:
    """Signs of a check that were told outside it since the car was last changed: nobody is asked twice.

    What people complain of is not asked again however sure they were, since they know no more the second time; what a
    check looks at itself is, where the answer was not sure. An answer that the belief doubts is asked for again by
    name. A place that may be wet is looked at every time, and a check that is done once more asks for all of it.
    """
    told: set[str] = set()
    for entry in case.effective():
        if isinstance(entry, StepDone):
            if entry.step == check.id:
                return set()
            if isinstance(find_step(book, entry.step), Remedy | Action):
                told.clear()
        elif isinstance(entry, SignAnswer) and entry.check != check.id:
            sign = book.signs.get(entry.sign)
            doubtful = entry.sure != "sure" and not (sign is not None and sign.symptom)
            (told.discard if doubtful or entry.answer == NOT_KNOWN else told.add)(entry.sign)
    return {y for y in check.yields if y.sign in told and not book.signs[y.sign].wet}


def _spared(case: Case, book: RuleBook, now: Collection[int]) -> frozenset[str]:
    """Places of a look-over in progress, whose answers so far are ``now``, that need not be asked about again.

    A place told dry before our own deed elsewhere stays dry. A look-over of one's own choice on a dry car, one that
    found something wet, and every look of the proof of a repair ask for all: a slow leak shows after minutes only.
    """
    here = situation_of(case, book)
    before = situation_of(replace(case, entries=tuple(e for e in case.entries if e.number not in now)), book)
    if here.wet is Wet.WET:
        return frozenset()
    if (here.wet, here.proof_stage) == (before.wet, before.proof_stage):
        return still_dry(before) & still_dry(here)
    return still_dry(before)


def still_dry(situation: Situation) -> frozenset[str]:
    """Places that the next look-over need not ask about: those seen dry before a joint elsewhere was opened by us."""
    return situation.dry_places if situation.wet is Wet.UNKNOWN and situation.own_joint else frozenset()


def _may_go_on(standing: Standing, check: Check) -> bool:
    situation = standing.situation
    if full_stop(situation, standing.book) is not None:
        return False
    if check.for_leaks or check.look_over:
        return True
    return situation.wet is not Wet.WET or not set(check.does) & RUNS


def _questions(
    check: Check, book: RuleBook, answered: Collection[Yield], left_out: Collection[Yield]
) -> tuple[Task, ...]:
    """What is still asked, in order; no words for a value that is about to be read."""
    asked = [y for y in check.yields if y not in answered and y not in left_out]
    spoken = asked_in_words(check, book, asked)
    asked = [y for y in asked if y not in spoken]
    total = len(check.yields)
    return tuple(Task(_kind_of(y), check.id, y.sign, y.reading, y.at, check.yields.index(y) + 1, total) for y in asked)


def asked_by(standing: Standing, check: Check) -> tuple[Task, ...]:
    """What a check would ask if it were begun now; all of it again where nothing of it is left to ask."""
    return _fresh(standing, check, (), standing.situation)


def _fresh(
    standing: Standing, check: Check, left_out: Collection[Yield], here: Situation, again: Collection[str] = ()
) -> tuple[Task, ...]:
    """The questions of a check not yet begun, once the car is as ``here``; of a look-over the places not known dry.

    What was settled elsewhere is left out but for the signs ``again``, unless nothing else would be asked.
    """
    spared = still_dry(here) if check.look_over else ()
    unfit = set(check.yields) - set(fitting(check, standing.book, here.lacks))
    never = {*unfit, *(Yield(sign=sign) for sign in spared)}
    told = {y for y in _told_elsewhere(standing.case, standing.book, check) if y.sign not in again}
    book = standing.book
    return _questions(check, book, never | told, left_out) or _questions(check, book, never, left_out)


def _once_done(situation: Situation, steps: Sequence[Step], book: RuleBook) -> Situation:
    """The car once these setups were done."""
    for step in steps:
        situation = after(situation, step, book, "")
    return situation


def _kind_of(item: Yield) -> TaskKind:
    return "sign" if item.sign else "reading"


def _of_proposal(standing: Standing, left_out: Collection[Yield]) -> tuple[Task, ...]:
    proposal = standing.proposal
    first = tuple(Task("do", setup) for setup in proposal.setups)
    if proposal.kind in ("stop", "hand on", "close"):
        kind: TaskKind = "stop" if proposal.kind == "stop" else "close" if proposal.kind == "close" else "hand on"
        return (*first, Task(kind, proposal.step))
    if proposal.kind == "remedy":
        return (*first, Task("remedy", proposal.step))
    check = standing.book.checks.get(proposal.step)
    if check is not None and proposal.ask:
        asked = tuple(y for y in proposal.ask if y not in left_out)
        loose = (Task(_kind_of(y), check.id, y.sign, y.reading, y.at, n, len(asked)) for n, y in enumerate(asked, 1))
        return (*first, *loose) if asked else (*first, Task("do", proposal.step))
    if check is None:
        return (*first, Task("do", proposal.step))
    setups = [step for name in proposal.setups if (step := find_step(standing.book, name)) is not None]
    again = {sign for reason in proposal.reason if reason.kind == "asked again" for sign in reason.signs}
    here = _once_done(standing.situation, setups, standing.book)
    return (*first, *(_fresh(standing, check, left_out, here, again) or (Task("do", proposal.step),)))


# ------------------------------------------------------------------ several at once


def in_one_go(standing: Standing, found: Sequence[Task]) -> tuple[tuple[Task, ...], tuple[Task, ...]]:
    """Deeds that follow one another, and the questions that come right after them: all of it may be told at once.

    After a repair these are the places of the look that proves it.
    """
    book = standing.book
    if found and found[0].kind == "remedy":
        step = find_step(book, found[0].step)
        here = after(standing.situation, step, book, "") if step is not None else standing.situation
        return (found[0],), _look_at(standing, here, look_check(book, after_repair=True))
    deeds = []
    for task in found:
        if task.kind != "do" or task.step in book.checks:
            break
        deeds.append(task)
    rest = found[len(deeds) :]
    asked = tuple(t for t in rest if t.kind in ("sign", "reading") and t.step == rest[0].step)
    check = book.checks.get(rest[0].step) if rest else None
    if deeds and (check is None or not check.look_over):
        done = [step for task in deeds if (step := find_step(book, task.step)) is not None]
        asked = _look_at(standing, _once_done(standing.situation, done, book), look_check(book)) or asked
    return tuple(deeds), asked


def _look_at(standing: Standing, here: Situation, look: Check | None) -> tuple[Task, ...]:
    """The places that are looked at before anything else, once the car is as ``here``; none where that is settled."""
    due = (here.wet is Wet.UNKNOWN and not here.looked) or (here.wet is Wet.REPAIRED and here.person in TRAINED)
    return _fresh(standing, look, (), here) if look is not None and due else ()


def places_only(found: Sequence[Task], book: RuleBook) -> bool:
    """Whether several places are asked about that are dry or wet, so that one line or key may speak for the rest."""
    signs = [book.signs[task.sign] for task in found if task.kind == "sign"]
    return len(signs) == len(found) > 1 and all(sign.wet and not sign.choices for sign in signs)
