"""The safety wall listens to signs of wet fuel, so some look-over has to ask for each of them."""

from collections.abc import Iterator

from diag.rulebook.desk import Problem
from diag.rulebook.lint.tools import advice, error
from diag.rulebook.load import Draft


def find(draft: Draft) -> Iterator[Problem]:
    """Wet signs that no look-over asks for; books that open or run things without any look-over."""
    book = draft.book
    looked = {y.sign for check in book.checks.values() if check.look_over or check.for_leaks for y in check.yields}
    for sign in book.signs.values():
        if sign.wet and sign.id not in looked:
            place = draft.place("signs", sign.id, "wet")
            what = f"{sign.id!r} means wet fuel, but no look-over asks for it."
            hint = "Add it to the yields of the look-over, or of a check made for leaks."
            yield advice("wet-signs-looked-for", place, what, hint)
    for check in book.checks.values():
        if check.look_over and not check.for_leaks:
            place = draft.place("checks", check.id, "look_over")
            what = f"The look-over {check.id!r} is not made for leaks."
            yield error("wet-signs-looked-for", place, what, "Write 'for_leaks: yes'; it runs and opens nothing.")
