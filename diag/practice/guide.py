"""The program's own order on the same hidden car: what the debrief compares with. Pure."""

from __future__ import annotations

from collections.abc import Callable

from diag.casework.replay import ModelCache, Standing, standing
from diag.inference.posterior import NOT_IN_BOOK, NOTHING_WRONG
from diag.practice.deal import Deal
from diag.practice.doing import refusal, step_of
from diag.practice.moves import Move
from diag.practice.session import apply, begin
from diag.practice.state import Session
from diag.presentation.drawing.letters import letters
from diag.presentation.drawing.system import system_drawing
from diag.presentation.reasons import reason_words
from diag.rulebook.model import RuleBook
from diag.rulebook.steps import Remedy

MOST_STEPS = 60

Tick = Callable[[int], bool]  # told the number of the step; True goes on, False stops


def standing_of(session: Session, entries: int | None = None, cache: ModelCache | None = None) -> Standing:
    """Where the job stands, or stood after so many entries."""
    case = session.case if entries is None else session.case_at(entries)
    return standing(case, session.book, cache)


def work_through(
    book: RuleBook, dealt: Deal, cache: ModelCache | None = None, tick: Tick = lambda number: True
) -> Session:
    """The session that follows every proposal of the program to its end, or as far as ``tick`` lets it."""
    session = begin(book, dealt)
    for number in range(1, MOST_STEPS + 1):
        if session.finished or not tick(number):
            return session
        session = follow(session, standing_of(session, cache=cache))
    return session if session.finished else apply(session, Move("finish", ("hand on",)))


def follow(session: Session, now: Standing) -> Session:
    """The session after doing what the program proposes."""
    proposal = now.proposal
    if proposal.kind == "close":
        return apply(session, Move("finish", ("cured",)))
    if proposal.kind in ("stop", "hand on") and not proposal.step:
        return apply(session, Move("finish", ("hand on",)))
    step = step_of(session, proposal.step)
    if isinstance(step, Remedy):
        session = apply(session, Move("name", _meant(now, step)))
    for name in (*proposal.setups, step.id):
        session = _with_tools(session, name)
        asked = tuple(y.sign for y in proposal.ask) if name == step.id else ()
        session = apply(session, Move("ask", asked) if asked else Move("do", (name,)))
    if isinstance(step, Remedy) and not step.keeps_car:
        return apply(session, Move("finish", ("hand on",)))
    return session


def _meant(now: Standing, remedy: Remedy) -> tuple[str, ...]:
    """The likeliest cause that the remedy cures."""
    for name, _ in now.belief.ranked():
        if name not in (NOTHING_WRONG, NOT_IN_BOOK) and remedy.id in now.book.causes[name].remedies:
            return (name,)
    return tuple(c.id for c in now.book.causes.values() if remedy.id in c.remedies)[:1]


def _with_tools(session: Session, name: str) -> Session:
    refused = refusal(session, step_of(session, name))
    for tool in refused.tools if refused is not None and refused.kind == "no tool" else ():
        session = apply(session, Move("borrow", (tool,)))
    return session


def proposal_words(session: Session, cache: ModelCache | None = None) -> str:
    """What the program would do now and its first reason, for a hint."""
    proposal = standing_of(session, cache=cache).proposal
    reason = next(iter(reason_words(proposal, session.book)), "")
    signs = session.book.signs
    asked = "; ".join(signs[y.sign].ask for y in proposal.ask if y.sign in signs)
    reason = f"{asked} {reason}" if asked else reason
    return f"{proposal.title} ({proposal.step}). {reason}" if proposal.step else f"{proposal.title}. {reason}"


def drawing_lines(session: Session, plain: bool = True) -> tuple[str, ...]:
    """The fuel system with what was read where and what is wet; what is suspected is for the trainee to find."""
    drawn = system_drawing(standing_of(session), found_only=True)
    return (*letters(drawn, plain), *drawn.key)
