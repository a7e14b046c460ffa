"""Search as you type: from everyday words to signs, readings, causes and contexts.

Forgiving of word order, endings, small slips of the fingers and a last word that is still being typed. Pure and fast:
the index of a book is made once, a search walks the vocabulary and a few short lists.
"""

from __future__ import annotations

import math
import re
from bisect import bisect_left
from collections import defaultdict
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from typing import Literal

from diag.rulebook.model import RuleBook
from diag.rulebook.search_words import EMPTY, SAME, SCENERY
from diag.rulebook.vocabulary import in_terms

FoundKind = Literal["sign", "reading", "cause", "context"]
_WORD = re.compile(r"[a-z0-9]+")
_ENDINGS = ("ings", "ing", "edly", "ed", "es", "s", "ly", "er")
BESIDE_THE_POINT = 0.4  # of its weight (judgement)
# Weight of a word by where it stands. Judgement: the heading says most, everyday phrases nearly as much.
_TITLE, _PHRASE, _ASK, _BODY, _ID = 3.0, 2.6, 1.4, 0.7, 1.6
MOST_WORDS = 12
LEAST_SHARE = 0.25  # results far below the best one are noise
_KIND_BONUS = {"sign": 1.0, "reading": 1.0, "context": 0.85, "cause": 0.8}
_TEST_RESULT = 0.85  # what only a test shows comes after what people notice by themselves (judgement)


@dataclass(frozen=True, slots=True)
class Found:
    """One thing found, best first; ``score`` is only good for comparing."""

    kind: FoundKind
    id: str
    title: str
    score: float
    because: str  # the phrase or heading that matched best


@dataclass(frozen=True)
class _Thing:
    kind: FoundKind
    id: str
    title: str
    lines: tuple[tuple[str, frozenset[str], float], ...]  # text, its stems, weight
    bonus: float = 1.0


@dataclass(frozen=True)
class _Index:
    things: tuple[_Thing, ...]
    where: dict[str, tuple[tuple[int, int], ...]]  # stem -> (thing, line)
    rarity: dict[str, float]
    stems: tuple[str, ...]  # sorted
    by_length: dict[int, tuple[str, ...]]  # stems of each length
    in_terms: Callable[[str], str]  # everyday words -> the terms of the trade


def stem(word: str) -> str:
    """A word without its ending, and with everyday synonyms folded together."""
    for ending in _ENDINGS:
        if word.endswith(ending) and len(word) - len(ending) >= 3:
            word = word[: -len(ending)]
            break
    if len(word) > 3 and word[-1] == word[-2] and word[-1] not in "sl":
        word = word[:-1]
    word = word[:-1] if len(word) > 4 and word.endswith("e") else word
    return SAME.get(word, word)


def words_of(text: str) -> list[str]:
    """The stems of a text in order, without empty words."""
    return [stem(w) for w in _WORD.findall(text.lower().replace("'", "")) if w not in EMPTY]


_recent: list[tuple[RuleBook, _Index]] = []


def index_of(book: RuleBook) -> _Index:
    """The index of a book; the last few are kept, since making one takes some milliseconds."""
    for known, index in _recent:
        if known is book:
            return index
    index = _build(book)
    _recent.append((book, index))
    del _recent[:-4]
    return index


def find(book: RuleBook, text: str, limit: int = 20) -> list[Found]:
    """What the words may mean, best first; empty when nothing fits or nothing was typed.

    Args:
        book: where to look.
        text: what was typed so far; its last word may be unfinished.
        limit: most results.
    """
    index = index_of(book)
    said = index.in_terms(text[:200])
    typed = words_of(said) or [stem(w) for w in _WORD.findall(said)]
    if not typed:
        return []
    unfinished = text[-1:].isalnum()
    hits: list[dict[tuple[int, int], float]] = []
    total = 0.0
    for word in list(dict.fromkeys(typed))[:MOST_WORDS]:
        matches = _matches(index, word, unfinished and word == typed[-1])
        # A word nobody wrote counts against everything, but less than a known one.
        worth = max((index.rarity[known] for known in matches), default=1.0)
        worth *= BESIDE_THE_POINT if word in SCENERY else 1.0
        total += worth
        spots: dict[tuple[int, int], float] = {}
        for known, closeness in matches.items():
            for spot in index.where[known]:
                spots[spot] = max(spots.get(spot, 0.0), worth * closeness)
        hits.append(spots)
    return _ranked(index, hits, total)[:limit]


def _ranked(index: _Index, hits: list[dict[tuple[int, int], float]], total: float) -> list[Found]:
    """Things by their best line and by how many of the words they hold anywhere."""
    lines: dict[tuple[int, int], float] = defaultdict(float)
    anywhere: dict[int, float] = defaultdict(float)
    for spots in hits:
        best: dict[int, float] = {}
        for (thing, line), worth in spots.items():
            lines[thing, line] += worth
            weighed = worth * index.things[thing].lines[line][2]
            best[thing] = max(best.get(thing, 0.0), weighed)
        for thing, weighed in best.items():
            anywhere[thing] += weighed
    top: dict[int, tuple[float, int]] = {}
    for (at, line), worth in lines.items():
        _, words, weight = index.things[at].lines[line]
        share = min(worth / total, 1.0)
        # A short line met in full says more than a long one that happens to hold the words.
        full = 0.75 + 0.25 * min(1.0, worth / max(sum(index.rarity[w] for w in words), 1e-9))
        top[at] = max(top.get(at, (0.0, 0)), (share * share * weight * full, -line))
    found = []
    for at, (score, line) in top.items():
        what = index.things[at]
        score = what.bonus * (score + 0.6 * anywhere[at] / total)
        found.append(Found(what.kind, what.id, what.title, round(score, 6), what.lines[-line][0]))
    found.sort(key=lambda f: (-f.score, f.kind, f.id))
    least = LEAST_SHARE * found[0].score if found else 0.0
    return [f for f in found if f.score >= least]


def _matches(index: _Index, word: str, unfinished: bool) -> dict[str, float]:
    """Known stems that the typed one may stand for, with how close they are (1 exact)."""
    found: dict[str, float] = {}
    if word in index.where:
        found[word] = 1.0
    if unfinished and len(word) >= 2:
        at = bisect_left(index.stems, word)
        while at < len(index.stems) and index.stems[at].startswith(word):
            known = index.stems[at]
            found.setdefault(known, 0.6 + 0.3 * len(word) / len(known))
            at += 1
    if not found and len(word) >= 4:
        allowed = 2 if len(word) >= 8 else 1
        for length in range(max(3, len(word) - allowed), len(word) + allowed + 1):
            for known in index.by_length.get(length, ()):
                if len(word) == len(known) == 5 and sorted(word) != sorted(known):
                    continue  # one wrong letter of five is mostly another word: "snake" is no "shake"
                if slips(word, known, allowed) <= allowed:
                    found[known] = 0.75 if slips(word, known, 1) <= 1 else 0.5
    return found


def slips(one: str, two: str, most: int) -> int:
    """Letters wrong, missing, added or swapped between two words; ``most + 1`` as soon as it is more than that."""
    if one == two:
        return 0
    if abs(len(one) - len(two)) > most:
        return most + 1
    # What both begin and end with cannot matter; for one slip hardly anything is left after this.
    start = 0
    while start < min(len(one), len(two)) and one[start] == two[start]:
        start += 1
    end = 0
    while end < min(len(one), len(two)) - start and one[-1 - end] == two[-1 - end]:
        end += 1
    a, b = one[start : len(one) - end], two[start : len(two) - end]
    if max(len(a), len(b)) > 2 * most + 1:
        return most + 1
    before: list[int] = []
    row = list(range(len(b) + 1))
    for i, letter in enumerate(a, start=1):
        before, last = row, before
        row = [i]
        for j, other in enumerate(b, start=1):
            cost = min(before[j] + 1, row[j - 1] + 1, before[j - 1] + (letter != other))
            if i > 1 and j > 1 and letter == b[j - 2] and a[i - 2] == other:
                cost = min(cost, last[j - 2] + 1)
            row.append(cost)
    return min(row[-1], most + 1)


def _build(book: RuleBook) -> _Index:
    put = in_terms(book.vocabulary)
    things = tuple(_things(book, put))
    where: dict[str, list[tuple[int, int]]] = defaultdict(list)
    holders: dict[str, set[int]] = defaultdict(set)
    for at, thing in enumerate(things):
        for line, (_, stems, _) in enumerate(thing.lines):
            for word in stems:
                where[word].append((at, line))
                holders[word].add(at)
    rarity = {word: math.log(1.0 + len(things) / len(at)) for word, at in holders.items()}
    lengths: dict[int, list[str]] = defaultdict(list)
    for word in sorted(where):
        lengths[len(word)].append(word)
    by_length = {length: tuple(words) for length, words in lengths.items()}
    spots = {word: tuple(at) for word, at in where.items()}
    return _Index(things, spots, rarity, tuple(sorted(where)), by_length, put)


def _things(book: RuleBook, put: Callable[[str], str]) -> Iterator[_Thing]:
    for sign in book.signs.values():
        answers = tuple((a.words, _BODY) for a in sign.choices)
        spoken = tuple((p, _PHRASE) for p in (*sign.phrases, *(p for a in sign.choices for p in a.phrases)))
        more = (*spoken, (sign.ask, _ASK), (sign.means, _BODY), *answers)
        thing = _thing(put, "sign", sign.id, sign.title, more)
        yield thing if sign.symptom or sign.phrases else replace(thing, bonus=_TEST_RESULT)
    for reading in book.readings.values():
        spoken = tuple((p, _PHRASE) for p in reading.phrases)
        more = (*spoken, (reading.ask, _ASK), (reading.instrument, _BODY))
        yield _thing(put, "reading", reading.id, reading.title, more)
    for cause in book.causes.values():
        spoken = tuple((p, _PHRASE) for p in cause.phrases)
        yield _thing(put, "cause", cause.id, cause.title, (*spoken, (cause.in_words, _BODY)))
    for context in book.contexts.values():
        spoken = tuple((p, _PHRASE) for p in context.phrases)
        yield _thing(put, "context", context.id, context.title, (*spoken, (context.ask, _ASK)))


def _thing(
    put: Callable[[str], str], kind: FoundKind, name: str, title: str, more: tuple[tuple[str, float], ...]
) -> _Thing:
    lines = ((title, _TITLE), (name.replace("-", " "), _ID), *more)
    found = tuple((text, frozenset(words_of(put(text))), weight) for text, weight in lines)
    return _Thing(kind, name, title, found, _KIND_BONUS[kind])
