"""Words the screens share: chances, acts, minutes, marks."""

from __future__ import annotations

from collections.abc import Iterable

from diag.presentation.figures import chance_words, percent
from diag.rulebook.model import RuleBook

PERSON_WORDS = {
    "untrained": "an untrained owner",
    "hobbyist": "a hobbyist used to working on cars",
    "mechanic": "a mechanic",
    "shop": "a workshop with a machine shop",
}


def chance(p: float) -> str:
    """A chance in words and as a number."""
    return f"{chance_words(p)}, {percent(p)}"


def tool_words(tools: Iterable[str], book: RuleBook) -> str:
    """The tools of a step in words."""
    return "; ".join(book.tools.get(tool, tool) for tool in tools)


def marks(unsure: bool, heard: bool) -> str:
    """How the next answer is marked, empty when it is not."""
    found = ["not sure"] * unsure + ["heard from somebody else"] * heard
    return " and ".join(found)
