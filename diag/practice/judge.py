"""What a session came to, by what was really wrong. Pure, and needs no belief."""

from __future__ import annotations

from dataclasses import dataclass

from diag.practice.state import Session, Turn
from diag.rulebook.steps import Check, Remedy


@dataclass(frozen=True, slots=True)
class Score:
    """A session in figures.

    ``solved``: every fault was cured, or handed on where the book says so; ``named``: every fault was committed to;
    ``proven``: the checks that prove the repairs were done after them; ``wasted`` counts repairs that cured nothing
    that was there; ``unsafe`` counts steps that the wall stopped. Minutes are those of the book.
    """

    solved: bool
    named: bool
    proven: bool
    minutes: float
    risk: float
    checks: int
    repairs: int
    wasted: int
    unsafe: int
    hints: int
    left: tuple[str, ...]


def judge(session: Session) -> Score:
    """The figures of a session as it stands."""
    book, causes = session.book, session.deal.causes
    done = [t for t in session.turns if t.kind == "done" and t.step]
    repairs = [t for t in done if isinstance(book.remedies.get(t.step), Remedy)]
    named = {name for move in session.moves if move.deed == "name" for name in move.what}
    left = session.car.present()
    for_others = tuple(c for c in left if _for_others(session, c))
    handed = session.claim == "hand on" or any(not book.remedies[t.step].keeps_car for t in repairs)
    solved = session.claim != "give up" and all(c in for_others and handed and c in named for c in left)
    return Score(
        solved=session.finished and solved,
        named=all(c in named for c in causes),
        proven=bool(repairs) and all(_proven(session, done, at) for at in repairs),
        minutes=session.minutes,
        risk=session.risk,
        checks=sum(isinstance(book.checks.get(t.step), Check) for t in done),
        repairs=len(repairs),
        wasted=sum(not _needed(session, t) for t in repairs),
        unsafe=session.count("unsafe"),
        hints=session.hints,
        left=left,
    )


def _for_others(session: Session, cause: str) -> bool:
    """A cause whose remedy is to give the car to somebody else."""
    book = session.book
    return all(not book.remedies[r].keeps_car for r in book.causes[cause].remedies if r in book.remedies)


def _needed(session: Session, repair: Turn) -> bool:
    """Whether the repair was for a fault that was there, though it may not have held."""
    causes = session.book.causes
    return any(repair.step in causes[c].remedies for c in session.deal.causes if c in causes)


def _proven(session: Session, done: list[Turn], repair: Turn) -> bool:
    """Whether every check that proves the repair was done after it."""
    remedy = session.book.remedies[repair.step]
    later = {t.step for t in done if t.number > repair.number}
    wanted = [c for c in remedy.proof if c in session.book.checks]
    return not remedy.keeps_car or all(c in later for c in wanted)
