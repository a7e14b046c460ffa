"""Every step says what it does; acts that come with another act are there: a running engine has its key on."""

from collections.abc import Iterator

from diag.rulebook.desk import Problem
from diag.rulebook.lint.tools import error, steps_of
from diag.rulebook.load import Draft

IMPLIED: dict[str, tuple[str, ...]] = {
    "runs engine": ("key on", "runs pump"),
    "cranks engine": ("key on",),
    "drives car": ("runs engine",),
    "loads engine": ("runs engine",),
    "opens system": ("disturbs joint",),
}


def find(draft: Draft) -> Iterator[Problem]:
    """Steps whose list of acts is missing or not complete, and steps made for leaks that do what a leak forbids."""
    for section, step in steps_of(draft.book):
        place = draft.place(section, step.id, "does")
        if "does" not in draft.nodes[(section, step.id)].items:
            hint = "Write 'does:' with the acts, or 'does: []' where nothing is run, moved or opened."
            yield error("acts-in-full", place, f"{step.id!r} does not say what it does.", hint)
        for act in step.does:
            for other in IMPLIED.get(act, ()):
                if other not in step.does:
                    what = f"{step.id!r} does {act!r}, which comes with {other!r}."
                    yield error("acts-in-full", place, what, f"Add {other} to 'does'.")
        if step.for_leaks:
            for act in set(step.does) & {"key on", "runs pump", "runs engine", "cranks engine", "sparks", "drives car"}:
                what = f"{step.id!r} is made for wet fuel but does {act!r}."
                hint = "Take the act out, or write 'for_leaks: no'."
                yield error("acts-in-full", draft.place(section, step.id, "for_leaks"), what, hint)
