"""What a typed line means."""

from __future__ import annotations

import pytest

from diag.session.answers import Said, figure_and_words, picked, said, sign_answer, yes_or_no
from diag.session.series import reader_of
from diag.ui.plain.commands import COMMANDS, command_of
from tests.ui.plain.person import the_book


@pytest.mark.parametrize(
    ("line", "meant"),
    [
        ("yes", Said("yes")),
        ("yes, unsure", Said("yes", "unsure")),
        ("Maybe no", Said("no", "unsure")),
        ("not sure", Said("", "unsure")),
        ("43 psi (not sure)", Said("43 psi", "unsure")),
        ("second hand: yes", Said("yes", "sure", "second hand")),
        ("i think yes, second hand", Said("yes", "unsure", "second hand")),
        ("unsurely", Said("unsurely")),
    ],
)
def test_words_that_weaken_an_answer_are_taken_off(line: str, meant: Said) -> None:
    """Unsure and second hand are marks, wherever they stand."""
    assert said(line) == meant


@pytest.mark.parametrize(
    ("line", "answer"),
    [
        ("yes", "present"),
        ("Y", "present"),
        ("1", None),  # nothing is numbered where yes or no is asked
        ("NO.", "absent"),
        ("u", "not known"),
        ("perhaps so", None),
    ],
)
def test_plain_answers_are_forgiving(line: str, answer: str | None) -> None:
    """Yes in any usual form, and nothing else by accident."""
    assert sign_answer(the_book().signs["fuel-at-cap"], line) == answer


def test_choices_are_taken_by_number_word_and_clear_beginning() -> None:
    """A choice can be named in four ways; what fits two of them is not guessed."""
    needle = the_book().signs["needle"]
    first = needle.choices[0]
    for text in ("1", first.id, first.words, first.words[:6]):
        assert sign_answer(needle, text) == first.id
    assert sign_answer(needle, str(len(needle.choices) + 1)) == "not known"
    assert sign_answer(needle, str(len(needle.choices) + 2)) is None
    assert sign_answer(needle, "s") is None or len([c for c in needle.choices if c.words.startswith("s")]) == 1


def test_options_are_picked_by_number_or_word() -> None:
    """Out of range and two-fold beginnings pick nothing."""
    options = ["psi", "pascal", "bar"]
    assert picked("2", options) == 1
    assert picked("b", options) == 2
    assert picked("p", options) is None
    assert picked("9", options) is None
    assert picked("", options) is None


def test_yes_or_no_is_neither_for_other_words() -> None:
    """Nothing but yes and no counts."""
    assert (yes_or_no("Yes"), yes_or_no("n"), yes_or_no("possibly")) == (True, False, None)


def test_no_answer_of_the_book_is_a_command() -> None:
    """A word that answers a question must never be taken for a command."""
    for sign in the_book().signs.values():
        for choice in sign.choices:
            assert command_of(choice.id) is None, (sign.id, choice.id)
            assert sign_answer(sign, choice.words) == choice.id, (sign.id, choice.words)


def test_every_command_leads_to_a_function_and_is_found_in_any_case() -> None:
    """The table names functions that exist."""
    for word, command in COMMANDS.items():
        assert callable(command.act)
        found = command_of(f"{word.upper()} and more")
        assert found is not None
        assert found == (command, "and more")
    assert command_of("/won't drop") == (COMMANDS["tell"], "won't drop")
    assert command_of("nothing of the kind") is None


def test_what_lies_between_yes_and_no_is_taken_where_the_question_takes_it() -> None:
    """Only the words that this question takes; elsewhere they are no answer."""
    sign = the_book().signs["hesitates"]
    assert sign_answer(sign, "Only hot.", ("partly", "only hot")) == "only hot"
    assert sign_answer(sign, "only hot") is None
    assert sign_answer(the_book().signs["fuel-at-cap"], "partly") is None


@pytest.mark.parametrize(
    ("told", "figure"),
    [("38 psi, no change", "38 psi"), ("46 falling to 44", "44"), ("46 psi falling to 44", "44 psi"),
     ("5 after 3 minutes", "5"), ("38 steady", "38"), ("46, then drops to 44", "44"), ("43.5", "43.5"),
     ("38 to 44", "38 to 44")],
)  # fmt: skip
def test_a_figure_told_with_words_is_taken_without_them(told: str, figure: str) -> None:
    """Of a figure that moves the last counts; the words are kept."""
    reads = reader_of(the_book().readings["rail pressure"], "psi")
    found, words = figure_and_words(told, reads)
    assert found == figure
    assert words == ("" if found == told else told)


@pytest.mark.parametrize("told", ["45 with the hose off", "45, but hose off", "40, idling", "45, 52", "no change"])
def test_words_of_another_condition_leave_a_figure_alone(told: str) -> None:
    """A figure that may have been read otherwise than asked for is not taken for the one that was asked for."""
    assert figure_and_words(told, reader_of(the_book().readings["rail pressure"], "psi")) == (told, "")
