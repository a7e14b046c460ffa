"""Search as you type: from everyday words to signs, readings, causes and contexts.

Forgiving of word order, endings, small slips of the fingers and a last word that is still being typed. Pure and fast:
the index of a book is made once, a search walks the vocabulary and a few short lists.

An entry counts by its best line (the share of what was said that stands in it, squared) and by all its lines together:
for each word how often the entry speaks of it, levelling off, since the fifth phrase with "wet" says little more. Rare
words count more, as does a line that says just what was said. What leads to an entry (the checks that yield a sign,
the remedies of a cause) is looked through as well, but only by its best line. Who says nothing of how the engine runs
means a part and its state, so causes gain. Who names a part means it: an entry that never speaks of it loses. The
figures were chosen on the book itself, by leaving phrases out in turn and searching for them, together with phrases
written in rounds (``tests/hearing/phrases_in_rounds.yaml``).
"""

from __future__ import annotations

import math
from bisect import bisect_left
from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, replace
from typing import Literal

from diag.hearing.composed import composed, said_of, spoken_of
from diag.hearing.concepts import ENGINE
from diag.hearing.search_words import (
    DENIED,
    PAIR,
    PARTS,
    PLAIN,
    SCENERY,
    bare,
    plain_words,
    tokens_of,
    tokens_of_lines,
    weight_of,
)
from diag.hearing.terms import in_terms
from diag.hearing.words import words_of as heard
from diag.rulebook.derived import derived
from diag.rulebook.model import RuleBook

FoundKind = Literal["sign", "reading", "cause", "context"]
BESIDE_THE_POINT = 0.3  # of its weight (judgement)
# Weight of a word by where it stands. Judgement: the heading says most, everyday phrases nearly as much.
_TITLE, _PHRASE, _ASK, _BODY, _ID = 3.0, 2.0, 1.4, 0.7, 2.7
_DEED, _DEED_TITLE, _CURE = 2.6, 2.0, 1.7
MOST_WORDS = 40  # tokens; about a dozen words
LEAST_SHARE = 0.25  # results far below the best one are noise
_KIND_BONUS = {"sign": 1.0, "reading": 1.0, "context": 0.85, "cause": 0.8}
_PART = 1.2  # what a cause gains where nothing is said of how the engine runs: a part and its state
_TEST_RESULT = 0.85  # what only a test shows comes after what people notice by themselves (judgement)
RARE = 0.29  # power of a word's rarity
ALL_LINES = 3.45  # what all lines together count beside the best one
LEVEL = 3.0  # weight of lines at which a word has half of its effect there
SHARE = 2.0  # power of the share of what was said that stands in a line
FULL = 0.24  # how much it counts that a line is met in full
VERY_WORDS, NEARLY = 4.0, 0.6  # what it counts that a line says just what was said, and from which share on
MADE_UP, THIN = 12.2, 0.6  # what an entry gains that the concepts make up, from which share of the words on
LACKS = 0.35  # what an entry loses that never speaks of the part that was named
UNKNOWN = 1.7  # what a word nobody wrote counts against everything


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
    lines: tuple[tuple[str, float], ...]  # text, weight
    bonus: float = 1.0
    own: int = 0  # how many of the lines are its own; the others say what leads to it


@dataclass(frozen=True)
class _Index:
    things: tuple[_Thing, ...]
    where: dict[str, tuple[tuple[int, int], ...]]  # token -> (thing, line)
    rarity: dict[str, float]
    whole: tuple[tuple[float, ...], ...]  # thing -> line -> what all its tokens are worth
    stems: tuple[str, ...]  # sorted meanings, and plain words with their mark
    named: dict[str, int]  # id -> thing; what people notice before what has the same name elsewhere
    by_length: dict[int, tuple[str, ...]]  # meanings of each length
    in_terms: Callable[[str], str]  # everyday words -> the terms of the trade


def words_of(text: str) -> list[str]:
    """The folded stems of a text, each once, without empty words."""
    return [word.stem for word in heard(text)]


def index_of(book: RuleBook) -> _Index:
    """The index of a book, kept with it, since making one takes some tenths of a second."""
    return derived(book, _build)


def find(book: RuleBook, text: str, limit: int = 20) -> list[Found]:
    """What the words may mean, best first; empty when nothing fits or nothing was typed.

    Args:
        book: where to look.
        text: what was typed so far; its last word may be unfinished.
        limit: most results.
    """
    index = index_of(book)
    text = text[:200]
    typed = _known_first(index, text)
    if not typed:
        return []
    unfinished = plain_words(text)[-1:] if text[-1:].isalnum() else []
    hits: list[dict[tuple[int, int], float]] = []
    total = 0.0
    for token in typed[:MOST_WORDS]:
        matches = _matches(index, token, bare(token) in unfinished)
        # A word nobody wrote counts against everything, but less than a known one.
        worth = max((index.rarity[known] for known in matches), default=UNKNOWN * weight_of(token))
        worth *= BESIDE_THE_POINT if bare(token) in SCENERY else 1.0
        total += worth
        spots: dict[tuple[int, int], float] = {}
        for known, closeness in matches.items():
            for spot in index.where[known]:
                spots[spot] = max(spots.get(spot, 0.0), worth * closeness)
        hits.append(spots)
    favours = {} if _complains(text) else {"cause": _PART}
    named = [at for at, token in enumerate(typed[:MOST_WORDS]) if token in PARTS or token.removeprefix(PLAIN) in PARTS]
    return _ranked(index, hits, total, _put_together(index, text), favours, named)[:limit]


def _known_first(index: _Index, text: str) -> list[str]:
    """The tokens of what was typed; a word that nobody wrote gives way to the term that stands for it."""
    typed = tokens_of(text, index.in_terms)
    terms = tokens_of(index.in_terms(text), str)
    gone = {token for token in typed if token not in index.where and token not in terms and token.isalnum()}
    if not gone:
        return typed
    return [*(token for token in typed if token not in gone), *(token for token in terms if token not in typed)]


def _complains(text: str) -> bool:
    """Whether a text says what the engine does, or what is smelt."""
    return not ENGINE.keys().isdisjoint(spoken_of(said_of(text)))


def _put_together(index: _Index, text: str) -> dict[int, float]:
    """The things that the concepts of a text make up, and how well they cover it."""
    found: dict[int, float] = {}
    for made in composed(said_of(text)):
        at = index.named.get(made.target.removeprefix("F:").lstrip("!").partition("=")[0])
        if at is not None:
            found[at] = max(found.get(at, 0.0), made.score)
    return found


def _ranked(
    index: _Index,
    hits: list[dict[tuple[int, int], float]],
    total: float,
    made: dict[int, float],
    favours: dict[str, float],
    named: list[int],
) -> list[Found]:
    """Things by their best line, by how much all their lines speak of the words, and by what the concepts make up."""
    lines: dict[tuple[int, int], float] = defaultdict(float)
    together: dict[int, float] = defaultdict(float)
    for spots in hits:
        spoken: dict[int, float] = defaultdict(float)
        most: dict[int, float] = defaultdict(float)
        for (thing, line), worth in spots.items():
            lines[thing, line] += worth
            if line < index.things[thing].own:
                spoken[thing] += index.things[thing].lines[line][1]
            else:
                spoken.setdefault(thing, 0.0)
            most[thing] = max(most[thing], worth)
        for thing, weight in spoken.items():
            together[thing] += most[thing] * LEVEL * weight / (weight + LEVEL)
    top: dict[int, tuple[float, int]] = {}
    for (at, line), worth in lines.items():
        weight = index.things[at].lines[line][1]
        share = min(worth / total, 1.0)
        # A short line met in full says more than a long one that happens to hold the words.
        met = min(1.0, worth / max(index.whole[at][line], 1e-9))
        same = VERY_WORDS * max(0.0, min(share, met) - NEARLY)
        top[at] = max(top.get(at, (0.0, 0)), (weight * (share**SHARE * (1.0 - FULL + FULL * met) + same), -line))
    found = []
    parts = [{thing for thing, _ in hits[at]} for at in named]
    for at in top.keys() | made.keys():
        what = index.things[at]
        score, line = top.get(at, (0.0, 0))
        score = favours.get(what.kind, 1.0) * what.bonus * (score + ALL_LINES * together[at] / total) + MADE_UP * max(
            0.0, made.get(at, 0.0) - THIN
        )
        if parts:
            score *= 1.0 - LACKS * sum(at not in having for having in parts) / len(parts)
        found.append(Found(what.kind, what.id, what.title, round(score, 6), what.lines[-line][0]))
    found.sort(key=lambda f: (-f.score, f.kind, f.id))
    least = LEAST_SHARE * found[0].score if found else 0.0
    return [f for f in found if f.score >= least]


def _matches(index: _Index, token: str, unfinished: bool) -> dict[str, float]:
    """Known tokens that the typed one may stand for, with how close they are (1 exact)."""
    found: dict[str, float] = {}
    if token in index.where:
        found[token] = 1.0
    word = bare(token)
    if unfinished and len(word) >= 2:
        at = bisect_left(index.stems, token)
        while at < len(index.stems) and index.stems[at].startswith(token):
            known = index.stems[at]
            found.setdefault(known, 0.6 + 0.3 * len(token) / len(known))
            at += 1
        for short in range(len(token) - 1, max(3, len(token) - 4), -1):  # half an ending that stemming would take off
            if token[:short] in index.where:
                found.setdefault(token[:short], 0.9)
    if not found and len(token) >= 4 and not token.startswith((PLAIN, PAIR, DENIED)):
        allowed = 2 if len(token) >= 8 else 1
        for length in range(max(3, len(token) - allowed), len(token) + allowed + 1):
            for known in index.by_length.get(length, ()):
                if len(token) == len(known) == 5 and sorted(token) != sorted(known):
                    continue  # one wrong letter of five is mostly another word: "snake" is no "shake"
                if slips(token, known, allowed) <= allowed:
                    found[known] = 0.75 if slips(token, known, 1) <= 1 else 0.5
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
    things = tuple(_things(book))
    tokens = iter(tokens_of_lines([text for thing in things for text, _ in thing.lines], put))
    where: dict[str, list[tuple[int, int]]] = defaultdict(list)
    holders: dict[str, set[int]] = defaultdict(set)
    kept: list[list[list[str]]] = []
    for at, thing in enumerate(things):
        kept.append([])
        for line in range(len(thing.lines)):
            here = next(tokens)
            kept[-1].append(here)
            for token in here:
                where[token].append((at, line))
                holders[token].add(at)
    rarity = {token: math.log(1.0 + len(things) / len(at)) ** RARE * weight_of(token) for token, at in holders.items()}
    whole = tuple(tuple(sum(rarity[token] for token in line) for line in lines) for lines in kept)
    lengths: dict[int, list[str]] = defaultdict(list)
    for token in sorted(where):
        if not token.startswith((PLAIN, PAIR, DENIED)):
            lengths[len(token)].append(token)
    stems = tuple(sorted(token for token in where if not token.startswith((PAIR, DENIED))))
    by_length = {length: tuple(words) for length, words in lengths.items()}
    spots = {token: tuple(at) for token, at in where.items()}
    named = {thing.id: at for at, thing in reversed(list(enumerate(things)))}
    return _Index(things, spots, rarity, whole, stems, named, by_length, put)


def _things(book: RuleBook) -> Iterator[_Thing]:
    deeds = _deeds(book)
    built = {name for context in book.contexts.values() for name in context.asked_by}  # what a car has is no complaint
    for sign in book.signs.values():
        answers = tuple((a.words, _BODY) for a in sign.choices)
        spoken = tuple((p, _PHRASE) for p in (*sign.phrases, *(p for a in sign.choices for p in a.phrases)))
        more = (*spoken, (sign.ask, _ASK), (sign.means, _BODY), *answers)
        thing = _thing("sign", sign.id, sign.title, more, deeds[sign.id])
        seldom = sign.id in built or not (sign.symptom or sign.phrases)
        yield replace(thing, bonus=_TEST_RESULT) if seldom else thing
    for reading in book.readings.values():
        spoken = tuple((p, _PHRASE) for p in reading.phrases)
        more = (*spoken, (reading.ask, _ASK), (reading.instrument, _BODY))
        yield _thing("reading", reading.id, reading.title, more, deeds[reading.id])
    for cause in book.causes.values():
        spoken = tuple((p, _PHRASE) for p in cause.phrases)
        cures = [(book.remedies[name].title, _CURE) for name in cause.remedies]
        yield _thing("cause", cause.id, cause.title, (*spoken, (cause.in_words, _BODY)), cures)
    for context in book.contexts.values():
        spoken = tuple((p, _PHRASE) for p in context.phrases)
        yield _thing("context", context.id, context.title, (*spoken, (context.ask, _ASK)), [])


def _deeds(book: RuleBook) -> dict[str, list[tuple[str, float]]]:
    """What is done to learn of a sign or a reading: the checks that yield it, by title and by what people call them."""
    found: dict[str, list[tuple[str, float]]] = defaultdict(list)
    for check in book.checks.values():
        for name in dict.fromkeys(one.sign or one.reading for one in check.yields):
            found[name] += [(check.title, _DEED_TITLE), *((p, _DEED) for p in check.phrases)]
    return found


def _thing(
    kind: FoundKind, name: str, title: str, more: Iterable[tuple[str, float]], leads: Iterable[tuple[str, float]]
) -> _Thing:
    own = ((title, _TITLE), (name.replace("-", " "), _ID), *more)
    return _Thing(kind, name, title, (*own, *leads), _KIND_BONUS[kind], len(own))
