"""Facts that follow from the car's own fields."""

from __future__ import annotations

import pytest

from diag.rulebook.carfacts import car_fact, contexts_of, holds
from diag.rulebook.load import load_book
from diag.rulebook.where import rules_folder
from diag.support.errors import UserError


def test_words_and_limits() -> None:
    """A word list is true for its words, a limit on its own side, and an unknown field says nothing."""
    assert holds("fuel: E85, methanol", {"fuel": "E85"}) is True
    assert holds("fuel: E85, methanol", {"fuel": "petrol"}) is False
    assert holds("fuel: E85, methanol", {}) is None
    assert holds("altitude: over 1500 m", {"altitude": 1600.0}) is True
    assert holds("altitude: over 1500 m", {"altitude": 1400.0}) is False
    assert holds("boost: under 1 psi", {"boost": 0.0}) is True
    assert holds("", {"fuel": "E85"}) is None


@pytest.mark.parametrize(
    "text", ["feul: E85", "fuel: paraffin", "fuel: over 3", "altitude: high", "altitude: over 3 psi"]
)
def test_nonsense_is_refused(text: str) -> None:
    """Unknown fields, words and units are refused with one clear line."""
    with pytest.raises(UserError):
        car_fact(text)


def test_shipped_contexts_can_be_evaluated() -> None:
    """Every context of the shipped book that follows from the car can be worked out."""
    for context in load_book(rules_folder()).contexts.values():
        if context.when_car:
            assert holds(context.when_car, {}) is None


def test_contexts_of_a_car() -> None:
    """Words and limits alike; what depends on a field that is not known is left out."""
    contexts = load_book(rules_folder()).contexts.values()
    assert contexts_of(contexts, {}) == {}
    assert contexts_of(contexts, {"altitude": 1600.0, "fuel": "petrol"}) == {
        "high-altitude": True,
        "petrol-fuel": True,
        "alcohol-fuel": False,
    }
