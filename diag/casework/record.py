"""Adding entries to a case: pure functions that check what is told and return a new case.

Every function takes the case, the rule book where names must be known, and the time and person as ``at`` (ISO 8601,
UTC) and ``who``. What cannot be right is refused with one clear line; what is merely surprising is taken, since facts
already obtained count even when the check was not allowed.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace as copy
from typing import Literal, get_args

from diag.casework import entries as e
from diag.fuelsystem.car import read_field
from diag.fuelsystem.fields import FIELDS
from diag.quantities import show
from diag.rulebook.between import is_answer, words_between
from diag.rulebook.findings import ABSENT, NOT_KNOWN, PRESENT, Sign
from diag.rulebook.model import RuleBook
from diag.rulebook.steps import PERSONS, Person
from diag.rulebook.typed import met_in, read_typed
from diag.safety.steps import step_ids
from diag.support.errors import QuantityError, UnknownNameError, UserError
from diag.support.text import clean, one_line

_WORDS = {
    "yes": PRESENT,
    "y": PRESENT,
    "no": ABSENT,
    "n": ABSENT,
    "": NOT_KNOWN,
    "?": NOT_KNOWN,
    "unknown": NOT_KNOWN,
    "could not see": NOT_KNOWN,
    "don't know": NOT_KNOWN,
}
LONGEST_NOTE = 4000


def next_number(case: e.Case) -> int:
    """The number of the next entry."""
    return max((entry.number for entry in case.entries), default=0) + 1


def made(case: e.Case) -> e.Entry:
    """The entry added last, for ``replace``."""
    if not case.entries:
        raise UserError("The case has no entry yet.", "Tell something first.")
    return case.entries[-1]


def _add(case: e.Case, entry: e.Entry) -> e.Case:
    return copy(case, entries=(*case.entries, entry))


def _known(kind: str, name: str, known: Iterable[str]) -> str:
    names = list(known)
    if name not in names:
        raise UnknownNameError(kind, one_line(name, 80), names)
    return name


def _one_of(kind: str, value: str, allowed: Iterable[str]) -> None:
    values = list(allowed)
    if value not in values:
        raise UserError(f"{one_line(value, 80)!r} is no {kind}.", f"Say one of: {', '.join(values)}.")


# ------------------------------------------------------------------ what is told


def read_answer(sign: Sign, text: str, book: RuleBook | None = None) -> str:
    """An answer as the book knows it: present, absent, not known, or a choice's id; its words are taken too.

    With the book also what lies between yes and no, and two choices that hold together ("off-or-split & kinked").
    """
    told = " ".join(text.split()).casefold()
    if book is not None and is_answer(told, sign, book):
        return told
    if sign.choices:
        for answer in sign.choices:
            if told in (answer.id.casefold(), answer.words.casefold()):
                return answer.id
        if _WORDS.get(told) == NOT_KNOWN or told == NOT_KNOWN:
            return NOT_KNOWN
    elif told in (PRESENT, ABSENT, NOT_KNOWN):
        return told
    elif told in _WORDS:
        return _WORDS[told]
    between = words_between(sign, book) if book is not None else ()
    possible = ", ".join((*sign.possible, *between, NOT_KNOWN))
    raise UserError(f"{one_line(text, 80)!r} is no answer.", f"Say one of: {possible}.", sign.title)


def answer_sign(
    case: e.Case,
    book: RuleBook,
    sign: str,
    answer: str,
    *,
    at: str,
    who: str,
    sure: e.Sure = "sure",
    source: e.Source = "own eyes",
    check: str = "",
    text: str = "",
    place_seen: str = "",
) -> e.Case:
    """An answer about a sign; yes, no and ? are understood. ``check`` names where it came from."""
    _known("sign", sign, book.signs)
    if check:
        _known("check", check, book.checks)
    _one_of("degree of certainty", sure, get_args(e.Sure))
    _one_of("source", source, get_args(e.Source))
    told = read_answer(book.signs[sign], answer, book)
    entry = e.SignAnswer(
        next_number(case),
        at,
        who,
        sign,
        told,
        sure,
        source,
        check,
        clean(text, LONGEST_NOTE),
        one_line(place_seen, 200),
    )
    return _add(case, entry)


def take_reading(
    case: e.Case,
    book: RuleBook,
    reading: str,
    point: str,
    text: str,
    *,
    at: str,
    who: str,
    gauge: str = "main",
    check: str = "",
    sure: e.Sure = "sure",
    source: e.Source = "own eyes",
    conditions: Mapping[str, float] | None = None,
    error: float = 0.0,
    log: str = "",
) -> e.Case:
    """A measured value as typed; a pressure without a unit is in the case's unit.

    ``error`` is the standard error of this one figure, SI, 0 for the book's; ``log`` the data log it was taken from.

    Raises:
        QuantityError: it cannot be understood, or lies outside what this reading can be.
    """
    kind = book.readings[_known("reading", reading, book.readings)]
    _known("point", point, book.points)
    if check:
        _known("check", check, book.checks)
    _one_of("degree of certainty", sure, get_args(e.Sure))
    _one_of("source", source, get_args(e.Source))
    unit = case.unit_pressure if kind.quantity == "pressure" else ""
    amount = read_typed(text, kind, unit)
    if not kind.can_be(amount.low, amount.high, amount.bound):
        shown = unit or None
        low, high = show(kind.low, kind.quantity, shown), show(kind.high, kind.quantity, shown)
        raise QuantityError(
            f"{amount.understood} is outside what this can be, {low} to {high}.",
            "Look again at the unit and the scale.",
            kind.title,
        )
    entry = e.ReadingTaken(
        next_number(case),
        at,
        who,
        reading,
        point,
        one_line(text, 80),
        amount.value,
        amount.low,
        amount.high,
        amount.bound,
        one_line(gauge, 40) or "main",
        dict(conditions or {}),
        check,
        sure,
        error,
        one_line(log, 80),
        source,
        met_in(text),
    )
    return _add(case, entry)


def car_fact(case: e.Case, book: RuleBook, field: str, text: str, *, at: str, who: str) -> e.Case:
    """A field of the car or a yes/no fact about it; an empty text means not known."""
    _known("field of the car", field, [*FIELDS, *book.contexts])
    read_field(field, text, case.unit_pressure, book.contexts)
    return _add(case, e.CarFact(next_number(case), at, who, field, one_line(text, 200).strip()))


def step_done(
    case: e.Case, book: RuleBook, step: str, *, at: str, who: str, minutes: float | None = None, text: str = ""
) -> e.Case:
    """A check, setup, action or remedy that was carried out; ``minutes`` when the time was told."""
    _known("step", step, step_ids(book))
    if minutes is not None and not 0 <= minutes <= e.MOST_MINUTES:
        raise QuantityError(f"{minutes:g} minutes cannot be.", "Give the minutes it took, 0 or more.", step)
    return _add(case, e.StepDone(next_number(case), at, who, step, minutes, clean(text, LONGEST_NOTE)))


def step_refused(
    case: e.Case,
    book: RuleBook,
    step: str,
    why: Literal["cannot", "later", "skip"] = "cannot",
    *,
    at: str,
    who: str,
    text: str = "",
) -> e.Case:
    """A proposed step that was not done: cannot be done, later, or skipped."""
    _known("step", step, step_ids(book))
    _one_of("reason", why, ("cannot", "later", "skip"))
    return _add(case, e.StepRefused(next_number(case), at, who, step, why, clean(text, LONGEST_NOTE)))


def person_told(
    case: e.Case,
    book: RuleBook,
    person: Person,
    *,
    at: str,
    who: str,
    by_phone: bool = False,
    second_person: bool = False,
    ventilated: bool = True,
    tools: Iterable[str] | None = None,
) -> e.Case:
    """Who is at the car and what they have; ``tools`` None means: everything."""
    _one_of("training", person, PERSONS)
    listed = None if tools is None else tuple(dict.fromkeys(_known("tool", t, book.tools) for t in tools))
    entry = e.PersonTold(next_number(case), at, who, person, by_phone, second_person, ventilated, listed)
    return _add(case, entry)


def acknowledged(case: e.Case, book: RuleBook, rule: str, *, at: str, who: str) -> e.Case:
    """A caution or stop rule that was read. It lifts nothing."""
    _known("caution or stop rule", rule, [*book.hazards, *book.stops])
    return _add(case, e.Acknowledged(next_number(case), at, who, rule))


def handed_over(case: e.Case, to: str, *, at: str, who: str, text: str = "") -> e.Case:
    """The job goes to another person; a dry look no longer counts."""
    name = one_line(to, 200).strip()
    if not name:
        raise UserError("Nobody was named.", "Say who takes the job over.")
    return _add(case, e.HandedOver(next_number(case), at, who, name, clean(text, LONGEST_NOTE)))


def note(case: e.Case, text: str, *, at: str, who: str) -> e.Case:
    """Free text."""
    if not text.strip():
        raise UserError("The note is empty.", "Type something, or leave it.")
    return _add(case, e.Note(next_number(case), at, who, clean(text, LONGEST_NOTE)))


def kept(case: e.Case, about: e.About, text: str, *, at: str, who: str) -> e.Case:
    """Something for the report on a suspect part, as told."""
    _one_of("thing to keep", about, get_args(e.About))
    told = one_line(text, 500)
    if not told:
        raise UserError("There is nothing to keep.", "Say the photo's name, the mark seen or where it was bought.")
    return _add(case, e.KeptEvidence(next_number(case), at, who, about, told))


# ------------------------------------------------------------------ the job


def status(case: e.Case, status: e.Status, *, at: str, who: str, text: str = "") -> e.Case:
    """Open, waiting for part or closed."""
    _one_of("status", status, e.STATUSES)
    return _add(case, e.StatusSet(next_number(case), at, who, status, clean(text, LONGEST_NOTE)))


def outcome(
    case: e.Case,
    book: RuleBook,
    result: Literal["cured", "not cured", "could not reproduce", "handed on", "normal"],
    causes: Iterable[str] = (),
    *,
    at: str,
    who: str,
    proven: bool = False,
    text: str = "",
) -> e.Case:
    """How the job ended."""
    _one_of("outcome", result, ("cured", "not cured", "could not reproduce", "handed on", "normal"))
    named = tuple(dict.fromkeys(_known("cause", c, book.causes) for c in causes))
    if proven and result != "cured":
        raise UserError("Only a cure can be proven.", "Leave out 'proven', or say that it was cured.")
    return _add(case, e.Outcome(next_number(case), at, who, result, named, proven, clean(text, LONGEST_NOTE)))


def entry_of(case: e.Case, number: int) -> e.Entry:
    """The entry of this number as it counts now.

    Raises:
        UserError: there is none, or it was taken back.
    """
    if all(entry.number != number for entry in case.entries):
        last = next_number(case) - 1
        raise UserError(f"There is no entry {number}.", f"Entries run from 1 to {last}." if last else "")
    found = next((x for x in case.effective() if x.number == number), None)
    if found is None:
        raise UserError(f"Entry {number} no longer counts.", "It was taken back, or takes back another.")
    return found


def retract(case: e.Case, target: int, *, at: str, who: str, why: str = "") -> e.Case:
    """Take an earlier entry back."""
    entry_of(case, target)
    return _add(case, e.Retracted(next_number(case), at, who, target, clean(why, LONGEST_NOTE)))


def replace(case: e.Case, target: int, by: e.Entry, *, at: str, who: str) -> e.Case:
    """Put ``by`` (such as ``made(answer_sign(case, ...))``) in the place of an earlier entry of the same kind."""
    old = entry_of(case, target)
    if type(by) is not type(old):
        raise UserError(f"Entry {target} tells something of another kind.", "Take it back and tell the new one.")
    return _add(case, e.Replaced(next_number(case), at, who, target, copy(by, number=target)))
