"""What people speak of, each with every word that the trade and its customers have for it. Data only.

The one place for a new word: whatever is added to a concept is understood in every finding that is put together from it
(``diag/hearing/composed_table.py``), while hearing and while searching. Written for plain text: lower case, apostrophes
gone, short forms opened out ("will not", "it is"). One stretch of speech may speak of several concepts. Common practice
of speech on either side of the ocean, no source.
"""

from __future__ import annotations

import re
from functools import cache

from diag.hearing.concepts.engine import ENGINE
from diag.hearing.concepts.manner import MANNER
from diag.hearing.concepts.parts import PARTS
from diag.hearing.concepts.states import STATES

__all__ = ["CONCEPTS", "ENGINE", "PARTS", "STATES", "is_spoken_of", "patterns"]

CONCEPTS: dict[str, str] = {**ENGINE, **STATES, **PARTS, **MANNER}


@cache
def patterns() -> tuple[tuple[str, re.Pattern[str]], ...]:
    """Every concept with its words as one pattern."""
    return tuple((name, re.compile(rf"\b(?:{words})(?![a-z0-9])")) for name, words in CONCEPTS.items())


def is_spoken_of(word: str) -> bool:
    """Whether a word alone speaks of a concept, and so is no slip of the fingers."""
    return any(pattern.fullmatch(word) for _, pattern in patterns())
