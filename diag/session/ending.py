"""How a job may be said to have ended, by what was told and done in it. Pure."""

from __future__ import annotations

from diag.casework.entries import Case, SignAnswer, StepDone
from diag.rulebook.findings import ABSENT, PRESENT
from diag.rulebook.model import RuleBook
from diag.rulebook.steps import Action, Remedy
from diag.safety.steps import find_step
from diag.session.job import Result

RESULTS: tuple[tuple[Result, str], ...] = (
    ("cured", "cured"),
    ("not cured", "not cured, and nobody goes on with it here"),
    ("normal", "normal behaviour, nothing was wrong"),
    ("could not reproduce", "could not be reproduced"),
    ("handed on", "handed on"),
)
NOT_YET_CURED = (
    "Cured is offered once a repair was written down, or once a complaint was told to be gone (still there: no), "
    "and while no complaint is told to be there after the repair."
)


def still_complained_of(case: Case, book: RuleBook) -> tuple[str, ...]:
    """The complaints that were told or confirmed after the last repair, and not told to be gone since; by sign."""
    repaired = False
    stands: dict[str, None] = {}
    for entry in case.effective():
        if isinstance(entry, StepDone) and isinstance(find_step(book, entry.step), Remedy | Action):
            repaired = True
            stands.clear()
        if not repaired or not isinstance(entry, SignAnswer) or entry.sign not in book.signs:
            continue
        sign = book.signs[entry.sign]
        if entry.answer == PRESENT and sign.symptom and not sign.history and not entry.check:
            stands[sign.id] = None
        elif entry.answer == ABSENT:
            stands.pop(sign.id, None)
    return tuple(stands)


def may_be_cured(case: Case, book: RuleBook) -> bool:
    """Whether anything can have cured the car, or a complaint went by itself, and no complaint stands since."""
    if still_complained_of(case, book):
        return False
    there: set[str] = set()
    for entry in case.effective():
        if isinstance(entry, StepDone) and isinstance(find_step(book, entry.step), Remedy | Action):
            return True
        if isinstance(entry, SignAnswer) and entry.sign in book.signs and book.signs[entry.sign].symptom:
            if entry.answer == ABSENT and entry.sign in there:
                return True
            if entry.answer == PRESENT:
                there.add(entry.sign)
    return False


def endings(case: Case, book: RuleBook) -> tuple[tuple[Result, str], ...]:
    """The ends that may be said now, each with its words."""
    return RESULTS if may_be_cured(case, book) else tuple(end for end in RESULTS if end[0] != "cured")
