"""A sign that no cause, no state and no stop rule speaks of says nothing when it is answered."""

from collections.abc import Iterator

from diag.rulebook.desk import Problem
from diag.rulebook.lint.tools import advice, signs_that_stop, signs_touched
from diag.rulebook.load import Draft


def find(draft: Draft) -> Iterator[Problem]:
    """Signs without any cause behind them."""
    book = draft.book
    touched = {sign for cause in book.causes.values() for sign in signs_touched(book, cause)}
    touched |= signs_that_stop(book)
    for sign in book.signs.values():
        if sign.id not in touched and not sign.conditions:
            hint = "Name it under 'shows' or 'answers' of the causes that bring it about."
            yield advice("silent-sign", draft.place("signs", sign.id, "sign"), f"No cause speaks of {sign.id!r}.", hint)
