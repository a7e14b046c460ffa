"""Checks and remedies are found by what they yield and cure, in everyday words (common practice, no source)."""

from __future__ import annotations

import pytest

from diag.hearing.search_steps import find_steps
from diag.rulebook.load import load_book
from diag.rulebook.model import RuleBook
from diag.rulebook.where import rules_folder


@pytest.fixture(scope="module")
def book() -> RuleBook:
    """The shipped book."""
    return load_book(rules_folder())


@pytest.mark.parametrize(
    ("said", "yields"),
    [
        ("is the pump fuse any good", "fuse-blown"),
        ("does the relay click", "relay-silent"),
        ("petrol in the vacuum pipe", "fuel-in-reference-hose"),
        ("squashed return pipe", "return-kink-seen"),
        ("does another relay cure it", "relay-swap-cures"),
    ],
)
def test_a_check_is_found_by_what_it_yields(book: RuleBook, said: str, yields: str) -> None:
    """One of the first five steps answers what was said."""
    first = [step.id for step in find_steps(book, said)[:5]]
    assert any(one.sign == yields for name in first if name in book.checks for one in book.checks[name].yields), first


def test_a_remedy_is_found_by_what_it_cures(book: RuleBook) -> None:
    """The words for a fault lead to what mends it."""
    cause = book.causes["return-kinked-or-blocked"]
    found = {step.id for step in find_steps(book, "return line kinked or blocked")}
    assert found & set(cause.remedies)


def test_words_that_mean_nothing_find_no_step(book: RuleBook) -> None:
    """Nothing is made up."""
    assert find_steps(book, "xyzzy qwertyuiop") == []
