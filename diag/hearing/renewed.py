"""Parts that were renewed in one breath: "replaced: pump, filter, relay". Each is a fact of its own, where it is one.

Common practice of job cards, no source.
"""

from __future__ import annotations

import re

from diag.hearing.claims import claimed, within
from diag.hearing.understood import Heard, Item
from diag.rulebook.model import RuleBook
from diag.support.text import one_line

_PARTS: tuple[tuple[str, str], ...] = (
    ("filter-just-changed", r"(?:fuel )?filters?"),
    ("tank-just-worked-on", r"(?:fuel |in[ -]?tank )?pump"),
    ("regulator-just-fitted", r"(?:fuel |pressure )*reg(?:ulator)?|fpr"),
    ("", r"relays?|(?:spark )?plugs?|leads?|coils?|injectors?|fuses?|hoses?|sensors?|battery|strainer|sock"),
)
_ANY = "|".join(words for _, words in _PARTS)
_LIST = re.compile(
    rf"\b(?:replaced|renewed|changed|fitted|new|swapped)\s*:?\s*(?:the |a |in the |my |new )*(?P<parts>(?:{_ANY})"
    rf"(?:\s*(?:,\s*and\b|,|and\b|&|/|\+)\s*(?:the |a |new )*(?:{_ANY}))+)(?!\w)",
    re.IGNORECASE,
)


def renewed_in(sentence: str, book: RuleBook) -> tuple[list[Heard], str]:
    """Every part of such a list that the book asks about, and the sentence with the list blanked out."""
    found = _LIST.search(sentence)
    if found is None:
        return [], sentence
    seen = not within(found.start(), claimed(sentence))
    heard = [
        Heard(
            " ".join(found[0].split()), (Item("fact", name, "yes", "", f"{one_line(context.title)}: yes", 0.85),), seen
        )
        for name, words in _PARTS
        if (context := book.contexts.get(name)) is not None
        and re.search(rf"\b(?:{words})(?!\w)", found["parts"], re.IGNORECASE)
    ]
    if not heard:
        return [], sentence
    return heard, f"{sentence[: found.start()]}{' ' * len(found[0])}{sentence[found.end() :]}"
