"""Doing steps in a practice session: the wall, tools, the commitment, and the answers of the hidden car. Pure."""

from __future__ import annotations

from dataclasses import replace

from diag.casework import record
from diag.casework.agenda import complete
from diag.casework.entries import Case, ReadingTaken
from diag.decision.candidates import question_minutes
from diag.practice.deal import NEVER_TOLD
from diag.practice.moves import Move
from diag.practice.state import WHO, Refusal, Revealed, Session, logged, time_at
from diag.quantities import show
from diag.rulebook.findings import ABSENT
from diag.rulebook.steps import Check, Remedy, Step, Yield
from diag.safety.interlock import allowed
from diag.safety.setups import Planner
from diag.safety.situation import Verdict
from diag.safety.steps import find_step, questions_only, step_ids
from diag.support.errors import UnknownNameError, UserError

LONGEST_WAY = 15
DEEPEST = -1.0e5  # Pa gauge; nothing shows less than a perfect vacuum


def step_of(session: Session, name: str) -> Step:
    """The step of this name.

    Raises:
        UnknownNameError: the book has none.
    """
    step = find_step(session.book, name)
    if step is None:
        raise UnknownNameError("step", name, step_ids(session.book))
    return step


def refusal(session: Session, step: Step) -> Refusal | None:
    """Why this step cannot be done right now; None when it can."""
    book, situation = session.book, session.situation
    verdict = allowed(situation, step, book)
    if not verdict.allowed:
        return _refused(session, step, verdict)
    missing = _missing_tools(session, step)
    if missing:
        words = ", ".join(book.tools.get(t, t) for t in missing)
        return Refusal("no tool", f"Not at hand: {words}.", "it is borrowed", tools=missing)
    if isinstance(step, Remedy) and step.keeps_car:
        cured = [c for c in session.named if c in book.causes and step.id in book.causes[c].remedies]
        if not cured:
            return Refusal("name first", "Say first which cause this repair is for.", "a cause it cures is named")
    return None


def _refused(session: Session, step: Step, verdict: Verdict) -> Refusal:
    plan = Planner(session.book).plan(session.situation, step)
    way = tuple(s.id for s in plan.steps) if plan.verdict.allowed else ()
    bare = replace(step, needs=())
    only_setups = allowed(session.situation, bare, session.book).allowed
    return Refusal("not ready" if only_setups else "unsafe", verdict.why, verdict.until, way)


def _missing_tools(session: Session, step: Step) -> tuple[str, ...]:
    at_hand = session.situation.tools
    return () if at_hand is None else tuple(t for t in step.tools if t not in at_hand)


def do(session: Session, move: Move) -> Session:
    """A step, when nothing stands in its way."""
    step = step_of(session, move.first)
    refused = refusal(session, step)
    if refused is not None:
        return logged(session, refused.kind, step.title, step=step.id, refused=refused)
    return _carry_out(session, step)


def ready(session: Session, move: Move) -> Session:
    """Do the enabling steps one by one, asking the wall anew before each, and then the step itself."""
    step = step_of(session, move.first)
    for _ in range(LONGEST_WAY):
        refused = refusal(session, step)
        if refused is None:
            return _carry_out(session, step)
        following = find_step(session.book, refused.way[0]) if refused.way else None
        if following is None:
            return logged(session, refused.kind, step.title, step=step.id, refused=refused)
        blocked = refusal(session, following)
        if blocked is not None:
            return logged(session, blocked.kind, following.title, step=following.id, refused=blocked)
        session = _carry_out(session, following)
    raise AssertionError(f"no way to {step.id} in {LONGEST_WAY} steps")


def _carry_out(session: Session, step: Step, only: tuple[Yield, ...] = ()) -> Session:
    """A step that is allowed: answers come from the hidden car, time and risk add up.

    Args:
        only: of a check, the loose questions that are asked; empty for all of it.
    """
    before = len(session.case.entries)
    spent = question_minutes(step) * len(only) if only and isinstance(step, Check) else step.minutes
    minutes = session.minutes + spent
    at = time_at(minutes)
    case, told = session.case, []
    if isinstance(step, Check):
        for asked in only or step.yields:
            case, text = _answer(session, case, step, asked, at)
            told.append(Revealed(record.made(case).number, text))
    if not only or complete(case, session.book, step.id):
        case = record.step_done(case, session.book, step.id, at=at, who=WHO, minutes=spent)
    after = replace(
        session, case=case, car=session.car.after(step.id), minutes=minutes, risk=session.risk + step.risk_minutes
    )
    titles = "; ".join(session.book.signs[y.sign].title for y in only)
    title = f"{step.title}, only: {titles}" if only else step.title
    return logged(after, "done", title, step=step.id, cost=(spent, step.risk_minutes), told=tuple(told), before=before)


def loose_check(session: Session, sign: str) -> Check | None:
    """The check that is nothing but questions to the owner and has this one among them."""
    return next(
        (c for c in session.book.checks.values() if questions_only(c) and any(y.sign == sign for y in c.yields)), None
    )


def ask(session: Session, move: Move) -> Session:
    """Some of the loose questions of one check, each at its share of the minutes."""
    book = session.book
    for sign in move.what:
        if sign not in book.signs:
            raise UnknownNameError("sign", sign, book.signs)
    check = loose_check(session, move.first)
    asked = tuple(Yield(sign=s) for s in move.what)
    if check is None or not set(asked) <= set(check.yields):
        raise UserError("These are no questions that are asked together.", "Do the check that answers them instead.")
    refused = refusal(session, check)
    if refused is not None:
        return logged(session, refused.kind, check.title, step=check.id, refused=refused)
    return _carry_out(session, check, asked)


def _answer(session: Session, case: Case, check: Check, asked: Yield, at: str) -> tuple[Case, str]:
    book = session.book
    if asked.sign:
        sign = book.signs[asked.sign]
        answer = ABSENT if sign.id in _calm(session) else str(session.car.answer(asked, wrong=0.0))
        words = next(
            (a.words for a in sign.choices if a.id == answer), {"present": "yes", "absent": "no"}.get(answer, answer)
        )
        return record.answer_sign(case, book, sign.id, answer, check=check.id, at=at, who=WHO), f"{sign.title}: {words}"
    kind = book.readings[asked.reading]
    earlier = [e for e in case.entries if isinstance(e, ReadingTaken)]
    again = sum((e.reading, e.point) == (asked.reading, asked.at) for e in earlier)
    value = float(session.car.answer(asked, take=again + 1, misread=0.0))
    if kind.quantity == "pressure":
        number = sum(book.readings[e.reading].quantity == "pressure" for e in earlier) + 1
        if number == session.deal.misread_at:
            value = _misread(value, kind.misread_spread, kind.low, kind.high, session.deal.seed)
    if kind.quantity == "pressure":
        value = max(value, DEEPEST)
    text = show(value, kind.quantity)
    gauge = book.points[asked.at].gauge
    case = record.take_reading(case, book, kind.id, asked.at, text, gauge=gauge, check=check.id, at=at, who=WHO)
    return case, f"{kind.title}, {book.points[asked.at].title}: {text}"


def _calm(session: Session) -> frozenset[str]:
    """Dangers around the car that stop rules listen to (a hot engine, a closed room, fire): in practice there are none,
    unless the fault itself brings them. Fuel that leaks is the car's own, and stays."""
    book = session.book
    heard = {fact.partition(":")[2] for rule in book.stops.values() for fact in rule.when if fact.startswith("sign:")}
    linked = {name for c in session.deal.causes for name in book.causes[c].shows} - NEVER_TOLD
    return frozenset(
        n for n in heard - linked if n in book.signs and not book.signs[n].wet and not book.signs[n].choices
    )


def _misread(value: float, spread: float, low: float, high: float, seed: int) -> float:
    """A value misread by one and a half times the book's spread, to the side that the gauge has room for."""
    far = 1.5 * spread * (1.0 if seed % 2 else -1.0)
    return value + far if low <= value + far <= high else value - far
