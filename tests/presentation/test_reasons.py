"""The reasons of a proposal: every kind has its words, and figures come out as people say them."""

from __future__ import annotations

import pytest

from diag.decision.reason import REASON_KINDS, Leader, Move, Reason, ReasonKind
from diag.presentation.figures import percent
from diag.presentation.reasons import SAID, sentences
from diag.safety.situation import Verdict
from tests.decision.steps import small_book

BOOK = small_book()
STOP = next(iter(BOOK.stops))


def full(kind: ReasonKind) -> Reason:
    """A reason with every field filled."""
    pump = Leader(("pump-worn",), 0.62)
    return Reason(
        kind,
        step="listen",
        remedy="renew-pump",
        rule=STOP,
        stage="dry look",
        setups=("gauge-fitted",),
        tools=("multimeter",),
        signs=("starves",),
        leaders=(pump,),
        move=Move(pump, 0.91, (("whine", "present"),)),
        minutes=7.0,
        minutes_before=12.0,
        chance=0.62,
        verdict=Verdict(False, "The engine runs.", "it stands"),
    )


@pytest.mark.parametrize("kind", REASON_KINDS)
def test_every_kind_has_whole_sentences(kind: ReasonKind) -> None:
    """No kind without words, no empty line, no name in braces left over."""
    words = sentences(full(kind), BOOK)
    assert words
    assert all(line.strip() and "{" not in line for line in words)


def test_no_words_for_kinds_that_do_not_exist() -> None:
    """The table and the kinds are one list."""
    assert set(SAID) == set(REASON_KINDS)


def test_a_reason_says_its_figures() -> None:
    """Chance before and after, minutes of the step and before it."""
    assert "from 62 % to 91 %" in sentences(full("answer moves"), BOOK)[0]
    assert sentences(full("cost"), BOOK)[0].startswith("It takes about 7 minutes, and 12 minutes before it:")


def test_two_causes_of_one_remedy_are_named_together() -> None:
    """Neither stands out, so both are said."""
    both = Reason("leaders", leaders=(Leader(("pump-worn", "cap-loose"), 0.5),))
    assert " or " in sentences(both, BOOK)[0]


@pytest.mark.parametrize(("share", "said"), [(0.001, "under 1 %"), (0.999, "over 99 %"), (0.5, "50 %")])
def test_a_chance_never_claims_certainty(share: float, said: str) -> None:
    """Neither 0 nor 100 %."""
    assert percent(share) == said
