"""What people say for a term of the trade, on either side of the ocean, turned into the term; search only."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence

from diag.rulebook.model import Term


def in_terms(vocabulary: Sequence[Term]) -> Callable[[str], str]:
    """A function that puts a text, in lower case, into the book's terms.

    Longer expressions go first ("vacuum hose" before "hose"), a term stands for itself, and one pass is made, so that
    no replacement is replaced again.
    """
    terms = {word.lower(): term.term.lower() for term in vocabulary for word in (*term.also, *term.never, term.term)}
    if not terms:
        return str.lower
    words = "|".join(re.escape(word) for word in sorted(terms, key=len, reverse=True))
    pattern = re.compile(rf"(?<![a-z0-9])(?:{words})(?![a-z0-9])")
    return lambda text: pattern.sub(lambda match: terms[match[0]], text.lower())
