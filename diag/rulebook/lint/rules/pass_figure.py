"""A check that reads an instrument says what a sound car shows, with its source or as judgement."""

from collections.abc import Iterator

from diag.rulebook.desk import Problem
from diag.rulebook.lint.tools import advice
from diag.rulebook.load import Draft


def find(draft: Draft) -> Iterator[Problem]:
    """Checks that yield a reading and give no pass figure."""
    for check in draft.book.checks.values():
        if any(item.reading for item in check.yields) and not check.passes:
            hint = "Add 'pass:' with 'is', 'basis' and 'why', such as: is: reads the target within 2 psi."
            place = draft.place("checks", check.id, "check")
            yield advice("pass-figure", place, f"{check.id!r} does not say what a sound car shows.", hint)
