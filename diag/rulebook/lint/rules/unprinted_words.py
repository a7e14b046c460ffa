"""Makers' names, part numbers, trade marks and addresses do not belong in the rules.

Marker words are listed here; words that we do not want to print even in a list stand in the rules as the first 16
digits of their SHA-256, under ``unprinted``, lower case, and are compared word by word.
"""

import hashlib
import re
from collections.abc import Iterator

from diag.rulebook.desk import Problem
from diag.rulebook.lint.tools import error
from diag.rulebook.load import Draft
from diag.support.errors import Place

_MARKERS = re.compile(
    r"®|™|©|\((?:R|TM|C)\)|\b(?:TM|OEM|P/N|part (?:no|number)s?\b\.?|www\.|https?:|made by|manufactured by"
    r"|trade ?mark|patent(?:ed)?|all rights reserved)|[\w.]+@[\w]+\.\w+",
)
_WORD = re.compile(r"[^\W_]+(?:-[^\W_]+)*")
DIGITS = 16


def digest(word: str) -> str:
    """The form in which a word is listed under ``unprinted``."""
    return hashlib.sha256(word.lower().encode()).hexdigest()[:DIGITS]


def find(draft: Draft) -> Iterator[Problem]:
    """Marker words and listed words, wherever they stand in a file, comments included."""
    listed = draft.unprinted
    judged: dict[str, bool] = {}
    for file, text in draft.texts.items():
        for number, line in enumerate(text.split("\n"), start=1):
            for match in _MARKERS.finditer(line):
                place = Place(file, number, match.start() + 1)
                yield error("unprinted-words", place, f"{match[0]!r} points at a product.", "Use general words.")
            if not listed:
                continue
            for match in _WORD.finditer(line):
                word = match[0].lower()
                if word not in judged:
                    judged[word] = digest(word) in listed
                if judged[word]:
                    place = Place(file, number, match.start() + 1)
                    yield error("unprinted-words", place, "This word is on the list of words we do not print.", "")
