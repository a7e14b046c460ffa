"""An answer in a person's own words to a question with choices."""

from __future__ import annotations

import pytest

from diag.rulebook.load import load_book
from diag.rulebook.model import RuleBook
from diag.rulebook.where import rules_folder
from diag.session.answers import sign_answer
from diag.session.choice_words import choice_in_words


@pytest.fixture(scope="module")
def book() -> RuleBook:
    """The shipped book."""
    return load_book(rules_folder())


FRAMES = ("{}", "it is {}", "well, {}", "maybe {}", "I would say {}", "{}, as far as I can tell")


@pytest.mark.parametrize("frame", FRAMES)
def test_the_words_of_a_choice_mean_that_choice(book: RuleBook, frame: str) -> None:
    """Of every question with choices, each choice's own words and phrases find it, and never another one."""
    tried = found = 0
    wrong = []
    for sign in book.signs.values():
        for choice in sign.choices:
            for words in (choice.words, *choice.phrases):
                text = frame.format(words)
                meant = sign_answer(sign, text) or choice_in_words(sign, text)
                tried += 1
                found += meant == choice.id
                if meant not in (choice.id, None, "not known"):
                    wrong.append((sign.id, text, meant))
    assert tried > 150
    assert wrong == []
    assert found >= 0.9 * tried


@pytest.mark.parametrize(
    ("sign", "text", "choice"),
    [
        ("pump-sound", "gurgles, as if it pumped air", "whining"),
        ("pump-sound", "the usual hum I would say", "normal"),
        ("mixture-error", "lean only at the top", "only-top-lean"),
        ("needle", "it trembles the whole time", "trembling"),
        ("how-it-began", "slowly over the weeks", "slowly"),
    ],
)
def test_part_of_a_choices_words_is_enough(book: RuleBook, sign: str, text: str, choice: str) -> None:
    """A few of them among other words, in any order."""
    assert choice_in_words(book.signs[sign], text) == choice


@pytest.mark.parametrize("text", ["", "yes", "u", "the parrot", "pump", "what do you mean by that"])
def test_words_of_no_choice_mean_none(book: RuleBook, text: str) -> None:
    """Nothing is guessed from words that no choice, or every choice, holds."""
    assert choice_in_words(book.signs["pump-sound"], text) is None
    assert choice_in_words(book.signs["black-smoke"], text) is None
