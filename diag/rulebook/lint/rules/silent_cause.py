"""A cause that says nothing of a sign counts against it, so each cause of the same system must speak or have a reason.

Of the same system are causes of one area that act on the same parameter. Looked at are yes/no signs that causes list by
hand and that people complain of or several causes show; what the physics decides speaks for all of them by itself, and
places that may be wet are looked at one by one.
"""

from collections.abc import Iterator

from diag.rulebook.causes import Cause
from diag.rulebook.desk import Problem
from diag.rulebook.findings import Sign
from diag.rulebook.lint.tools import advice
from diag.rulebook.load import Draft
from diag.rulebook.model import RuleBook


def find(draft: Draft) -> Iterator[Problem]:
    """Signs with causes that neither show them nor say why not."""
    book = draft.book
    for sign in book.signs.values():
        if sign.conditions or sign.choices or sign.wet:
            continue
        silent = [cause for cause in _silent(book, sign) if cause not in sign.silent]
        if silent:
            what = f"Of the same system as what shows {sign.id!r}, these say nothing of it: {', '.join(silent)}."
            hint = "Link them under 'shows', or say why not under 'silent', there or at the sign."
            yield advice("silent-cause", draft.place("signs", sign.id, "sign"), what, hint)
        for name in sign.silent:
            if name in book.causes and _speaks(book, book.causes[name], sign):
                what = f"{name!r} is said to be silent about {sign.id!r}, and links it."
                yield advice("silent-cause", draft.place("signs", sign.id, "silent"), what, "Keep one of the two.")


def _silent(book: RuleBook, sign: Sign) -> list[str]:
    speaking = [cause for cause in book.causes.values() if _speaks(book, cause, sign)]
    if len(speaking) < (1 if sign.symptom else 2):
        return []
    systems = {(cause.area, effect.parameter) for cause in speaking for effect in cause.acts_on}
    return [
        cause.id
        for cause in book.causes.values()
        if not _speaks(book, cause, sign) and any((cause.area, effect.parameter) in systems for effect in cause.acts_on)
    ]


def _speaks(book: RuleBook, cause: Cause, sign: Sign) -> bool:
    states = (book.states[name] for name in cause.shows if name in book.states)
    return sign.id in cause.shows or sign.id in cause.hides or any(sign.id in state.seen_as for state in states)
