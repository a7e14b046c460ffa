"""What a data log says, put into a case: a note on the log, its readings and its answers, all as one change."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from diag.casework import record
from diag.casework.entries import Case, Entry, Note, ReadingTaken, SignAnswer, Sure
from diag.datalog.told import LoggedReading, LoggedSign
from diag.quantities import show, to_unit
from diag.quantities.kinds import kind_of
from diag.rulebook.model import RuleBook
from diag.session.kept import By
from diag.support.errors import UserError
from diag.support.text import one_line


@dataclass(frozen=True, slots=True)
class FromLog:
    """What goes into a case: the log's name, one line on it, and what it says."""

    name: str
    about: str
    readings: Sequence[LoggedReading]
    signs: Sequence[LoggedSign]


def with_log(case: Case, book: RuleBook, told: FromLog, by: By) -> tuple[Case, tuple[str, ...]]:
    """The case with everything of the log that this rule book knows, and what was left out, one sentence each.

    Raises:
        UserError: nothing of the log can be used.
    """
    if _is_in(case, told):
        raise UserError("This log is in the job already.", "Take it back first to add it again.", told.name)
    left: list[str] = []
    changed = record.note(case, f"Data log {told.name}: {told.about}", **by)
    start = changed
    for one in told.readings:
        try:
            changed = _with_reading(changed, book, told.name, one, by)
        except UserError as error:
            left.append(f"{one.reading}, {one.words}: {error.one_line()}")
    for sign in told.signs:
        try:
            text = one_line(f"log {told.name}: {sign.words}", 300)
            sure: Sure = "sure" if sign.sure else "unsure"
            changed = record.answer_sign(changed, book, sign.sign, sign.answer, sure=sure, text=text, **by)
        except UserError as error:
            left.append(f"{sign.sign}: {error.one_line()}")
    if changed is start:
        raise UserError("The log holds nothing that can be used in this job.", " ".join(left), told.name)
    return changed, tuple(left)


def _is_in(case: Case, told: FromLog) -> bool:
    """Whether the same figures of a log of this name count already; told twice they would count twice."""
    there = {(e.reading, e.point, round(e.error, 9)) for e in case.effective()
             if isinstance(e, ReadingTaken) and e.log == one_line(told.name, 80)}  # fmt: skip
    return bool(told.readings) and all((r.reading, r.point, round(r.error, 9)) in there for r in told.readings)


def newest_log(counted: Sequence[Entry]) -> list[int]:
    """Numbers of the entries that one log brought, newest first, when it was the last thing told; else empty."""
    name = _log_of(counted[-1]) if counted else ""
    numbers = []
    for entry in reversed(counted):
        if not name or _log_of(entry) != name:
            break
        numbers.append(entry.number)
        if isinstance(entry, Note):  # the note stands before all else of its log
            break
    return numbers


def _log_of(entry: Entry) -> str:
    """The data log that an entry came from, empty for anything else."""
    if isinstance(entry, ReadingTaken):
        return entry.log
    if isinstance(entry, SignAnswer) and entry.text.startswith("log "):
        return entry.text[4:].partition(":")[0]
    if isinstance(entry, Note) and entry.text.startswith("Data log "):
        return entry.text[9:].partition(":")[0]
    return ""


def _with_reading(case: Case, book: RuleBook, log: str, one: LoggedReading, by: By) -> Case:
    kind = book.readings.get(one.reading)
    unit = case.unit_pressure if kind is not None and kind.quantity == "pressure" else ""
    text = _typed(one, kind.quantity, unit) if kind is not None else ""
    return record.take_reading(
        case, book, one.reading, one.point, text, gauge=one.gauge, conditions=one.conditions, error=one.error, log=log,
        **by,
    )  # fmt: skip


def _typed(one: LoggedReading, quantity: str, unit: str) -> str:
    """The value as somebody would type it, with two decimals."""
    named = unit or kind_of(quantity).usual
    bound = {"above": "over ", "below": "under "}.get(one.bound, "")
    return f"{bound}{to_unit(one.value, quantity, unit):.2f} {named}"


def reading_line(one: LoggedReading, book: RuleBook, unit: str) -> str:
    """One reading for people: what, where in the log, value and standard error."""
    kind = book.readings.get(one.reading)
    if kind is None:
        return f"{one_line(one.reading)} (not in this rule book)"
    shown = unit if kind.quantity == "pressure" else ""
    bound = {"above": "over ", "below": "under "}.get(one.bound, "")
    error = to_unit(one.error, kind.quantity, shown) - to_unit(0.0, kind.quantity, shown)
    named = shown or kind_of(kind.quantity).usual
    value = f"{bound}{show(one.value, kind.quantity, shown or None)}"
    return f"{one_line(kind.title)}, {one.words}: {value} (standard error {error:.2g} {named})"
