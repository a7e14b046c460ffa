"""A practice session: a fold of moves over a dealt car. Pure; the same deal and moves always give the same session.

The case inside is an ordinary case, so the wall, the belief and the proposal that judge it are those of real jobs.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta
from functools import cached_property
from typing import Literal

from diag.casework import record
from diag.casework.agenda import complete
from diag.casework.entries import CarFact, Case, ReadingTaken, SignAnswer
from diag.casework.situation_of import situation_of
from diag.engine.hidden import HiddenCar
from diag.engine.nextcheck import question_minutes
from diag.engine.plan import Planner
from diag.engine.safesteps import find_step, questions_only, step_ids
from diag.engine.situation import Situation, Verdict
from diag.engine.wall import allowed
from diag.fuelsystem.fields import FIELDS
from diag.practice.cars import PAPERS, paper
from diag.practice.deal import NEVER_TOLD, Deal
from diag.practice.moves import CLAIMS, Claim, Move
from diag.quantities import show
from diag.rulebook.model import ABSENT, Check, Remedy, RuleBook, Step, Yield
from diag.trust.errors import UnknownNameError, UserError

OPENED = datetime(2026, 1, 1, 8, 0, tzinfo=UTC)
WHO = "trainee"
MEASURE_MINUTES = 10.0  # judgement: to crawl under the car with a caliper, or to find a plate
MOST_TURNS = 400
LONGEST_WAY = 15
DEEPEST = -1.0e5  # Pa gauge; nothing shows less than a perfect vacuum

Kind = Literal["done", "unsafe", "not ready", "no tool", "name first", "said"]


@dataclass(frozen=True, slots=True)
class Refusal:
    """Why a step was not done: the wall's reason, until when, and the steps that would open a safe way."""

    kind: Kind
    why: str
    until: str = ""
    way: tuple[str, ...] = ()
    tools: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Told:
    """One thing that came out: the case entry it became, and what it says."""

    entry: int
    text: str


@dataclass(frozen=True, slots=True)
class Turn:
    """One line of the session's log.

    ``before`` and ``after`` count the entries of the case, so that the case as it stood can be had again.
    """

    number: int
    kind: Kind
    title: str
    step: str = ""
    minutes: float = 0.0
    risk: float = 0.0
    told: tuple[Told, ...] = ()
    refusal: Refusal | None = None
    before: int = 0
    after: int = 0
    names: tuple[str, ...] = ()  # causes committed to


@dataclass(frozen=True)
class Session:
    """A session after some moves. ``named`` are the causes committed to; ``claim`` is how the trainee ended it."""

    book: RuleBook
    deal: Deal
    case: Case
    car: HiddenCar
    turns: tuple[Turn, ...] = ()
    moves: tuple[Move, ...] = ()
    minutes: float = 0.0
    risk: float = 0.0
    named: tuple[str, ...] = ()
    hints: int = 0
    claim: Claim | None = None

    @cached_property
    def situation(self) -> Situation:
        """Where the job stands for the wall."""
        return situation_of(self.case, self.book)

    @property
    def finished(self) -> bool:
        """Whether the trainee ended it."""
        return self.claim is not None

    @property
    def last(self) -> Turn | None:
        """The newest line of the log."""
        return self.turns[-1] if self.turns else None

    def case_at(self, entries: int) -> Case:
        """The case as it stood after so many entries."""
        return replace(self.case, entries=self.case.entries[:entries])

    def count(self, kind: Kind) -> int:
        """Turns of a kind."""
        return sum(turn.kind == kind for turn in self.turns)


def begin(book: RuleBook, dealt: Deal) -> Session:
    """The car rolls in: who is there, what the papers say, and what the owner complains about."""
    case = Case("practice", f"Practice: {dealt.club_car.name}", _at(0.0), book.version, book.fingerprint)
    at = _at(0.0)
    case = record.person_told(case, book, "shop", second_person=True, tools=dealt.tools, at=at, who=WHO)
    for field, text in (*dealt.facts.items(), *dealt.contexts.items()):
        case = record.car_fact(case, book, field, text, at=at, who=WHO)
    for sign in dealt.complaints:
        case = record.answer_sign(case, book, sign, "present", source="second hand", at=at, who=WHO)
    return Session(book, dealt, case, dealt.car)


def play(book: RuleBook, dealt: Deal, moves: Iterable[Move]) -> Session:
    """A whole session again from its moves."""
    session = begin(book, dealt)
    for move in moves:
        session = apply(session, move)
    return session


def apply(session: Session, move: Move) -> Session:
    """The session after one more move. What the wall refuses becomes a turn too, and changes nothing else.

    Raises:
        UserError: the move means nothing here; the session is as before.
    """
    if session.finished:
        raise UserError("This session is finished.", "Look at the debrief, or begin another one.")
    if len(session.turns) >= MOST_TURNS:
        raise UserError("This session has gone on for too long.", "Finish it.")
    handler = _HANDLERS[move.deed]
    after = handler(session, move)
    return replace(after, moves=(*session.moves, move))


# ------------------------------------------------------------------ steps


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


def _do(session: Session, move: Move) -> Session:
    step = step_of(session, move.first)
    refused = refusal(session, step)
    if refused is not None:
        return _log(session, refused.kind, step.title, step=step.id, refused=refused)
    return _carry_out(session, step)


def _ready(session: Session, move: Move) -> Session:
    """Do the enabling steps one by one, asking the wall anew before each, and then the step itself."""
    step = step_of(session, move.first)
    for _ in range(LONGEST_WAY):
        refused = refusal(session, step)
        if refused is None:
            return _carry_out(session, step)
        following = find_step(session.book, refused.way[0]) if refused.way else None
        if following is None:
            return _log(session, refused.kind, step.title, step=step.id, refused=refused)
        blocked = refusal(session, following)
        if blocked is not None:
            return _log(session, blocked.kind, following.title, step=following.id, refused=blocked)
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
    at = _at(minutes)
    case, told = session.case, []
    if isinstance(step, Check):
        for asked in only or step.yields:
            case, text = _answer(session, case, step, asked, at)
            told.append(Told(record.made(case).number, text))
    if not only or complete(case, session.book, step.id):
        case = record.step_done(case, session.book, step.id, at=at, who=WHO, minutes=spent)
    after = replace(
        session, case=case, car=session.car.after(step.id), minutes=minutes, risk=session.risk + step.risk_minutes
    )
    titles = "; ".join(session.book.signs[y.sign].title for y in only)
    title = f"{step.title}, only: {titles}" if only else step.title
    return _log(after, "done", title, step=step.id, cost=(spent, step.risk_minutes), told=tuple(told), before=before)


def loose_check(session: Session, sign: str) -> Check | None:
    """The check that is nothing but questions to the owner and has this one among them."""
    return next(
        (c for c in session.book.checks.values() if questions_only(c) and any(y.sign == sign for y in c.yields)), None
    )


def _ask(session: Session, move: Move) -> Session:
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
        return _log(session, refused.kind, check.title, step=check.id, refused=refused)
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
    gauge = "second" if book.points[asked.at].settings.get("gauge") == "second" else "main"
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


# ------------------------------------------------------------------ everything else


def _borrow(session: Session, move: Move) -> Session:
    book, tool = session.book, move.first
    if tool not in book.tools:
        raise UnknownNameError("tool", tool, book.tools)
    at_hand = session.situation.tools
    if at_hand is None or tool in at_hand:
        raise UserError(f"At hand already: {book.tools[tool]}.", "Nothing needs to be borrowed.")
    minutes = session.minutes + book.knobs.borrow_minutes
    before = len(session.case.entries)
    case = record.person_told(
        session.case, book, "shop", second_person=True, tools=sorted({*at_hand, tool}), at=_at(minutes), who=WHO
    )
    after = replace(session, case=case, minutes=minutes)
    return _log(after, "done", f"Borrow: {book.tools[tool]}", cost=(book.knobs.borrow_minutes, 0.0), before=before)


def _name(session: Session, move: Move) -> Session:
    for name in move.what:
        if name not in session.book.causes:
            raise UnknownNameError("cause", name, session.book.causes)
    titles = ", ".join(session.book.causes[name].title for name in move.what)
    return _log(replace(session, named=move.what), "said", f"Commit to: {titles}", names=move.what)


def _doubt(session: Session, move: Move) -> Session:
    if not move.first.isdecimal():
        raise UserError(f"{move.first!r} is no number of an entry.", "Give the number that stands before the answer.")
    number = int(move.first)
    entry = record.entry_of(session.case, number)
    if not isinstance(entry, ReadingTaken | SignAnswer):
        raise UserError(f"Entry {number} is no answer and no reading.", "Only those can be struck.")
    before = len(session.case.entries)
    case = record.retract(session.case, number, at=_at(session.minutes), who=WHO, why="doubted")
    return _log(replace(session, case=case), "said", f"Strike entry {number}", before=before)


def _forget(session: Session, move: Move) -> Session:
    field = move.first
    told = {e.field: e.text for e in session.case.effective() if isinstance(e, CarFact)}
    if not told.get(field):
        raise UserError(f"Nothing is told about {field!r}.", "Only told facts of the car can be struck.")
    before = len(session.case.entries)
    case = record.car_fact(session.case, session.book, field, "", at=_at(session.minutes), who=WHO)
    return _log(replace(session, case=case), "said", f"Strike what is told: {_field(session, field)}", before=before)


def _measure(session: Session, move: Move) -> Session:
    field, built = move.first, session.deal.built
    if field not in PAPERS:
        raise UnknownNameError("figure that can be measured", field, PAPERS)
    text = paper(field, built) if PAPERS[field] in built else ""
    if not text:
        raise UserError(f"{_field(session, field)} cannot be measured on this car.", "Go on without it.")
    before = len(session.case.entries)
    minutes = session.minutes + MEASURE_MINUTES
    case = record.car_fact(session.case, session.book, field, text, at=_at(minutes), who=WHO)
    told = (Told(record.made(case).number, f"{_field(session, field)}: {text}"),)
    after = replace(session, case=case, minutes=minutes)
    return _log(
        after, "done", f"Measure: {_field(session, field)}", cost=(MEASURE_MINUTES, 0.0), told=told, before=before
    )


def _hint(session: Session, move: Move) -> Session:
    return _log(replace(session, hints=session.hints + 1), "said", "Ask what the program would do")


def _finish(session: Session, move: Move) -> Session:
    claim = next((c for c in CLAIMS if c == move.first.casefold()), None)
    if claim is None:
        raise UnknownNameError("way to finish", move.first, CLAIMS)
    words = {"cured": "Finish: cured", "hand on": "Finish: hand the car on", "give up": "Give up"}[claim]
    return _log(replace(session, claim=claim), "said", words)


def _field(session: Session, field: str) -> str:
    if field in FIELDS:
        return FIELDS[field].title
    context = session.book.contexts.get(field)
    return context.title if context else field


def _log(
    session: Session,
    kind: Kind,
    title: str,
    *,
    step: str = "",
    cost: tuple[float, float] = (0.0, 0.0),
    told: tuple[Told, ...] = (),
    refused: Refusal | None = None,
    before: int | None = None,
    names: tuple[str, ...] = (),
) -> Session:
    here = len(session.case.entries)
    turn = Turn(
        len(session.turns) + 1, kind, title, step,
        *cost,
        told, refused, here if before is None else before, here, names,
    )  # fmt: skip
    return replace(session, turns=(*session.turns, turn))


def _at(minutes: float) -> str:
    return (OPENED + timedelta(minutes=minutes)).replace(microsecond=0).isoformat().replace("+00:00", "Z")


_HANDLERS = {
    "do": _do,
    "ready": _ready,
    "ask": _ask,
    "borrow": _borrow,
    "name": _name,
    "doubt": _doubt,
    "forget": _forget,
    "measure": _measure,
    "hint": _hint,
    "finish": _finish,
}
