"""Every cause needs a check that settles it, and that check must answer something the cause changes."""

from collections.abc import Iterator

from diag.rulebook.desk import Problem
from diag.rulebook.lint.tools import advice, error, signs_touched
from diag.rulebook.load import Draft


def find(draft: Draft) -> Iterator[Problem]:
    """Causes nobody can confirm."""
    book = draft.book
    seen = {sign.id for sign in book.signs.values() if sign.conditions}
    for cause in book.causes.values():
        place = draft.place("causes", cause.id, "confirmed_by")
        if not cause.confirmed_by:
            hint = "List the checks that settle it under 'confirmed_by'."
            yield error("unconfirmed-cause", place, f"No check confirms {cause.id!r}.", hint)
            continue
        touched = signs_touched(book, cause)
        useful = [
            name
            for name in cause.confirmed_by
            if name not in book.checks  # refused while loading; reported there
            or any(y.sign in touched or (y.reading and cause.is_physical) for y in book.checks[name].yields)
            or any(y.sign in seen and cause.is_physical for y in book.checks[name].yields)
        ]
        if not useful:
            what = f"The checks that should confirm {cause.id!r} answer nothing that it changes."
            hint = "Link it to one of their signs under 'shows' or 'answers', or let it act on the fuel system."
            yield advice("unconfirmed-cause", place, what, hint)
