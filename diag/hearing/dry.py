"""Places that are called dry in one breath: "rail, filter and tank all dry", "no leaks at the pump or the rail".

Each was looked at and each is an answer of its own; the list is not cut at its commas. Common practice, no source.
"""

from __future__ import annotations

import re

from diag.hearing.claims import claimed, within
from diag.hearing.leaks import PLACES
from diag.hearing.understood import Heard, Item
from diag.rulebook.findings import ABSENT
from diag.rulebook.model import RuleBook
from diag.support.text import one_line

_ANY = "|".join(words for _, words in PLACES)
_LIST = rf"(?:the |my )?(?:{_ANY})(?:\s*(?:,|and\b|or\b|nor\b|&|/)\s*(?:the |my )?(?:{_ANY}))+"
_ALL_DRY = re.compile(
    rf"\b(?P<places>{_LIST})[\s,:-]*(?:(?:are|is|were|was|all|both|everything|perfectly|bone|nice and|"
    rf"completely|still)\s+)*"
    r"(?:dry|tight)(?!\w)",
    re.IGNORECASE,
)
_NO_LEAK = re.compile(
    rf"\b(?:no|not a|without)(?: \w+)? (?:leaks?|drips?|weeps?|wet(?:ness)?|damp|drop)(?: \w+)? (?:at|on|from|"
    rf"around|round|by)\s+"
    rf"(?P<places>{_LIST})(?!\w)",
    re.IGNORECASE,
)


def dry_in(sentence: str, book: RuleBook) -> tuple[list[Heard], str]:
    """Every place of such a list as dry, and the sentence with the list blanked out."""
    found = _ALL_DRY.search(sentence) or _NO_LEAK.search(sentence)
    if found is None:
        return [], sentence
    seen = not within(found.start(), claimed(sentence))
    named = [name for name, words in PLACES if re.search(rf"\b(?:{words})(?!\w)", found["places"], re.IGNORECASE)]
    heard = [
        Heard(" ".join(found[0].split()), (Item("sign", name, ABSENT, "", f"{one_line(sign.title)}: no", 0.85),), seen)
        for name in named
        if (sign := book.signs.get(name)) is not None
    ]
    return heard, f"{sentence[: found.start()]}{' ' * len(found[0])}{sentence[found.end() :]}"
