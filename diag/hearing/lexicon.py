"""The rule book as something that can be listened with: every sign and context with the lines that mean it.

The weight of a word is its inverse document frequency (Spaerck Jones 1972): a word of few things says much.
"""

from __future__ import annotations

import math
import re
from collections import Counter, defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from diag.hearing.vocabulary import FINE, RELATED, STATE_WORDS
from diag.hearing.words import Speller, Word, raw_words, stem_of, words_of_lines
from diag.rulebook.findings import ABSENT, PRESENT, Sign
from diag.rulebook.model import Context, RuleBook

# How much a line of each sort can say at most, and whether it speaks in full sentences. Judgement.
PHRASE, TITLE, ASK, ID = 1.0, 0.97, 0.86, 0.8

UNKNOWN = 0.35  # what a word that the book never uses counts against a line, as a part of the rarest one
STATE = 1.2  # most that a word for how something was looked at may weigh
SUBJECT = 0.6  # share of a choice's lines that hold a word from which on it is what they speak about
MANY, ALONE = 4, 0.6  # things that share a word from which on it says little, and how little
EXACT = 0.7  # the same where that word was all that was said
BEREFT = 0.55  # what is left of a line that lost the word that says when
STATES = frozenset(stem_of(word) for word in STATE_WORDS)


@dataclass(frozen=True, slots=True)
class Line:
    """One line that means a thing: its words, its weight, and the answer it stands for."""

    text: str
    words: tuple[Word, ...]
    weight: float
    answer: str
    wordy: bool = False  # a question has words that nobody repeats


@dataclass(frozen=True, slots=True)
class Thing:
    """A sign or a context of the book."""

    kind: Literal["sign", "context"]
    id: str
    title: str
    lines: tuple[Line, ...]
    choices: tuple[str, ...] = ()  # answers of a choice
    symptom: bool = False  # people complain of it by themselves
    subject: str = ""  # the stem of what a choice speaks about


class Lexicon:
    """Every thing that can be told in words, with an index from stem to lines. Made once for a book."""

    def __init__(self, book: RuleBook) -> None:
        self.things = tuple(_things(book))
        self.named = {thing.id: thing for thing in self.things}
        self.speller = Speller(word for text in _texts(book) for word in raw_words(text))
        holders: dict[str, set[int]] = defaultdict(set)
        where: dict[str, list[tuple[int, int]]] = defaultdict(list)
        for at, thing in enumerate(self.things):
            for number, line in enumerate(thing.lines):
                for word in line.words:
                    holders[word.stem].add(at)
                    where[word.stem].append((at, number))
        self.where = dict(where)
        self.shared = {stem: len(at) for stem, at in holders.items()}
        self.rarity = {stem: math.log(1.0 + len(self.things) / len(at)) for stem, at in holders.items()}
        for stem in (STATES | {stem_of(word) for word in FINE}) & self.rarity.keys():
            self.rarity[stem] = min(self.rarity[stem], STATE)
        self.unknown = UNKNOWN * math.log(1.0 + len(self.things))
        self.near = _near(self.rarity)

    def worth(self, line: Line, whole: bool = False) -> float:
        """How much a line can say at most; one word that many things share says little by itself.

        ``whole``: nothing but this line was said.
        """
        if len(line.words) != 1 or line.words[0].denied:
            return line.weight
        if self.shared[line.words[0].stem] >= MANY:
            return line.weight * (EXACT if whole else ALONE)
        return line.weight * (BEREFT if _cut_down(line.text) else 1.0)

    def weight(self, stem: str) -> float:
        """How much a word says."""
        return self.rarity.get(stem, self.unknown)


def _cut_down(text: str) -> bool:
    """Whether a line says when or since when ("after washing"): its one meaningful word alone does not say that."""
    return re.search(r"\b(?:after|since|before|until|once|last)\b", text, re.IGNORECASE) is not None


def _near(known: dict[str, float]) -> dict[str, tuple[tuple[str, float], ...]]:
    """Every stem with itself and its relatives, and how near they are."""
    found: dict[str, dict[str, float]] = defaultdict(dict)
    for (one, two), nearness in RELATED.items():
        a, b = stem_of(one), stem_of(two)
        found[a][b] = found[b][a] = nearness
    stems = {*known, *found}
    return {s: ((s, 1.0), *sorted(found.get(s, {}).items())) for s in sorted(stems)}


def _texts(book: RuleBook) -> Iterator[str]:
    for sign in book.signs.values():
        yield from (sign.title, sign.ask, sign.means, *sign.phrases)
        yield from (text for a in sign.choices for text in (a.words, *a.phrases))
    for context in book.contexts.values():
        yield from (context.title, context.ask, *context.phrases)
    for reading in book.readings.values():
        yield from (reading.title, reading.ask)


@dataclass(frozen=True, slots=True)
class _Raw:
    """A line before its words were found."""

    text: str
    weight: float
    answer: str
    wordy: bool = False


def _things(book: RuleBook) -> Iterator[Thing]:
    signs = [(sign, _sign_lines(sign)) for sign in book.signs.values()]
    contexts = [(context, _context_lines(context)) for context in book.contexts.values()]
    every = [raw for _, lines in (*signs, *contexts) for raw in lines]
    words = iter(words_of_lines(raw.text for raw in every))

    def useful(lines: list[_Raw]) -> tuple[Line, ...]:
        found = [Line(raw.text, next(words), raw.weight, raw.answer, raw.wordy) for raw in lines]
        return tuple(line for line in found if line.words)

    for sign, raws in signs:
        lines = useful(raws)
        choices = tuple(answer.id for answer in sign.choices)
        yield Thing("sign", sign.id, sign.title, lines, choices, sign.symptom, _subject(lines) if choices else "")
    for context, raws in contexts:
        yield Thing("context", context.id, context.title, useful(raws))


def _sign_lines(sign: Sign) -> list[_Raw]:
    """What means a sign. A choice is heard by its answers: their own phrases, and their words beside the title."""
    if sign.choices:
        spoken = [_Raw(text, PHRASE, answer.id) for answer in sign.choices for text in answer.phrases]
        return [*spoken, *(_Raw(f"{sign.title} {answer.words}", ASK, answer.id) for answer in sign.choices)]
    lines = [_Raw(text, PHRASE, PRESENT) for text in sign.phrases]
    lines += [_Raw(sign.title, TITLE, PRESENT), _Raw(sign.ask, ASK, PRESENT, True)]
    return [*lines, _Raw(sign.id.replace("-", " "), ID, PRESENT)]


def _context_lines(context: Context) -> list[_Raw]:
    lines = [_Raw(text, PHRASE, "yes") for text in context.phrases]
    return [*lines, _Raw(context.title, TITLE, "yes"), _Raw(context.ask, ASK, "yes", True)]


def _subject(lines: tuple[Line, ...]) -> str:
    """The stem that most lines of a choice hold: what the choice speaks about; empty when there is none."""
    counts = Counter(word.stem for line in lines for word in line.words)
    subject, most = max(counts.items(), key=lambda pair: (pair[1], pair[0]))
    return subject if most >= SUBJECT * len(lines) else ""


def opposite(answer: str) -> str:
    """The answer that a denied line stands for; empty for a choice, of which a denial says nothing definite."""
    return {PRESENT: ABSENT, ABSENT: PRESENT, "yes": "no", "no": "yes"}.get(answer, "")
