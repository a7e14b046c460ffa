"""Every remedy that keeps the car names the checks that prove the cure, and every remedy cures something."""

from collections.abc import Iterator

from diag.rulebook.desk import Problem
from diag.rulebook.lint.tools import advice, error
from diag.rulebook.load import Draft


def find(draft: Draft) -> Iterator[Problem]:
    """Remedies without proof, without use, or that open the system without a dry look in their proof."""
    book = draft.book
    used = {name for cause in book.causes.values() for name in cause.remedies}
    for remedy in book.remedies.values():
        place = draft.place("remedies", remedy.id, "proof")
        if remedy.keeps_car and not remedy.proof:
            yield error("proof-of-cure", place, f"Nothing proves the cure by {remedy.id!r}.", "Add 'proof:'.")
        looks = any(book.checks[name].look_over for name in remedy.proof if name in book.checks)
        if "opens system" in remedy.does and remedy.keeps_car and remedy.proof and not looks:
            what = f"{remedy.id!r} opens the system, but its proof does not look for leaks."
            yield error("proof-of-cure", place, what, "Start its proof with look-over-after-repair.")
        if remedy.id not in used:
            what = f"No cause is cured by {remedy.id!r}."
            yield advice("proof-of-cure", draft.place("remedies", remedy.id, "remedy"), what)
