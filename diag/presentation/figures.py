"""Chances, minutes and names of causes as every page, report and line says them."""

from __future__ import annotations

from diag.presentation.wording import EXITS
from diag.rulebook.model import RuleBook
from diag.support.text import one_line


def percent(chance: float) -> str:
    """A chance as a whole percentage that never claims certainty."""
    if chance < 0.005:
        return "under 1 %"
    return "over 99 %" if chance > 0.995 else f"{100 * chance:.0f} %"


def minutes(value: float) -> str:
    """Whole minutes in words."""
    whole = max(1, round(value))
    return "1 minute" if whole == 1 else f"{whole} minutes"


def title_of(cause: str, book: RuleBook) -> str:
    """The title of a cause or of one of the two exits."""
    if cause in EXITS:
        return EXITS[cause][0]
    return one_line(book.causes[cause].title) if cause in book.causes else one_line(cause, 80)
