"""Does a case speak of things that this rule book has? Every unknown name with its place; nothing is lost."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from difflib import get_close_matches

from diag.casework import entries as e
from diag.casework.casefile import ReadResult
from diag.casework.kinds import BY_CLASS
from diag.casework.renamed import named_as_today
from diag.fuelsystem.fields import FIELDS
from diag.rulebook.between import is_answer, possible_answers
from diag.rulebook.findings import NOT_KNOWN
from diag.rulebook.model import RuleBook
from diag.support.errors import CaseFileError, Place
from diag.support.text import one_line

EXITS = ("nothing-wrong", "not-in-book")


def unknown_names(result: ReadResult, book: RuleBook, file: str = "case") -> tuple[CaseFileError, ...]:
    """One remark per name that the book does not have, in file order; empty when all are known.

    Such an entry stays in the case and is passed over when the case is replayed.
    """
    case = result.best()
    if case is None:
        return ()
    case = named_as_today(case, book)
    known = tables(book)
    found = []
    for entry in case.entries:
        place = result.places.get(entry.number, Place(file))
        for kind, name, names in _names(entry, known, book):
            near = get_close_matches(name, list(names), n=2, cutoff=0.6)
            hint = (
                f"Did you mean {' or '.join(near)}?"
                if near
                else "The entry is kept but says nothing to this rule book."
            )
            shown = one_line(name, 60)
            found.append(CaseFileError(f"This rule book has no {kind} called {shown!r}.", hint, place))
    return tuple(found)


def remarks_on(result: ReadResult, book: RuleBook, file: str = "case") -> tuple[str, ...]:
    """All there is to say about a file that was read: what is damaged, odd, unknown to this book, or of another one."""
    case = result.best()
    lines = [problem.one_line() for problem in (*result.problems, *result.notes, *unknown_names(result, book, file))]
    # A mere change of wording is nothing to be told at every start; what it did to the ranking, ``drift`` tells.
    other = other_book(case, book) if case is not None and case.book_version != book.version else ""
    return (*lines, other) if other else tuple(lines)


def other_book(case: e.Case, book: RuleBook) -> str:
    """One sentence when the case was last worked with another rule book, else empty."""
    if not case.book_fingerprint or case.book_fingerprint == book.fingerprint:
        return ""
    if case.book_version == book.version:
        return f"This case was worked with rule book {one_line(case.book_version, 40)} in an earlier wording."
    then, now = one_line(case.book_version, 40) or "of no version", one_line(book.version, 40)
    return f"This case was worked with rule book {then}; the one in use is {now}."


def tables(book: RuleBook) -> dict[str, Collection[str]]:
    """What each kind of reference may name."""
    return {
        "signs": book.signs,
        "checks": book.checks,
        "readings": book.readings,
        "points": book.points,
        "tools": book.tools,
        "causes": {*book.causes, *EXITS},
        "rules": {*book.stops, *book.hazards},
        "steps": {*book.checks, *book.setups, *book.remedies, *book.actions},
        "car": {*FIELDS, *book.contexts},
    }


_KINDS = {"signs": "sign", "checks": "check", "readings": "reading", "points": "point", "tools": "tool",
          "causes": "cause", "rules": "caution or stop rule", "steps": "step", "car": "car field"}  # fmt: skip


def _names(
    entry: e.Entry, known: dict[str, Collection[str]], book: RuleBook
) -> Iterator[tuple[str, str, Collection[str]]]:
    """Unknown names of one entry: what kind, which, and what there is instead."""
    spec = BY_CLASS.get(type(entry))
    for item in spec.fields if spec else ():
        if not item.refers:
            continue
        value = getattr(entry, item.attr)
        names = (value,) if isinstance(value, str) else value or ()
        for name in names:
            if name and name not in known[item.refers]:
                yield _KINDS[item.refers], name, known[item.refers]
    if isinstance(entry, e.SignAnswer) and entry.sign in book.signs:
        sign = book.signs[entry.sign]
        if entry.answer != NOT_KNOWN and not is_answer(entry.answer, sign, book):
            yield f"answer to {entry.sign}", entry.answer, (*possible_answers(sign, book), NOT_KNOWN)
    if isinstance(entry, e.Replaced):
        yield from _names(entry.by, known, book)
