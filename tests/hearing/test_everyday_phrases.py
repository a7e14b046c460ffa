"""What people say finds its entry: a long list written by hand, and a second one that nothing was mended by.

Source: common practice, no source; written from the trade's talk at counter and telephone, British and American.
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
import yaml

from diag.hearing.search import find
from diag.hearing.terms import in_terms
from diag.rulebook.load import load_book
from diag.rulebook.model import RuleBook
from diag.rulebook.where import rules_folder

HERE = Path(__file__).parent
NAMES = (
    "everyday_phrases.yaml", "everyday_phrases_apart.yaml", "everyday_phrases_new.yaml", "everyday_phrases_last.yaml",
    "everyday_phrases_counter.yaml", "everyday_phrases_hobbyist.yaml", "everyday_phrases_old_hand.yaml",
    "everyday_phrases_customers.yaml", "everyday_phrases_workshop.yaml",
    "everyday_phrases_last_of_all.yaml",
)  # fmt: skip


@pytest.fixture(scope="module")
def book() -> RuleBook:
    """The shipped book."""
    return load_book(rules_folder())


def _rows(name: str) -> list[tuple[str, str]]:
    told = yaml.safe_load((HERE / name).read_text(encoding="utf-8"))
    return [(entry, said) for entry, sayings in told.items() for said in sayings]


def _share(book: RuleBook, rows: list[tuple[str, str]], first: int) -> float:
    return sum(entry in [f.id for f in find(book, said)[:first]] for entry, said in rows) / len(rows)


def test_every_entry_named_exists(book: RuleBook) -> None:
    """No phrase stands beside an entry that the book does not have."""
    known = {*book.signs, *book.causes, *book.contexts, *book.readings}
    entries = {entry for name in NAMES for entry, _ in _rows(name)}
    assert entries <= known


def test_three_hundred_phrases_find_their_entry_first(book: RuleBook) -> None:
    """At least nine of ten lead to the right entry as the first hit."""
    rows = _rows("everyday_phrases.yaml")
    assert len(rows) >= 300
    assert _share(book, rows, 1) >= 0.90


def test_phrases_written_apart_are_found_too(book: RuleBook) -> None:
    """Phrases that no entry was worded after: at the first look 0.63 came first and 0.88 among five.

    Then the book was given many more everyday words, and a story's scenery less weight; the floors are what holds now.
    """
    rows = _rows("everyday_phrases_apart.yaml")
    assert _share(book, rows, 1) >= 0.85
    assert _share(book, rows, 5) >= 0.95


def test_newer_phrases_are_found(book: RuleBook) -> None:
    """Two sets more, each written before the search was asked: at the first look 0.68 first, 0.78 and 0.90 among five.

    The first set came before the book was given more everyday words, the second one after that.
    """
    rows = _rows("everyday_phrases_new.yaml")
    assert _share(book, rows, 1) >= 0.95
    rows = _rows("everyday_phrases_last.yaml")
    assert _share(book, rows, 1) >= 0.72
    assert _share(book, rows, 5) >= 0.90


def test_phrases_from_the_counter_are_found(book: RuleBook) -> None:
    """Sixty more, written before the search was asked: at the first look 0.75 first and 0.93 among five.

    Then the search took over every word that hearing knows, counted all lines of an entry together, and was given a
    table of what either side of the ocean says; none of that was done for these.
    """
    rows = _rows("everyday_phrases_counter.yaml")
    assert len(rows) == 60
    assert _share(book, rows, 1) >= 0.80
    assert _share(book, rows, 5) >= 0.93


def test_phrases_of_a_hobbyist_are_found(book: RuleBook) -> None:
    """Sixty more: at the first look 0.82 first and 0.93 among five; then concepts were searched for as well."""
    rows = _rows("everyday_phrases_hobbyist.yaml")
    assert _share(book, rows, 1) >= 0.90
    assert _share(book, rows, 5) >= 0.95


def test_phrases_of_other_tellers_are_found(book: RuleBook) -> None:
    """Sixty of each: at the first look 0.85, 0.88 and 0.92 first, 0.90 to 0.97 among five; then the concepts grew.

    Forty more after that: 0.90 first, 0.93 among five.
    """
    for name in NAMES[-4:]:
        rows = _rows(name)
        assert _share(book, rows, 1) >= 0.88
        assert _share(book, rows, 5) >= 0.93


def test_a_phrase_nobody_wrote_down_still_finds_its_entry(book: RuleBook) -> None:
    """Every fifth everyday phrase of every sign is taken out of the book and then searched for.

    Of such phrases 0.65 came first and 0.88 among five before all lines of an entry counted together, 0.78 and 0.94
    before concepts were looked at; the others of the same entry have to lead to it, so this measures the search and not
    the list. Two signs of one thing (a needle
    that moves slowly, a needle that trembles) share many words, so that the share cannot come near one.
    """
    out = {sign.id: sign.phrases[at % 5 :: 5] for at, sign in enumerate(book.signs.values())}
    signs = {
        name: replace(sign, phrases=tuple(p for p in sign.phrases if p not in out[name]))
        for name, sign in book.signs.items()
    }
    thinner = replace(book, signs=signs)
    rows = [(name, phrase) for name, phrases in out.items() for phrase in phrases]
    assert len(rows) > 400
    assert _share(thinner, rows, 1) >= 0.80
    assert _share(thinner, rows, 5) >= 0.93


def test_both_sides_of_the_ocean_say_the_same(book: RuleBook) -> None:
    """British and American words for one thing become one term, in one pass and as whole words only."""
    put = in_terms(book.vocabulary)
    for one, other in (
        ("bad earth", "bad ground"),
        ("smoke from the hood", "smoke from the bonnet"),
        ("gas in the vacuum line", "petrol in the vacuum hose"),
        ("tach is dead", "rev counter is dead"),
        ("adjusting screw seized", "set screw seized"),
    ):
        assert put(one) == put(other)
    assert put("gasket") == "gasket"
    assert put("pulsation damper") == "pulsation damper"
