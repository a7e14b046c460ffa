"""A damage acts on the fuel system or shows signs; a sizing cause is a condition on the car as built."""

from collections.abc import Iterator

from diag.rulebook.desk import Problem
from diag.rulebook.lint.tools import advice, error
from diag.rulebook.load import Draft


def find(draft: Draft) -> Iterator[Problem]:
    """Causes whose kind does not fit what they say."""
    for cause in draft.book.causes.values():
        place = draft.place("causes", cause.id, "kind")
        if cause.kind == "sizing" and cause.is_when is None and not cause.shows and not cause.answers:
            yield error("kind-fits", place, f"{cause.id!r} is a sizing cause without 'is_when'.", "Say when it holds.")
        if cause.kind != "sizing" and cause.is_when is not None:
            what = f"{cause.id!r} has 'is_when' but is no sizing cause."
            yield error("kind-fits", place, what, "Write kind: sizing.")
        if not (cause.is_physical or cause.shows or cause.answers) and cause.kind != "exit":
            what = f"{cause.id!r} changes nothing that anybody could notice."
            yield error("kind-fits", place, what, "Add 'acts_on', 'shows' or 'answers'.")
        if cause.mistaken_for and not cause.tell_apart:
            where = draft.place("causes", cause.id, "mistaken_for")
            yield advice("kind-fits", where, f"{cause.id!r} does not say how to tell it apart.", "Add 'tell_apart'.")
