"""When the best meaning of some words may be ticked: how much of them it explains, and by how much evidence.

How well the words fit says what is likeliest, not whether it is sure: "she'll diesel" fits "diesel in the tank" by
its only word. What is sure rests on several words, leaves few of them unexplained, and leaves none that calls the thing
well or denies it. What is less is offered all the same, unticked. Measured on sentences of strangers: of what rested on
one or two words of one line of the book, one in five was wrong, of what words and concepts agreed on, one in thirty.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from diag.hearing.composed import composed, said_of
from diag.hearing.everyday import SCENERY
from diag.hearing.lexicon import Lexicon
from diag.hearing.matching import Match, target_of
from diag.hearing.vocabulary import FINE, NEGATIVE
from diag.hearing.words import stem_of, words_of
from diag.rulebook.findings import ABSENT, PRESENT

SCENERY_COUNTS = 0.35  # what a time, a road or a person counts among the words that were left
THIN = 2  # words of one line that are no evidence by themselves
EXACT = 0.9  # unless they are a complaint told just as the book has it
MUCH_LEFT = 0.45  # share of the words, by weight, from which on a middling fit is not sure
ALL_THE_SAME = 0.78  # how well the rest has to fit then
_SCENERY = frozenset(stem_of(word) for word in SCENERY)
_FINE = frozenset(stem_of(word) for word in FINE - {"dry", "strong", "well"})
_DENIES = re.compile(rf"\b(?:{'|'.join(sorted(NEGATIVE - {'free', 'nothing', 'hardly', 'barely'}))})\b")


@dataclass(frozen=True, slots=True)
class Evidence:
    """What the meaning of some words rests on.

    Args:
        words: how many words it explains; one that is denied ("won't idle") says as much as two.
        left: the share, by weight, of those it does not.
        agreed: whether concepts make it up, and not only a line of the book.
        contradicted: whether a word that calls it well, or one that denies it, is left over.
    """

    words: int
    left: float
    agreed: bool
    contradicted: bool


def evidence(lexicon: Lexicon, text: str, match: Match) -> Evidence:
    """What a meaning of some words rests on.

    Args:
        lexicon: the book as it is listened with.
        text: the words, without those that say how sure somebody is.
        match: the meaning.
    """
    told = lexicon.speller.mend(said_of(text))
    spans = next((m.spans for m in composed(told) if target_of(m) == (match.thing.id, match.answer)), ())
    outside = "".join(" " if any(a <= at < b for a, b in spans) else c for at, c in enumerate(told))
    said = words_of(told)
    stems = {word.stem for word in said}
    left = {word.stem for word in words_of(outside)} & stems
    line = words_of(match.line) if match.line else ()
    known = {word.stem for word in line}
    left -= {s for s in left if any(near in known for near, _ in lexicon.near.get(s, ((s, 1.0),)))}
    weight = {s: lexicon.weight(s) * (SCENERY_COUNTS if s in _SCENERY else 1.0) for s in stems}
    total = sum(weight.values()) or 1.0
    well = match.answer == PRESENT and bool(left & _FINE)
    denied = _DENIES.search(outside) is not None and not (spans and _DENIES.search(told) is None)
    unsaid = not any(word.denied for word in line) and match.answer == PRESENT and not spans and denied
    explained = sum(1 + word.denied for word in said if word.stem not in left)
    return Evidence(explained, sum(weight[s] for s in left) / total, bool(spans), well or unsaid)


def sure_enough(found: Evidence, match: Match, symptom: bool) -> bool:
    """Whether a meaning that fits well enough is sure enough to be ticked as well."""
    if found.contradicted:
        return False
    exact = symptom and match.score >= EXACT and match.answer != ABSENT
    if not found.agreed and found.words <= THIN and not (exact and found.words == THIN):
        return False
    return found.left <= MUCH_LEFT or (symptom and match.score >= ALL_THE_SAME)
