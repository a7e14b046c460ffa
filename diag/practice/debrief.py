"""The debrief: step by step what was learnt, what it cost, and what the program would have done there. Pure.

Two measures of information. *Could tell*: the expected fall of uncertainty about the remedy needed, in bits, as the
choice of checks uses it. *Told*: by how many bits the answers moved the chance of what was really wrong, the base-2
logarithm of the factor; it may be negative, since a fair check can mislead.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

from diag.casework.replay import ModelCache, Standing
from diag.decision.proposal import Alternative, Proposal
from diag.inference.posterior import NOTHING_WRONG
from diag.practice.guide import Tick, standing_of, work_through
from diag.practice.judge import Score, judge
from diag.practice.state import Session, Turn
from diag.rulebook.steps import Check, Remedy
from diag.safety.situation import Wet
from diag.safety.steps import find_step

LN2 = math.log(2.0)
FLOOR = 1e-4  # chances below this count as this, so that one answer cannot be worth dozens of bits
AS_GOOD = 0.8  # share of the best rate from which a choice counts as good as the program's
NOTHING_NEW = 0.02  # bits


@dataclass(frozen=True, slots=True)
class Choice:
    """A step with what it could tell per minute there; bits and rate are None where checks were not weighed."""

    step: str
    title: str
    minutes: float
    bits: float | None = None
    rate: float | None = None


@dataclass(frozen=True, slots=True)
class Review:
    """One turn looked at again. ``told`` in bits, None where nothing could be told; ``truth`` is the chance that the
    program gave to what was really wrong, before and after."""

    turn: Turn
    yours: Choice | None
    programs: Choice | None
    same: bool
    truth: tuple[float, float]
    told: float | None
    verdict: str
    teaches: str = ""


@dataclass(frozen=True, slots=True)
class Mark:
    """A step of a course: title, minutes and risk so far, and the chance of what was really wrong afterwards."""

    title: str
    minutes: float
    risk: float
    truth: float


@dataclass(frozen=True)
class Debrief:
    """Everything the debrief says. ``yours`` and ``programs`` are the two courses over the same car."""

    session: Session
    program: Session
    score: Score
    program_score: Score
    reviews: tuple[Review, ...]
    yours: tuple[Mark, ...]
    programs: tuple[Mark, ...]


def debrief(session: Session, cache: ModelCache | None = None, tick: Tick = lambda number: True) -> Debrief | None:
    """Look at a session again beside the program's own order on the same car.

    Args:
        tick: told the number of every step looked at; False gives up, and the debrief is None.
    """
    kept: ModelCache = {} if cache is None else cache
    reviews = []
    for number, turn in enumerate(session.turns, 1):
        if not tick(number):
            return None
        reviews.append(_review(session, turn, kept))
    stopped: list[int] = []

    def goes_on(number: int) -> bool:
        going = tick(len(session.turns) + number)
        stopped.extend([] if going else [number])
        return going

    program = work_through(session.book, session.deal, kept, goes_on)
    if stopped:
        return None
    return Debrief(
        session, program, judge(session), judge(program), tuple(reviews), course(session, kept), course(program, kept)
    )


# ------------------------------------------------------------------ truth


def present_at(session: Session, number: int) -> tuple[str, ...]:
    """What was wrong with the car just before a turn, counted from 1."""
    car = session.deal.car
    for turn in session.turns[: number - 1]:
        if turn.kind == "done" and turn.step:
            car = car.after(turn.step)
    return car.present()


def truth(now: Standing, wrong: Iterable[str]) -> float:
    """The chance given to what is really wrong: the geometric mean over several; of nothing when none is left."""
    ranked = dict(now.belief.ranked())
    names = list(wrong) or [NOTHING_WRONG]
    return math.exp(sum(math.log(max(ranked.get(n, 0.0), FLOOR)) for n in names) / len(names))


def bits(before: float, after: float) -> float:
    """By how much an answer moved the chance of what is so: the base-2 logarithm of the factor.

    It adds up over the answers of a job to the information that was missing (Shannon's measure).
    """
    return math.log2(max(after, FLOOR) / max(before, FLOOR))


def course(session: Session, cache: ModelCache) -> tuple[Mark, ...]:
    """The steps done, in order, with minutes, risk and the chance of the truth."""
    marks, minutes, risk = [], 0.0, 0.0
    for turn in session.turns:
        if turn.kind != "done":
            continue
        minutes += turn.minutes
        risk += turn.risk
        after = standing_of(session, turn.after, cache)
        marks.append(Mark(turn.title, minutes, risk, truth(after, present_at(session, turn.number + 1))))
    return tuple(marks)


# ------------------------------------------------------------------ one turn


def _review(session: Session, turn: Turn, cache: ModelCache) -> Review:
    wrong = present_at(session, turn.number)
    before = standing_of(session, turn.before, cache)
    was = truth(before, wrong)
    if turn.kind == "said":
        return Review(turn, None, None, True, (was, was), None, _said(session, turn, before))
    if turn.kind != "done":
        return Review(turn, None, None, False, (was, was), None, _stopped(session, turn))
    book, proposal = session.book, before.proposal
    step = find_step(book, turn.step) if turn.step else None
    if not isinstance(step, Check):
        words = _repair(session, turn, before) if isinstance(step, Remedy) else _other(session, turn, proposal)
        same = bool(turn.step) and turn.step in (proposal.step, proposal.toward, *proposal.setups)
        return Review(turn, None, _programs(proposal), same, (was, was), None, words)
    now = truth(standing_of(session, turn.after, cache), wrong)
    yours, programs = _yours(proposal, step), _programs(proposal)
    same = step.id in (proposal.step, proposal.toward)
    told = bits(was, now)
    if same and 0 < len(proposal.ask) < len(turn.told):
        verdict = "The program would have asked fewer of these questions first."
    else:
        verdict = _check(step, yours, programs, same, proposal, before.situation.wet is Wet.UNKNOWN)
    return Review(turn, yours, programs, same, (was, now), told, verdict, step.teaches)


def _find(proposal: Proposal, step: str) -> Alternative | None:
    return next((a for a in proposal.alternatives if a.step == step and a.kind == "check"), None)


def _yours(proposal: Proposal, check: Check) -> Choice:
    found = _find(proposal, check.id)
    if found is not None:
        return Choice(check.id, check.title, found.minutes, found.gain / LN2, found.rate / LN2)
    known = 0.0 if proposal.alternatives else None  # weighed, but nothing about it is open any more
    return Choice(check.id, check.title, check.minutes + check.risk_minutes, known, known)


def _programs(proposal: Proposal) -> Choice | None:
    if not proposal.step:
        return None
    found = _find(proposal, proposal.toward or proposal.step)
    if found is None or proposal.kind != "check":
        return Choice(proposal.step, proposal.title, proposal.minutes)
    return Choice(found.step, found.title, found.minutes, found.gain / LN2, found.rate / LN2)


def _check(step: Check, yours: Choice, programs: Choice | None, same: bool, proposal: Proposal, unlooked: bool) -> str:
    if same:
        return "The program would have done the same."
    if step.look_over and unlooked:
        return "Needed: nobody had looked the car over since it last changed."
    if step.look_over:
        return "A look for wet fuel is never wrong; the program did not need another one here."
    if programs is None:
        return {"close": "The program would have closed the job.", "stop": "The program would have stopped here."}.get(
            proposal.kind, "The program would have handed the car on."
        )
    if proposal.kind == "prove":
        return f"The program would have gone on proving the repair: {programs.title}."
    if proposal.kind == "remedy":
        return f"The program would have gone to the repair: {programs.title}."
    if yours.bits is None or yours.rate is None or programs.rate is None or programs.bits is None:
        return f"The program would first have done: {programs.title}."
    if yours.bits < NOTHING_NEW:
        return f"It could tell nothing that was not known. {_better(programs)}"
    if yours.rate >= AS_GOOD * programs.rate:
        return f"As good as the program's choice, which was: {programs.title}."
    return f"It could tell {_bits(yours)}. {_better(programs)}"


def _better(choice: Choice) -> str:
    return f"{choice.title} could have told {_bits(choice)}."


def _bits(choice: Choice) -> str:
    minutes = f"{choice.minutes:.0f} min" if choice.minutes >= 1.0 else "under a minute"
    return f"{choice.bits or 0.0:.2f} bits for {minutes}"


def _repair(session: Session, turn: Turn, before: Standing) -> str:
    book = session.book
    chances = dict(before.belief.ranked())
    chance = sum(p for name, p in chances.items() if name in book.causes and turn.step in book.causes[name].remedies)
    odds = f"The evidence gave this repair {min(chance, 1.0):.0%}."
    remedy = book.remedies[turn.step]
    wrong, left = present_at(session, turn.number), present_at(session, turn.number + 1)
    meant = [c for c in wrong if turn.step in book.causes[c].remedies]
    if not remedy.keeps_car:
        good = bool(meant)
        return f"{odds} {'This car was rightly given to others.' if good else 'The fault was one to cure here.'}"
    if not meant:
        return f"{odds} It was not what was wrong."
    if all(c in left for c in meant):
        return f"{odds} It was the right repair, but the work did not hold; that is what the proof is for."
    if chance < book.knobs.commit_at and before.proposal.kind == "check":
        return f"{odds} Right, with some luck: one more check ({before.proposal.title}) was worth its minutes."
    return f"{odds} Right, and at the right time."


def _other(session: Session, turn: Turn, proposal: Proposal) -> str:
    if not turn.step:
        return "" if turn.title.startswith("Measure") else "Borrowed."
    if turn.step in session.book.setups:
        return "Getting ready."
    same = turn.step == proposal.step
    return "The program would have done the same." if same else "It changes the car, so readings before it count apart."


def _stopped(session: Session, turn: Turn) -> str:
    refused = turn.refusal
    if refused is None:
        return ""
    until = f" Until: {refused.until.rstrip('.')}." if refused.until else ""
    titles = [t.title for name in refused.way if (t := find_step(session.book, name)) is not None]
    way = f" The safe way there: {'; '.join(titles)}." if titles else ""
    head = "Stopped: " if refused.kind == "unsafe" else ""
    return f"{head}{refused.why}{until}{way}"


def _said(session: Session, turn: Turn, before: Standing) -> str:
    if turn.names:
        names = turn.names
        chances = dict(before.belief.ranked())
        said = [f"{session.book.causes[n].title}: {chances.get(n, 0.0):.0%}" for n in names]
        wrong = session.deal.causes
        right = "That was it." if set(names) & set(wrong) else "That was not it."
        return f"The evidence stood at: {'; '.join(said)}. {right}"
    if turn.title.startswith("Ask"):
        return f"The program proposed: {before.proposal.title}."
    return ""
