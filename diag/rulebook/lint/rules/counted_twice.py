"""A cause that speaks of a state and of one of the state's own signs counts the same fact twice."""

from collections.abc import Iterator

from diag.rulebook.desk import Problem
from diag.rulebook.lint.tools import advice
from diag.rulebook.load import Draft


def find(draft: Draft) -> Iterator[Problem]:
    """Causes that list a state and a sign of it."""
    for cause in draft.book.causes.values():
        for name in cause.shows:
            state = draft.book.states.get(name)
            for sign in sorted(set(cause.shows) & set(state.seen_as)) if state else ():
                place = draft.place("causes", cause.id, "shows", sign)
                what = f"{cause.id!r} shows {sign!r} and also {name!r}, which is seen as it."
                yield advice("counted-twice", place, what, "Keep the state alone, unless the sign goes beyond it.")
