"""Words after an unquoted ' #' are a comment and no part of the value; in rules that is nearly always a slip."""

import re
from collections.abc import Iterator

from diag.rulebook.desk import Problem
from diag.rulebook.lint.tools import advice
from diag.rulebook.load import Draft
from diag.support.errors import Place

_QUOTED = re.compile(r"\"(?:[^\"\\]|\\.)*\"|'(?:[^']|'')*'")
_AFTER_WORDS = re.compile(r"[^\s:\[{,-][^#]*?( #)")


def find(draft: Draft) -> Iterator[Problem]:
    """Comments that stand behind a value."""
    for file, text in draft.texts.items():
        if "#" not in text:
            continue
        for number, line in enumerate(text.split("\n"), start=1):
            if " #" not in line or line.lstrip().startswith("#"):
                continue
            blanked = _QUOTED.sub(lambda m: "x" * len(m[0]), line)
            match = _AFTER_WORDS.search(blanked)
            if match:
                place = Place(file, number, match.start(1) + 2)
                hint = "Put the value in quotes, or move the comment to a line of its own."
                yield advice("lost-comment", place, "What follows this '#' is not part of the value.", hint)
