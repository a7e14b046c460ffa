"""No example shows answers that exclude each other. What the words of two questions exclude needs no source."""

from __future__ import annotations

import pytest

from diag.decision.reason import Leader, Move, Reason
from diag.presentation.at_once import NEVER_AT_ONCE, contradicts_itself
from diag.presentation.reasons import sentences
from diag.rulebook.findings import ABSENT, PRESENT
from diag.rulebook.load import load_book
from diag.rulebook.model import RuleBook
from diag.rulebook.where import rules_folder

PAIRS = sorted(tuple(sorted(pair)) for pair in NEVER_AT_ONCE)


@pytest.fixture(scope="module")
def book() -> RuleBook:
    """The rule book that comes with the program."""
    return load_book(rules_folder())


@pytest.mark.parametrize("pair", PAIRS)
def test_every_pair_can_come_out_of_one_check(pair: tuple[tuple[str, str], ...], book: RuleBook) -> None:
    """A pair names answers of the book that one check asks together; a dead one would guard nothing."""
    asked = [{item.sign for item in check.yields if item.sign} for check in book.checks.values()]
    assert any({name for name, _ in pair} <= signs for signs in asked)
    for name, answer in pair:
        assert answer in book.signs[name].possible


@pytest.mark.parametrize("pair", PAIRS)
def test_an_example_that_contradicts_itself_is_not_shown(pair: tuple[tuple[str, str], ...], book: RuleBook) -> None:
    """What would move is said without the answers, where they exclude each other."""
    moved = Reason("answer moves", move=Move(Leader(("pump-worn",), 0.2), 0.9, pair))
    (said,) = sentences(moved, book)
    assert said.startswith("Its answers together could take")
    (alone,) = sentences(Reason("answer moves", move=Move(Leader(("pump-worn",), 0.2), 0.9, pair[:1])), book)
    assert book.signs[pair[0][0]].title in alone


def test_the_relay_in_the_car_is_felt_before_it_is_swapped(book: RuleBook) -> None:
    """ "Stays silent" is asked of the old relay and "cured" of the other: the order of answers is that of the steps."""
    check = book.checks["swap-relay"]
    assert [item.sign for item in check.yields] == ["relay-silent", "relay-swap-cures"]
    at = {word: next(n for n, step in enumerate(check.steps) if word in step) for word in ("click", "Swap", "back")}
    assert at["click"] < at["Swap"] < at["back"]
    assert not contradicts_itself((("relay-silent", PRESENT), ("relay-swap-cures", PRESENT)))


def test_what_does_not_exclude_each_other_is_shown(book: RuleBook) -> None:
    """Only both answers of a pair make it a contradiction."""
    assert not contradicts_itself((("no-start", PRESENT), ("no-crank", ABSENT)))
    assert contradicts_itself((("no-start", PRESENT), ("no-crank", PRESENT)))
