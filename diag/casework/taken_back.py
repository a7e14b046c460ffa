"""What an entry that was taken back or changed may have done to the car all the same."""

from __future__ import annotations

from collections.abc import Mapping

from diag.casework.entries import Entry, HandedOver, ReadingTaken, SignAnswer, StepDone
from diag.rulebook.model import RuleBook
from diag.rulebook.steps import Check
from diag.safety.effects import acts_of
from diag.safety.steps import OPENS, RUNS, find_step

Counted = Mapping[int, Entry]
"""The entries that count after all edits, by number."""


def bears_on_wet(entry: Entry, counted: Counted, book: RuleBook) -> bool:
    """Whether a dry look cannot stand when this is changed: a wet place, a joint opened, a repair, a hand-over."""
    if isinstance(entry, SignAnswer):
        return entry.sign in book.signs and book.signs[entry.sign].wet
    if isinstance(entry, StepDone):
        step = find_step(book, entry.step)
        return not isinstance(step, Check) or (bool(acts_of(step, OPENS)) and not _done_anyway(entry, counted, book))
    return isinstance(entry, HandedOver)


def ran(entry: Entry, counted: Counted, book: RuleBook) -> bool:
    """Whether the pump may have run for an entry that was taken back, with nothing left that tells so."""
    if not isinstance(entry, StepDone | SignAnswer | ReadingTaken) or entry.number in counted:
        return False
    step = find_step(book, entry.step if isinstance(entry, StepDone) else entry.check)
    point = book.points.get(entry.point) if isinstance(entry, ReadingTaken) else None
    now = isinstance(entry, ReadingTaken) and not entry.log  # a log is of another time
    read = now and point is not None and point.settings.get("pump") == "on"
    runs = read or (step is not None and bool(acts_of(step, RUNS)))
    return runs and not _done_anyway(entry, counted, book)


def _done_anyway(entry: StepDone | SignAnswer | ReadingTaken, counted: Counted, book: RuleBook) -> bool:
    """Whether answers that still count say that this check was done, so that the edit changes no deed."""
    step = entry.step if isinstance(entry, StepDone) else entry.check
    check = book.checks.get(step)
    if check is None:
        return False
    near = len(check.yields) + 1
    return any(
        isinstance(other, SignAnswer | ReadingTaken) and other.check == step and abs(number - entry.number) <= near
        for number, other in counted.items()
    )
