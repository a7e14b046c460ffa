"""Setups must not need each other in a circle, and no step may need two that exclude each other."""

from collections.abc import Iterator

from diag.rulebook.desk import Problem
from diag.rulebook.lint.tools import error, needed_setups, steps_of
from diag.rulebook.load import Draft


def find(draft: Draft) -> Iterator[Problem]:
    """Circles and contradictions among setups."""
    book = draft.book
    for section, step in steps_of(book):
        place = draft.place(section, step.id, "needs")
        needed = needed_setups(book, step)
        if step.id in needed:
            yield error("setups-fit", place, f"{step.id!r} needs itself in the end.", "Break the circle.")
        seen: dict[str, str] = {}
        for name in step.needs:
            group = book.setups[name].group if name in book.setups else ""
            if group and group in seen:
                what = f"{step.id!r} needs {seen[group]!r} and {name!r}, which exclude each other."
                yield error("setups-fit", place, what, "Keep one.")
            seen[group] = name
        for name in set(step.needs) & set(step.undoes) if section == "setups" else ():
            yield error("setups-fit", place, f"{step.id!r} undoes {name!r}, which it needs to stay.", "Keep one.")
