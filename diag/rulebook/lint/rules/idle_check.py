"""A check none of whose answers is moved by any cause costs minutes and changes nothing."""

from collections.abc import Iterator

from diag.rulebook.desk import Problem
from diag.rulebook.lint.tools import error, signs_that_stop, signs_touched
from diag.rulebook.load import Draft


def find(draft: Draft) -> Iterator[Problem]:
    """Checks that never change a belief."""
    book = draft.book
    touched = {sign for cause in book.causes.values() for sign in signs_touched(book, cause)}
    touched |= signs_that_stop(book)
    touched |= {s.id for s in book.signs.values() if s.conditions or s.wet}
    physical = any(cause.is_physical for cause in book.causes.values())
    for check in book.checks.values():
        if check.look_over or any(y.sign in touched or (y.reading and physical) for y in check.yields):
            continue
        hint = "Let causes speak of its signs under 'shows' or 'answers', or take the check out."
        place = draft.place("checks", check.id, "yields")
        yield error("idle-check", place, f"No answer of {check.id!r} changes any belief.", hint)
