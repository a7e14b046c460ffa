"""A practice session: a fold of moves over a dealt car. Pure; the same deal and moves always give the same session.

The case inside is an ordinary case, so the wall, the belief and the proposal that judge it are those of real jobs.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from diag.casework import record
from diag.casework.entries import CarFact, Case, ReadingTaken, SignAnswer
from diag.fuelsystem.fields import FIELDS
from diag.practice.cars import PAPERS, paper
from diag.practice.deal import Deal
from diag.practice.doing import ask, do, ready
from diag.practice.moves import CLAIMS, Move
from diag.practice.state import WHO, Revealed, Session, logged, time_at
from diag.rulebook.model import RuleBook
from diag.support.errors import UnknownNameError, UserError

MEASURE_MINUTES = 10.0  # judgement: to crawl under the car with a caliper, or to find a plate
MOST_TURNS = 400


def begin(book: RuleBook, dealt: Deal) -> Session:
    """The car rolls in: who is there, what the papers say, and what the owner complains about."""
    case = Case("practice", f"Practice: {dealt.club_car.name}", time_at(0.0), book.version, book.fingerprint)
    at = time_at(0.0)
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
        session.case, book, "shop", second_person=True, tools=sorted({*at_hand, tool}), at=time_at(minutes), who=WHO
    )
    after = replace(session, case=case, minutes=minutes)
    return logged(after, "done", f"Borrow: {book.tools[tool]}", cost=(book.knobs.borrow_minutes, 0.0), before=before)


def _name(session: Session, move: Move) -> Session:
    for name in move.what:
        if name not in session.book.causes:
            raise UnknownNameError("cause", name, session.book.causes)
    titles = ", ".join(session.book.causes[name].title for name in move.what)
    return logged(replace(session, named=move.what), "said", f"Commit to: {titles}", names=move.what)


def _doubt(session: Session, move: Move) -> Session:
    if not move.first.isdecimal():
        raise UserError(f"{move.first!r} is no number of an entry.", "Give the number that stands before the answer.")
    number = int(move.first)
    entry = record.entry_of(session.case, number)
    if not isinstance(entry, ReadingTaken | SignAnswer):
        raise UserError(f"Entry {number} is no answer and no reading.", "Only those can be struck.")
    before = len(session.case.entries)
    case = record.retract(session.case, number, at=time_at(session.minutes), who=WHO, why="doubted")
    return logged(replace(session, case=case), "said", f"Strike entry {number}", before=before)


def _forget(session: Session, move: Move) -> Session:
    field = move.first
    told = {e.field: e.text for e in session.case.effective() if isinstance(e, CarFact)}
    if not told.get(field):
        raise UserError(f"Nothing is told about {field!r}.", "Only told facts of the car can be struck.")
    before = len(session.case.entries)
    case = record.car_fact(session.case, session.book, field, "", at=time_at(session.minutes), who=WHO)
    return logged(replace(session, case=case), "said", f"Strike what is told: {_field(session, field)}", before=before)


def _measure(session: Session, move: Move) -> Session:
    field, built = move.first, session.deal.built
    if field not in PAPERS:
        raise UnknownNameError("figure that can be measured", field, PAPERS)
    text = paper(field, built) if PAPERS[field] in built else ""
    if not text:
        raise UserError(f"{_field(session, field)} cannot be measured on this car.", "Go on without it.")
    before = len(session.case.entries)
    minutes = session.minutes + MEASURE_MINUTES
    case = record.car_fact(session.case, session.book, field, text, at=time_at(minutes), who=WHO)
    told = (Revealed(record.made(case).number, f"{_field(session, field)}: {text}"),)
    after = replace(session, case=case, minutes=minutes)
    return logged(
        after, "done", f"Measure: {_field(session, field)}", cost=(MEASURE_MINUTES, 0.0), told=told, before=before
    )


def _hint(session: Session, move: Move) -> Session:
    return logged(replace(session, hints=session.hints + 1), "said", "Ask what the program would do")


def _finish(session: Session, move: Move) -> Session:
    claim = next((c for c in CLAIMS if c == move.first.casefold()), None)
    if claim is None:
        raise UnknownNameError("way to finish", move.first, CLAIMS)
    words = {"cured": "Finish: cured", "hand on": "Finish: hand the car on", "give up": "Give up"}[claim]
    return logged(replace(session, claim=claim), "said", words)


def _field(session: Session, field: str) -> str:
    if field in FIELDS:
        return FIELDS[field].title
    context = session.book.contexts.get(field)
    return context.title if context else field


_HANDLERS = {
    "do": do,
    "ready": ready,
    "ask": ask,
    "borrow": _borrow,
    "name": _name,
    "doubt": _doubt,
    "forget": _forget,
    "measure": _measure,
    "hint": _hint,
    "finish": _finish,
}
