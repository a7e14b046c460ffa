"""Two causes with different remedies that no check tells apart lead to parts being changed on a guess.

Two causes are apart when some check answers a sign on which their chances differ by at least 0.25, or when they act
on the fuel system differently. Each finding names the check that comes nearest, or the sign that a new check would
have to ask for.
"""

from collections.abc import Iterator

from diag.rulebook.causes import Cause
from diag.rulebook.desk import Problem
from diag.rulebook.lint.tools import advice, answered_signs, chances, signs_touched
from diag.rulebook.load import Draft
from diag.rulebook.model import RuleBook

APART = 0.25


def find(draft: Draft) -> Iterator[Problem]:
    """Pairs of causes that no check separates."""
    book = draft.book
    answered = answered_signs(draft)
    causes = list(book.causes.values())
    touched = {c.id: signs_touched(book, c) for c in causes}
    rows: dict[tuple[str, str], dict[str, float]] = {}

    def row(cause: Cause, sign: str) -> dict[str, float]:
        key = (cause.id, sign)
        if key not in rows:
            rows[key] = chances(book, cause, book.signs[sign])
        return rows[key]

    for index, first in enumerate(causes):
        for second in causes[index + 1 :]:
            if set(first.remedies[:1]) & set(second.remedies[:1]) or _apart_by_physics(first, second):
                continue
            gaps = {}
            for sign in touched[first.id] | touched[second.id]:
                one, two = row(first, sign), row(second, sign)
                gaps[sign] = max(abs(one[answer] - two[answer]) for answer in one)
            if any(gap >= APART for sign, gap in gaps.items() if sign in answered):
                continue
            place = draft.place("causes", second.id, "cause")
            what = f"No check tells {first.id!r} from {second.id!r}."
            yield advice("unseparated-pair", place, what, _way_out(book, gaps, answered))


def _apart_by_physics(first: Cause, second: Cause) -> bool:
    """Whether the fuel-system model sees the two differently: other parameters, another condition, or only one."""
    if first.is_physical and second.is_physical:
        return _acts(first) != _acts(second)
    return first.is_physical != second.is_physical


def _acts(cause: Cause) -> frozenset[tuple[str, ...]]:
    if cause.is_when is not None:
        when = cause.is_when
        return frozenset({(when.reading, when.point, when.side, when.base, when.larger)})
    up = {(e.parameter, e.how, "up" if e.high > (1.0 if e.how == "times" else 0.0) else "down") for e in cause.acts_on}
    return frozenset(up)


def _way_out(book: RuleBook, gaps: dict[str, float], answered: set[str]) -> str:
    unasked = [sign for sign, gap in gaps.items() if gap >= APART and sign not in answered]
    if unasked:
        return f"A check that answers {max(unasked, key=lambda s: gaps[s])!r} would."
    if gaps:
        best = max(gaps, key=lambda s: (gaps[s], s))
        near = [c.id for c in book.checks.values() if any(y.sign == best for y in c.yields)]
        if near and gaps[best] > 0.02:
            return f"{near[0]!r} comes nearest (they differ by {gaps[best]:.2f} on {best!r}); sharpen it or add a sign."
    return "Add a sign on which they differ, and a check that answers it."
