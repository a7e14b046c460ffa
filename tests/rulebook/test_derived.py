"""What is worked out from a book is kept with that very book, and with no other."""

from __future__ import annotations

from dataclasses import replace

from diag.rulebook.cached import from_plain, to_plain
from diag.rulebook.derived import derived
from diag.rulebook.load import load_book
from diag.rulebook.model import RuleBook
from diag.rulebook.where import rules_folder
from diag.safety.leaks import leak_remedies


def count_causes(book: RuleBook) -> list[int]:
    """A result that is a new object every time it is made."""
    return [len(book.causes)]


def test_it_is_made_once_and_never_shared_with_a_changed_copy() -> None:
    """The same object again; a copy without causes makes its own; what is stale is made anew."""
    book = load_book(rules_folder())
    first = derived(book, count_causes)
    assert derived(book, count_causes) is first
    empty = replace(book, causes={})
    assert derived(empty, count_causes) == [0]
    assert derived(book, count_causes) is first
    assert derived(book, count_causes, lambda kept: kept == first) is not first


def test_it_is_no_part_of_the_book() -> None:
    """Equal books stay equal, and the quick copy of a book carries nothing of it."""
    book = load_book(rules_folder())
    leak_remedies(book)
    other = load_book(rules_folder())
    assert other == book
    assert book.kept
    assert from_plain(to_plain(book)).kept == {}
