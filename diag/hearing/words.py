"""A piece of speech as meaningful words: spelling mended, the trade's synonyms folded, stems, and what is negated."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache, lru_cache
from threading import Lock

from diag.hearing.concepts import CONCEPTS, is_spoken_of
from diag.hearing.everyday import EVERYDAY
from diag.hearing.first_letters import first_letters
from diag.hearing.folds import NAMES, PHRASES
from diag.hearing.vocabulary import EMPTY, NEGATIVE, OPPOSITE, SAME, SHORT_FORMS, SPEAKERS, TURNS_BACK

_RAW = re.compile(r"[a-z0-9_]+")


_ITS = re.compile(r"\bits\b")


def _at_once(folds: Iterable[tuple[str, str]]) -> tuple[re.Pattern[str], tuple[str, ...]]:
    """Many folds as one pattern, so that a text is walked through once; the first fold that fits at a word is taken."""
    parts, meant = [], []
    for written, meaning in folds:
        said = _ITS.sub("it is", written)  # an apostrophe is not heard, so "its" was opened out like "it's"
        letters = first_letters(said)
        first = f"(?=[{''.join(sorted(letters))}])" if letters else ""
        parts.append(f"({first}(?:{said}))")
        meant.append(meaning)
    return re.compile(rf"\b(?:{'|'.join(parts)})(?![a-z0-9])", re.MULTILINE), tuple(meant)


_PULLED_OFF = re.compile(r"\bpull(?:ed|ing|s)? ((?:\w+ ){0,3})off\b")  # what was pulled stands between the two words
_PASSES = (_at_once(NAMES), _at_once(PHRASES))  # the parts are named first, since other phrases speak of them
_SHORT = re.compile(rf"\b(?:{'|'.join(SHORT_FORMS)})\b")
_LEAST_TO_MEND = 5  # letters; shorter words have too many neighbours
_LONG = 8  # letters from which two slips are mended


@dataclass(frozen=True, slots=True)
class Word:
    """A folded stem, and whether the words before it deny it."""

    stem: str
    denied: bool


class Speller:
    """Mends small slips of the fingers against the words that the book and the trade use.

    Args:
        known: raw words as they are written in the book, beside those of the vocabulary.
    """

    def __init__(self, known: Iterable[str]) -> None:
        self._counts = Counter(known)
        words = set(self._counts) | _vocabulary()
        self._known = frozenset(words)
        # Mended towards words of the trade only: a name that happens to be near an everyday word stays a name.
        self._long = sorted(w for w in words - EMPTY - EVERYDAY if len(w) >= _LEAST_TO_MEND)
        self._mended: dict[str, str] = {}

    def knows(self, word: str) -> bool:
        """Whether a word, in any case, is one of the book's, the trade's or everyday speech."""
        folded = word.lower()
        return folded in self._known or _plain(folded) in self._known or self._word(folded) != folded

    def mend(self, text: str) -> str:
        """The text with mistyped words replaced by the nearest known one."""
        return _RAW.sub(lambda found: self._word(found[0]), text)

    def _word(self, word: str) -> str:
        if word in self._known or not word.isalpha():
            return word
        if word not in self._mended:
            self._mended[word] = self._nearest(word)
        return self._mended[word]

    def _nearest(self, word: str) -> str:
        from rapidfuzz import process  # some milliseconds, and only somebody who mistyped needs it
        from rapidfuzz.distance import OSA

        if len(word) < _LEAST_TO_MEND:
            swapped = (word[:at] + word[at + 1] + word[at] + word[at + 2 :] for at in range(len(word) - 1))
            return next((w for w in swapped if w in self._known and len(w) >= 4), word)
        if _plain(word) in self._known or is_spoken_of(word):
            return word
        slips = 2 if len(word) >= _LONG else 1
        near = [w for w in self._long if w[0] == word[0] and abs(len(w) - len(word)) <= slips]
        found = process.extract(word, near, scorer=OSA.distance, score_cutoff=slips, limit=5)
        if len(word) == _LEAST_TO_MEND:  # one wrong letter of five is mostly another word: "snake" is no "shake"
            found = [hit for hit in found if len(hit[0]) != len(word) or sorted(hit[0]) == sorted(word)]
        # Of two that are as near, the one that the book uses more often.
        best = min(found, key=lambda hit: (hit[1], -self._counts[hit[0]], hit[0]), default=None)
        return best[0] if best is not None else word


def _plain(word: str) -> str:
    """A regular ending taken off, so that a known word's plural or past is not taken for a slip."""
    for ending in ("ing", "ed", "es", "s", "ly", "er", "d"):
        if word.endswith(ending) and len(word) - len(ending) >= 3:
            return word[: -len(ending)]
    return word


def plain_text(text: str) -> str:
    """Lower case, one blank between words, apostrophes and short forms opened out."""
    told = text.lower().replace("’", "'").replace("'", "").replace("-", " ").replace("&", " and ")
    return " ".join(_SHORT.sub(lambda found: SHORT_FORMS[found[0]], told).split())


def raw_words(text: str) -> list[str]:
    """The words of a text as written, for the speller."""
    return _RAW.findall(plain_text(text))


def words_of(text: str, speller: Speller | None = None) -> tuple[Word, ...]:
    """The meaningful words of one piece of speech, each once, in order.

    Args:
        text: one clause, in any case.
        speller: mends the spelling first; None for text of the book.
    """
    told = plain_text(text)
    return _meaning(_folded(speller.mend(told) if speller is not None else told))


def words_of_lines(texts: Iterable[str]) -> list[tuple[Word, ...]]:
    """The same for many lines of the book at once: every fold goes over all of those not met before in one pass."""
    told = list(texts)
    fresh = [text for text in dict.fromkeys(told) if text not in _met]
    if len(_met) + len(fresh) > _MOST_MET:
        _met.clear()
        fresh = list(dict.fromkeys(told))
    if fresh:
        folded = _folded("\n".join(plain_text(text) for text in fresh)).split("\n")
        _met.update(zip(fresh, map(_meaning, folded), strict=True))
    return [_met[text] for text in told]


_met: dict[str, tuple[Word, ...]] = {}  # lines of the book, which hearing and search both fold
_MOST_MET = 50_000


def _folded(told: str) -> str:
    """Plain text, one clause a line, with the trade's phrases folded; no fold reaches across a line's end."""
    told = _PULLED_OFF.sub(r"pulledoff \1", told)
    for pattern, meant in _PASSES:
        told = pattern.sub(lambda found, meant=meant: meant[(found.lastindex or 1) - 1], told)  # type: ignore[misc]
    return told


def _meaning(line: str) -> tuple[Word, ...]:
    """The meaningful words of a folded line."""
    found: dict[str, Word] = {}
    denied = False
    for raw in _RAW.findall(line):
        if raw in TURNS_BACK or raw in SPEAKERS:  # whoever is told of next begins a clause of its own
            denied = False
        if raw in NEGATIVE:
            denied = not (denied and raw == "without")  # "won't idle without" says that it is needed
        if raw in EMPTY or raw in TURNS_BACK or (raw in NEGATIVE and raw != "nothing") or raw.isdigit():
            continue
        stem = stem_of(OPPOSITE.get(raw) or SAME.get(raw, raw))
        found.setdefault(stem, Word(stem, (denied and raw != "nothing") != (raw in OPPOSITE)))
    return tuple(found.values())


@cache
def _vocabulary() -> frozenset[str]:
    """Every raw word of the vocabulary: known, so never mended away, and mended towards."""
    spelled = " ".join(said for said, _ in (*NAMES, *PHRASES))
    in_folds = {w for w in re.findall(r"[a-z]{3,}", spelled) if "\\" not in w}
    opened = {w for text in SHORT_FORMS.values() for w in text.split()}
    in_concepts = set(re.findall(r"(?<![a-z\\])[a-z]{3,}(?![a-z\\?*+(\[])", " ".join(CONCEPTS.values())))
    return frozenset(
        in_folds | in_concepts | set(SAME) | EMPTY | NEGATIVE | TURNS_BACK | opened | set(SHORT_FORMS) | EVERYDAY
    )


_AT_THE_STEMMER = Lock()


@lru_cache(maxsize=20_000)
def stem_of(word: str) -> str:
    """The English stem after Porter's second algorithm."""
    # A stemmer keeps the word it is at, and a screen hears while a thread beside it still makes the index.
    with _AT_THE_STEMMER:
        return _stemmer().stemWord(word)  # type: ignore[no-any-return]


@cache
def _stemmer():  # type: ignore[no-untyped-def]  # the library has no types
    from snowballstemmer.english_stemmer import EnglishStemmer  # some milliseconds; not every command listens

    return EnglishStemmer()
