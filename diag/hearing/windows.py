"""Which words of a sentence belong to which of its figures, and the sentence without them."""

from __future__ import annotations

import re
from collections.abc import Iterable
from itertools import pairwise

from diag.hearing.facts import Fact
from diag.hearing.figures import Figure
from diag.hearing.readings import names_a_state

FIGURE = "\u00a7"  # stands where a figure was

_ADDS = re.compile(
    r"(?:\s*(?:,|\band\b|\bwhile\b)\s*(?!it\b|she\b|he\b|i\b|but\b|then\b|"
    r"the engine\b)(?:[\w']+ ?){1,4}(?=[,.;]|$|\s(?:and|but)\b))+",
    re.IGNORECASE,
)
_SEPARATES = re.compile(r"\s*(?:,|;|\band\b|\bbut\b|\bthen\b|\bwhile\b)\s*", re.IGNORECASE)


def windows(sentence: str, figures: list[Figure]) -> list[tuple[Figure, str]]:
    """Every figure with the words that belong to it alone: its own fragment where that names a state of the car, else
    everything up to the last joint before the next figure.
    """
    if not figures:
        return []
    ends = []
    for this, following in pairwise(figures):
        between = sentence[this.end : following.start]
        joints = list(_SEPARATES.finditer(between))
        ends.append(this.end + joints[-1].start() if joints else following.start)
    ends.append(len(sentence))
    starts = [0, *ends[:-1]]
    wide = zip(figures, starts, ends, strict=True)
    return [(figure, _own(sentence, figure, start, end)) for figure, start, end in wide]


def _own(sentence: str, figure: Figure, start: int, end: int) -> str:
    """The words between the joints on both sides of a figure, where they say enough; else the whole window."""
    left = [joint.end() for joint in _SEPARATES.finditer(sentence, start, figure.start)]
    right = [joint.start() for joint in _SEPARATES.finditer(sentence, figure.end, end)]
    first, last = left[-1] if left else start, right[0] if right else end
    for begin in [first, *reversed([start, *left][:-1] if left else [])]:
        if names_a_state(sentence[begin:last]):
            return sentence[begin:last]
        short = _short_after(sentence[last:end])
        if short and names_a_state(sentence[begin : last + short]):
            return sentence[begin : last + short]
    return sentence[first:last]


def _short_after(rest: str) -> int:
    """How far what follows a figure only adds how it was read: a few words that begin no new sentence."""
    found = _ADDS.match(rest)
    return found.end() if found else 0


def without_figures(sentence: str, figures: Iterable[Figure | Fact]) -> str:
    """The sentence with a mark in the place of every figure that was taken out of it."""
    for figure in sorted(figures, key=lambda f: -f.start):
        sentence = f"{sentence[: figure.start]} {FIGURE} {sentence[figure.end :]}"
    return sentence
