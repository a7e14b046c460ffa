"""What people say finds its entry: a long list written by hand, and a second one that nothing was mended by.

Source: common practice, no source; written from the trade's talk at counter and telephone, British and American.
"""

from __future__ import annotations

from pathlib import Path

import pytest
import yaml

from diag.rulebook.load import load_book
from diag.rulebook.model import RuleBook
from diag.rulebook.search import find
from diag.rulebook.vocabulary import in_terms
from diag.rulebook.where import rules_folder

HERE = Path(__file__).parent
NAMES = (
    "everyday_phrases.yaml", "everyday_phrases_apart.yaml", "everyday_phrases_new.yaml", "everyday_phrases_last.yaml",
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
