"""A step that opens the system, moves a joint or frees the spring needs the pressure released first."""

from collections.abc import Iterator

from diag.rulebook.desk import Problem
from diag.rulebook.lint.tools import error, needed_setups, steps_of
from diag.rulebook.load import Draft

OPENING = {"opens system", "disturbs joint", "loads spring"}


def find(draft: Draft) -> Iterator[Problem]:
    """Steps that open the system or move a joint without a setup that releases the pressure."""
    book = draft.book
    for section, step in steps_of(book):
        if not OPENING & set(step.does) or getattr(step, "releases_pressure", False):
            continue
        if not any(book.setups[name].releases_pressure for name in needed_setups(book, step)):
            place = draft.place(section, step.id, "needs")
            what = f"{step.id!r} opens the fuel system or moves a joint but does not need the pressure released."
            yield error("pressure-first", place, what, "Add pressure-released to 'needs'.")
