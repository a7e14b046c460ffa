"""What is well and what came of a deed, told plainly; every healthy row against its own denial."""

from __future__ import annotations

import pytest

from diag.hearing.fractions import in_parts
from diag.hearing.listen import Listener
from diag.hearing.sayings import heard_in
from diag.hearing.sayings_table import DEEDS, HEALTHY, SAID
from diag.rulebook.model import RuleBook
from tests.hearing.scoring import known


@pytest.fixture(scope="module")
def listener(book: RuleBook) -> Listener:
    """One listener for all."""
    return Listener(book)


def first(listener: Listener, text: str) -> list[tuple[str, str, bool]]:
    """The best meaning of every piece, and whether it is ticked."""
    return [(piece.best.id, piece.best.answer, piece.ticked) for piece in listener.hear(text).heard]


def test_every_row_names_an_entry_of_the_book(book: RuleBook) -> None:
    """A row whose entry is gone would silently mean nothing."""
    targets = [target for *_, target in (*HEALTHY, *SAID)] + [target for _, target, _ in DEEDS]
    assert [target for target in targets if not known(target, book)] == []


@pytest.mark.parametrize(
    ("well", "sign", "ill"),
    [
        ("it has a strong blue spark", "no-spark", "it has no strong blue spark"),
        ("the plugs are a healthy brown", "black-plugs", "the plugs are not a healthy brown"),
        ("compression is even all round", "compression-uneven", "compression isn't even"),
        ("trims are about zero", "trims-positive", "trims are never about zero"),
        ("the other gauge agrees", "gauges-differ", "the other gauge never agrees"),
        ("the strainer was spotless", "strainer-dirty", "the strainer was hardly spotless"),
    ],
)
def test_well_is_the_healthy_answer_and_its_denial_is_not(listener: Listener, well: str, sign: str, ill: str) -> None:
    """The words that call a thing well deny its fault; denied themselves they must not."""
    assert (sign, "absent", True) in first(listener, well)
    assert (sign, "absent", True) not in first(listener, ill)


@pytest.mark.parametrize(
    ("deed", "sign", "cured", "nothing"),
    [
        ("swapped the pump relay and", "relay-swap-cures", "away it went", "it's the same"),
        ("ran the pump straight off the battery,", "pump-runs-direct", "it sings", "no difference"),
        ("tapped the tank and", "tap-wakes-pump", "the pump woke up", "still nothing"),
        ("wiggled the connector and", "wiggle-changes-it", "it cut out", "no change"),
    ],
)
def test_what_came_of_a_deed_is_the_answer(listener: Listener, deed: str, sign: str, cured: str, nothing: str) -> None:
    """The deed alone says neither."""
    assert (sign, "present", True) in first(listener, f"{deed} {cured}")
    assert (sign, "absent", True) in first(listener, f"{deed} {nothing}")


def test_a_supposed_saying_is_offered_and_not_ticked(book: RuleBook) -> None:
    """What nobody saw is not taken, however plainly it is worded."""
    heard, _ = heard_in("I think it has a strong spark", book)
    assert [(piece.best.id, piece.ticked) for piece in heard] == [("no-spark", False)]


@pytest.mark.parametrize(
    ("said", "written"),
    [
        ("a litre and a quarter in thirty seconds", "1.25 litre in thirty seconds"),
        ("half a bar of boost", "0.5 bar of boost"),
        ("two bar and a half", "2.5 bar"),
        ("nineteen hundred metres", "1900 metres"),
        ("fifteen hundred and fifty feet", "1550 feet"),
        ("the return is three eighths", "the return is 3/8 in"),
        ("fifteen hundred revs", "fifteen hundred revs"),
        ("three quarters of a tank", "three quarters of a tank"),
    ],
)
def test_parts_of_a_whole_are_written_out(said: str, written: str) -> None:
    """Arithmetic only; engine speeds and tank levels are no figures."""
    assert in_parts(said) == written
