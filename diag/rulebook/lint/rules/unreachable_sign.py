"""A sign that no check answers and that nobody reports by himself can never enter a case."""

from collections.abc import Iterator

from diag.rulebook.desk import Problem
from diag.rulebook.lint.tools import answered_signs, error
from diag.rulebook.load import Draft


def find(draft: Draft) -> Iterator[Problem]:
    """Signs with no way into a case."""
    answered = answered_signs(draft)
    for sign in draft.book.signs.values():
        if sign.id not in answered and not sign.symptom:
            hint = "Let a check yield it, or write 'symptom: yes' when people report it."
            place = draft.place("signs", sign.id, "sign")
            yield error("unreachable-sign", place, f"Nothing leads to {sign.id!r}.", hint)
