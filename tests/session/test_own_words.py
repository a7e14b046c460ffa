"""Questions answered in the words of the thing asked (common practice of speech, no source)."""

from __future__ import annotations

import pytest

from diag.rulebook.findings import ABSENT, NOT_KNOWN, PRESENT
from diag.rulebook.load import load_book
from diag.rulebook.model import RuleBook
from diag.rulebook.where import rules_folder
from diag.session.answers import sign_answer


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
