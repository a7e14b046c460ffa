"""What was said, cut into the pieces that mean one thing each: the cut that explains most of the words best."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass

from diag.hearing.matching import Match

_SENTENCE = re.compile(r"(?<=[.!?;])\s+|\n+|(?<=[a-z])\.\s*(?=[A-Z])")
_JOINT = re.compile(
    r"\s*(?:,|:|;|\u2013|\u2014|\(|\)|\s-\s)\s*|\s+(?=(?:and|but|then|while|yet|though|so|because|which|until|although|since|plus)\b)"
)
_PAIR = re.compile(
    r"\bbetween (?:\w+ ){1,3}and |\b(?:on and off|up and down|back and forth|to and fro|now and (?:then|again))", re.I
)
MOST_JOINED = 4
_JOINING = 0.93  # joining pieces must explain them better, not just as well
_GLUE = re.compile(r"^(?:and|but|then|while|yet|so|because|which|although|plus)\s+", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Piece:
    """One piece of speech with what it may mean, best first."""

    words: str
    found: tuple[Match, ...]


def sentences(text: str) -> list[str]:
    """The sentences of a text."""
    return [part.strip() for part in _SENTENCE.split(text) if part.strip(" .!?;,")]


def fragments(sentence: str) -> list[str]:
    """The smallest pieces a sentence may be cut into, in order."""
    kept = _PAIR.sub(lambda found: found[0].replace(" and ", " & "), sentence)
    return [part.strip() for part in _JOINT.split(kept) if part and part.strip(" .,!?;")]


def cut(parts: list[str], listen: Callable[[str], tuple[tuple[Match, ...], float]]) -> list[Piece]:
    """The best way to join neighbouring fragments, by dynamic programming.

    Args:
        parts: the fragments.
        listen: what a piece may mean, best first, and how much its words weigh.
    """
    best: list[tuple[float, list[Piece]]] = [(0.0, [])]
    for end in range(1, len(parts) + 1):
        options = []
        for start in range(max(0, end - MOST_JOINED), end):
            words = " ".join(parts[start:end])
            found, weight = listen(words)
            score = found[0].score if found else 0.0
            value = score * weight * _JOINING ** (end - start - 1)
            before, pieces = best[start]
            options.append((before + value, [*pieces, Piece(_GLUE.sub("", words).strip(" ,.;"), found)]))
        best.append(max(options, key=lambda option: option[0]))
    return best[-1][1]
