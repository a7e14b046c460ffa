"""Questions answered in the words of the thing asked (common practice of speech, no source)."""

from __future__ import annotations

import pytest

from diag.rulebook.findings import ABSENT, NOT_KNOWN, PRESENT
from diag.rulebook.load import load_book
from diag.rulebook.model import RuleBook
from diag.rulebook.where import rules_folder
from diag.session.answers import sign_answer
from diag.session.own_words import in_own_words, says_both


@pytest.fixture(scope="module")
def book() -> RuleBook:
    """The shipped book."""
    return load_book(rules_folder())


@pytest.mark.parametrize(
    ("sign", "sound", "faulty"),
    [
        ("fuse-blown", ("whole", "looks fine", "it's intact", "not blown"), ("burnt", "shot", "knackered")),
        ("fuel-at-filter", ("bone dry", "dry", "not wet"), ("a bit damp", "weeping", "wet")),
        ("return-kink-seen", ("straight", "clear", "not kinked"), ("squashed flat", "crushed")),
        ("fuel-hose-cracked", ("good", "still sound"), ("perished", "swollen and sticky")),
        ("warm-connector", ("cool", "cold"), ("melted", "it's brown")),
        ("lamp-dark-at-pump", ("lit", "it lights"), ("dark", "unlit")),
        ("warning-light-on", ("out", "it isn't"), ("lit", "it is")),
        ("relay-silent", ("clicks", "not silent"), ("silent", "dead")),
        ("black-plugs", ("tan", "clean"), ("black", "sooty")),
    ],
)  # fmt: skip
def test_the_natural_pair_of_words_answers(
    book: RuleBook, sign: str, sound: tuple[str, ...], faulty: tuple[str, ...]
) -> None:
    """What the thing is called when it is sound says no to the fault, and the other way round."""
    asked = book.signs[sign]
    assert [sign_answer(asked, told) for told in sound] == [ABSENT] * len(sound)
    assert [sign_answer(asked, told) for told in faulty] == [PRESENT] * len(faulty)


def test_echoed_verbs_answer_every_question(book: RuleBook) -> None:
    """ "It does" and "it doesn't" are yes and no."""
    for sign in ("no-start", "relay-swap-cures", "tap-wakes-pump"):
        assert sign_answer(book.signs[sign], "it does") == PRESENT
        assert sign_answer(book.signs[sign], "it doesn't") == ABSENT
        assert sign_answer(book.signs[sign], "not at all") == ABSENT


def test_fine_does_not_answer_what_asks_for_something_good(book: RuleBook) -> None:
    """Of "does it run better with ..." nothing is said by "fine"; words of two minds and others answer nothing."""
    assert sign_answer(book.signs["better-unplugged"], "fine") is None
    assert sign_answer(book.signs["fuel-at-filter"], "wet and dry") is None
    assert sign_answer(book.signs["fuse-blown"], "the horn works") is None
    assert sign_answer(book.signs["fuse-blown"], "couldn't see") == NOT_KNOWN


SOUND_WORDS = (
    "whole",
    "fine",
    "dry",
    "intact",
    "good",
    "ok",
    "tight",
    "clean",
    "normal",
    "as usual",
    "bone dry",
    "all right",
)
SOUND_FORMS = (
    "{}",
    "it is {}",
    "it's {}",
    "looks {}",
    "the fuse is {}",
    "the hose is {}",
    "they're all {}",
    "everything is {}",
)
FAULTY_WORDS = (
    "wet",
    "blown",
    "burnt",
    "cracked",
    "leaking",
    "kinked",
    "silent",
    "dirty",
    "bad",
    "loose",
    "stuck",
    "rough",
)


def test_a_leading_no_is_never_turned_into_yes(book: RuleBook) -> None:
    """Of every sign asked with yes or no: "no" and a word of soundness is no, however it is put."""
    for sign in book.signs.values():
        if sign.choices:
            continue
        for word in SOUND_WORDS:
            for form in SOUND_FORMS:
                for lead in ("no, ", "no. ", "nope, ", "no - ", "n, "):
                    told = lead + form.format(word)
                    assert sign_answer(sign, told) in (ABSENT, None), (sign.id, told)
            for told in (f"no it's {word}", f"no the fuse is {word}", f"no, no, no it's {word}", f"no, not {word}"):
                assert sign_answer(sign, told) != PRESENT, (sign.id, told)
        for told in (
            "no",
            "no, not at all",
            "no it isn't",
            "no, nothing wrong",
            "nope, it's as it should be",
            "no, definitely not",
        ):
            assert sign_answer(sign, told) == ABSENT, (sign.id, told)


def test_a_leading_yes_is_never_turned_into_no(book: RuleBook) -> None:
    """Of every sign asked with yes or no: "yes" and a word for the fault, or more of it, is yes or asked again."""
    for sign in book.signs.values():
        if sign.choices:
            continue
        for word in (*FAULTY_WORDS, *SOUND_WORDS):
            for form in SOUND_FORMS:
                assert sign_answer(sign, "yes, " + form.format(word)) in (PRESENT, None), (sign.id, word, form)
            assert sign_answer(sign, f"yes it's {word}") in (PRESENT, None), (sign.id, word)
        for told in ("yes", "yes, it does", "yep, a bit", "yes, very much so", "y, quite badly", "yes, of course"):
            assert sign_answer(sign, told) == PRESENT, (sign.id, told)


def test_what_is_only_called_sound_is_never_a_fault(book: RuleBook) -> None:
    """ "It's fine" and its like alone never say yes to a question for a fault, nor the fault's own word no."""
    for sign in book.signs.values():
        if sign.choices:
            continue
        for word in ("whole", "fine", "intact", "good", "ok", "normal", "all right"):
            assert sign_answer(sign, f"it's {word}") != PRESENT, (sign.id, word)
            assert sign_answer(sign, f"it is {word}") != PRESENT, (sign.id, word)


@pytest.mark.parametrize(
    "told",
    ["no, fuse is whole", "no, it is whole", "no, it's fine", "no it's fine", "no, it's ok", "no, looks good",
     "no, the fuse is good", "no, intact", "whole", "it's fine"],
)  # fmt: skip
def test_a_whole_fuse_is_not_blown(book: RuleBook, told: str) -> None:
    """The ways in which people say that a fuse is whole."""
    assert sign_answer(book.signs["fuse-blown"], told) == ABSENT


@pytest.mark.parametrize("told", ["no, it's dry", "no, bone dry", "no it is dry", "dry", "no. dry as a bone"])
def test_a_dry_reference_hose_has_no_fuel_in_it(book: RuleBook, told: str) -> None:
    """A dry hose raises no stop."""
    assert sign_answer(book.signs["fuel-in-reference-hose"], told) == ABSENT


@pytest.mark.parametrize(
    ("sign", "told"),
    [("fuse-blown", "no, it's blown"), ("fuse-blown", "yes, it's whole"), ("fuel-at-filter", "no, a wet patch below"),
     ("fuel-at-filter", "yes and no"), ("fuel-at-filter", "no it is"), ("fuel-at-filter", "no, not dry"),
     ("relay-silent", "no, nothing"), ("fuel-at-filter", "yes, it isn't")],
)  # fmt: skip
def test_an_answer_of_two_minds_is_asked_again(book: RuleBook, sign: str, told: str) -> None:
    """What contradicts its own yes or no is no answer, and can be said to be none."""
    assert sign_answer(book.signs[sign], told) is None
    assert says_both(book.signs[sign].ask, told)


def test_silence_is_what_was_asked_about(book: RuleBook) -> None:
    """ "Nothing" and "no click" say yes to a relay that stays silent; a bare "none" is asked again."""
    ask = book.signs["relay-silent"].ask
    assert in_own_words(ask, "nothing at all") is True
    assert in_own_words(ask, "no click") is True
    assert in_own_words(ask, "yes, nothing") is True
    assert in_own_words(book.signs["return-line-missing"].ask, "none") is None


def test_a_no_without_sight_is_not_known(book: RuleBook) -> None:
    """ "No, can't see it" is no look at all."""
    assert sign_answer(book.signs["fuel-at-filter"], "no, can't see it") == NOT_KNOWN
