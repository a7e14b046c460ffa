"""What is read aloud and what is entered must be the same way round, and each line must be answerable as put.

A caller answers the question that is read out; if it asks whether the filter is dry and the entry asks whether it is
wet, yes and no swap. So a question under ``aloud`` may not use the opposite of a word of the sign's own question
(unless it offers both), one line holds one question at its end, and the heading may not say the opposite either.
"""

import re
from collections.abc import Iterator

from diag.rulebook.desk import Problem
from diag.rulebook.findings import Sign
from diag.rulebook.lint.tools import error
from diag.rulebook.load import Draft
from diag.rulebook.steps import Check

_PAIRS = (
    ("wet", "dry"), ("blocked", "clear"), ("silent", "click"), ("silent", "hear"), ("dark", "light"), ("dark", "flash"),
    ("dark", "flicker"), ("loose", "tight"), ("differ", "agree"), ("differ", "same"), ("broken", "whole"),
    ("blown", "whole"), ("still", "move"), ("fall", "rise"), ("falls", "holds"), ("rough", "smooth"),
    ("worse", "better"), ("low", "high"), ("rich", "lean"), ("uneven", "even"), ("strong", "weak"), ("stuck", "free"),
    ("parted", "whole"), ("lags", "follows"), ("jump", "smoothly"),
)  # fmt: skip
_WORD = re.compile(r"[a-z]+")
_SMALL = frozenset(
    _WORD.findall(
        "a an and any are as at be by do does for from has have in is it its no not of off on or that the there this "
        "to was when with without"
    )
)
NEAR = 0.3  # share of content words of the shorter question that make two questions one


def find(draft: Draft) -> Iterator[Problem]:
    """Swapped questions, lines with two questions, and headings that say the opposite of their question."""
    book = draft.book
    for check in book.checks.values():
        yield from _lines(draft, check)
        for item in check.yields:
            sign = book.signs.get(item.sign)
            if sign is not None and not sign.choices:
                yield from _swapped(draft, check, sign)
    for sign in book.signs.values():
        clash = "" if sign.choices else _opposite(sign.ask, sign.title)
        if clash:
            what = f"The heading of {sign.id!r} says {clash!r}, the opposite of its question."
            yield error("same-way-round", draft.place("signs", sign.id, "title"), what, "Let both say the same.")


def _lines(draft: Draft, check: Check) -> Iterator[Problem]:
    for at, line in enumerate(check.aloud):
        if line.count("?") > 1 or (line.count("?") == 1 and not line.rstrip().endswith("?")):
            place = draft.place("checks", check.id, "aloud", at)
            yield error(
                "same-way-round", place, "This line cannot be answered with one answer.", "One question a line."
            )


def _swapped(draft: Draft, check: Check, sign: Sign) -> Iterator[Problem]:
    for at, line in enumerate(check.aloud):
        if not line.endswith("?") or not _about(sign.ask, line):
            continue
        clash = _opposite(sign.ask, line)
        if clash:
            place = draft.place("checks", check.id, "aloud", at)
            what = f"Read aloud it asks for {clash!r}, but the entry {sign.id!r} asks: {sign.ask}"
            yield error("same-way-round", place, what, "Ask it the same way round, so that yes stays yes.")


def _opposite(ask: str, line: str) -> str:
    """The word of the line that is the opposite of a word of the question; empty when it offers both or neither."""
    asked, said = set(_WORD.findall(ask.lower())), set(_WORD.findall(line.lower()))
    for one, two in (*_PAIRS, *((b, a) for a, b in _PAIRS)):
        if one in asked and two in said and one not in said and two not in asked:
            return two
    return ""


def _about(ask: str, line: str) -> bool:
    """Whether two questions are about the same thing, by the content words they share."""
    asked, said = (set(_WORD.findall(text.lower())) - _SMALL for text in (ask, line))
    return bool(said) and len(asked & said) >= NEAR * min(len(asked), len(said)) and len(asked & said) >= 1
