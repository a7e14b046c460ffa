"""Everyday words find the right rule, in any order, with slips, while still typing, and at once."""

from __future__ import annotations

import sys
import time
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest
from snowballstemmer.english_stemmer import EnglishStemmer

from diag.hearing.search import find, slips
from diag.hearing.words import stem_of
from diag.rulebook.load import book_from_texts, load_book
from diag.rulebook.model import RuleBook
from diag.rulebook.where import rules_folder

GOOD = (Path(__file__).parent.parent / "rulebook" / "good.yaml").read_text(encoding="utf-8")


@pytest.fixture(scope="module")
def book() -> RuleBook:
    """The shipped book."""
    return load_book(rules_folder())


# What people say -> what they mean. Common practice, no source: written from the trade's talk.
SAYINGS = {
    "pressure won't come down": "pressure-wont-come-down",
    "come down it won't the pressure": "pressure-wont-come-down",
    "presure wont come donw": "pressure-wont-come-down",
    "fuel at the cap": "fuel-at-cap",
    "adjuster does nothing": "adjuster-does-nothing",
    "the screw does nothing": "adjuster-does-nothing",
    "black smke": "black-smoke",
    "smells rich": "smells-rich",
    "won't start": "no-start",
    "pump noise": "pump-sound",
    "stinks of petrol": "fuel-smell",
    "hesitates": "hesitates",
    "volts at the pump": "pump volts",
    "rail press": "rail pressure",
    "turbo": "boosted",
    "track day": "race-use",
    "wet under the car": "fuel-under-car",
    "takes ages to start hot": "long-crank-hot",
}


@pytest.mark.parametrize(("said", "meant"), SAYINGS.items(), ids=list(SAYINGS))
def test_saying_finds_its_rule(book: RuleBook, said: str, meant: str) -> None:
    """The rule a customer means is among the first three."""
    assert meant in [f.id for f in find(book, said)[:3]]


def test_finds_while_still_typing(book: RuleBook) -> None:
    """The heading of every sign, cut off in its last word, still finds it among the first five."""
    missed = []
    for sign in book.signs.values():
        typed = sign.title[: max(8, len(sign.title) - 2)]
        if sign.id not in [f.id for f in find(book, typed)[:5]]:
            missed.append((sign.id, typed))
    assert missed == []


def test_own_phrases_find_their_sign(book: RuleBook) -> None:
    """Nearly every everyday phrase of a sign leads to it among the first five."""
    phrases = [(sign.id, phrase) for sign in book.signs.values() for phrase in sign.phrases]
    hits = sum(sign in [f.id for f in find(book, phrase)[:5]] for sign, phrase in phrases)
    assert hits / len(phrases) > 0.97


def test_nothing_and_nonsense_find_nothing(book: RuleBook) -> None:
    """Empty text, blanks and words nobody uses give an empty list, never an error."""
    for text in ("", "   ", "zzqx vvxq", "!!!", "\x00\ud800", "x" * 10_000):
        assert find(book, text) == []


def test_search_is_fast(book: RuleBook) -> None:
    """Once the index is made, a search takes less than 5 ms, also for misspelt words (best of five)."""
    find(book, "warm")
    for text in ("p", "pressure", "presure wont come donw at idel with hoes on", "pump is whining verry loud tody"):
        assert min(_timed(book, text) for _ in range(5)) < 0.005


def _timed(book: RuleBook, text: str) -> float:
    start = time.process_time()  # what other programs do meanwhile does not count
    find(book, text)
    return time.process_time() - start


def test_words_are_stemmed_alike_in_many_threads_at_once() -> None:
    """The index is made beside a screen that hears already; four threads over the same words find the same stems."""
    words = [f"{start}{end}" for start in "abcdefghijklm" for end in ("ations", "ically", "fulness", "eeded", "yings")]
    alone = [EnglishStemmer().stemWord(word) for word in words]
    before = sys.getswitchinterval()
    sys.setswitchinterval(1e-6)
    try:
        with ThreadPoolExecutor(4) as pool:
            for _ in range(10):
                stem_of.cache_clear()
                assert list(pool.map(lambda _: [stem_of(word) for word in words], range(4))) == [alone] * 4
    finally:
        sys.setswitchinterval(before)


def test_result_is_plain_and_ordered() -> None:
    """Results carry kind, id, title and the line that matched; the same text gives the same list."""
    book = book_from_texts({"good.yaml": GOOD})
    found = find(book, "new line")
    assert ("context", "just-plumbed", "new lines") in [(f.kind, f.id, f.because) for f in found]
    assert find(book, "new line") == found
    scores = [f.score for f in find(book, "pressure")]
    assert scores == sorted(scores, reverse=True)


def test_slips_counts_like_the_textbook() -> None:
    """Optimal string alignment distance on textbook pairs (kitten/sitting 3, ca/abc 3; from memory)."""
    assert slips("kitten", "sitting", 5) == 3
    assert slips("ca", "abc", 5) == 3
    assert slips("needle", "nedele", 2) == 1
    assert slips("pump", "pump", 1) == 0
    assert slips("pump", "regulator", 2) == 3
