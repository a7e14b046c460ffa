"""What a cause or step needs of the car must be something that can be asked, or that follows from the car's fields."""

from collections.abc import Iterator

from diag.rulebook.built import decided_by, every_need, named
from diag.rulebook.desk import Problem
from diag.rulebook.lint.tools import advice, answered_signs
from diag.rulebook.load import Draft


def find(draft: Draft) -> Iterator[Problem]:
    """Needs that nobody would ever be asked about, and questions about the car that no check asks."""
    book = draft.book
    asked = answered_signs(draft)
    for name in sorted({named(need) for need in every_need(book)}):
        context = book.contexts[name]
        if not context.when_car and not decided_by(context):
            hint = "Give it 'asked_by' with a sign that some check asks, or 'when_car'."
            place = draft.desk.names["contexts"][name]
            yield advice("fits-askable", place, f"{name!r} is needed, and no sign or field decides it.", hint)
    for context in book.contexts.values():
        for sign in context.asked_by:
            if named(sign) not in asked:
                place = draft.desk.names["contexts"][context.id]
                yield advice("fits-askable", place, f"No check asks {named(sign)!r}, which decides {context.id!r}.")
