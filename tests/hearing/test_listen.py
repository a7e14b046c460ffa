"""The listener: polarity, figures with their conditions, hedges, slips of the fingers, what is kept in own words."""

from __future__ import annotations

import pytest

from diag.hearing.listen import Listener
from diag.hearing.understood import Heard, Setting
from diag.hearing.words import words_of
from diag.rulebook.model import RuleBook


@pytest.fixture(scope="module")
def listener(book: RuleBook) -> Listener:
    """One listener for all; it keeps nothing between sentences but words it mended."""
    return Listener(book)


def about(listener: Listener, text: str, name: str) -> Heard:
    """The piece whose best meaning is this sign, reading or field."""
    return next(piece for piece in listener.hear(text).heard if piece.best.id == name)


def test_several_complaints_in_one_line_are_all_heard(listener: Listener) -> None:
    """No start, a silent pump and a sound fuse, from one line, ready to take."""
    hearing = listener.hear("Cranks but won't start, no noise from the pump, and there is a puddle under the car")
    answers = {piece.best.id: piece.best.answer for piece in hearing.ticked}
    assert answers["no-start"] == "present"
    assert answers["pump-sound"] == "silent"
    assert answers["fuel-under-car"] == "present"


@pytest.mark.parametrize(
    ("text", "point", "value"),
    [
        ("29 psi at idle with the hose on", "idle-hose-on", "29 psi"),
        ("29 psi at idle with the vacuum hose pulled off", "idle-hose-off", "29 psi"),
        ("3 bar with the key on and the engine off", "pump-on-engine-off", "3 bar"),
        ("it sags to 31 psi at full throttle", "full-load", "31 psi"),
        ("five minutes after switching off it still shows 22 psi", "five-minutes-free", "22 psi"),
        ("fourty psi on a steady cruise", "cruise", ""),
        ("about 40 psi at idle, hose on", "idle-hose-on", "about 40 psi"),
        ("over 100 psi with the pump running", "pump-on-engine-off", "over 100 psi"),
    ],
)
def test_a_figure_keeps_the_condition_it_was_told_with(listener: Listener, text: str, point: str, value: str) -> None:
    """The state of the car comes from the words around the figure; a number nobody wrote is not made up."""
    read = [piece.best for piece in listener.hear(text).heard if piece.best.kind == "reading"]
    assert [(item.point, item.answer) for item in read] == ([(point, value)] if value else [])


def test_one_figure_for_both_states_of_the_hose_gives_two_readings(listener: Listener) -> None:
    """ "60 psi hose on or off" is two readings."""
    ticked = [piece.best for piece in listener.hear("60 psi at idle, hose on or off").ticked]
    assert {item.point: item.answer for item in ticked} == {"idle-hose-on": "60 psi", "idle-hose-off": "60 psi"}


def test_a_figure_without_a_condition_is_asked_back(listener: Listener) -> None:
    """A pressure whose state nobody told is not ticked; the states are offered."""
    piece = about(listener, "the gauge reads 31 psi", "rail pressure")
    assert piece.ask
    assert not piece.ticked
    assert {item.point for item in piece.items} >= {"pump-on-engine-off", "idle-hose-on"}


def test_vacuum_is_no_fuel_pressure(listener: Listener) -> None:
    """Inches on a vacuum gauge are manifold vacuum."""
    item = about(listener, "17.5 in on the vacuum gauge", "manifold vacuum").best
    assert (item.point, item.answer) == ("idle-hose-on", "17.5 inHg")


@pytest.mark.parametrize("text", ["no smell of fuel", "I can't smell any petrol", "there is no fuel smell at all"])
def test_what_is_said_not_to_be_there_is_absent(listener: Listener, text: str) -> None:
    """A denied complaint is offered as a no, never as a yes."""
    assert about(listener, text, "fuel-smell").best.answer == "absent"


def test_dry_denies_and_wet_says(listener: Listener) -> None:
    """Dry is the other answer to wet."""
    assert about(listener, "the fuel filter is wet", "fuel-at-filter").best.answer == "present"
    assert about(listener, "the fuel filter is dry", "fuel-at-filter").best.answer == "absent"


def test_a_denial_ends_where_the_next_piece_begins(listener: Listener) -> None:
    """ "No smoke but it stinks of petrol": one no, one yes."""
    heard = {p.best.id: p.best.answer for p in listener.hear("No black smoke but it stinks of petrol").heard}
    assert heard["black-smoke"] == "absent"
    assert heard["fuel-smell"] == "present"


def test_hedges_weaken_and_other_peoples_eyes_are_marked(listener: Listener) -> None:
    """ "I think" is unsure, "my wife says" second hand; neither changes what was meant."""
    assert about(listener, "I think it misfires under load", "misfires").sure == "unsure"
    assert about(listener, "my wife says it smells of petrol", "fuel-smell").source == "second hand"


def test_small_slips_of_the_fingers_are_mended(listener: Listener) -> None:
    """One letter wrong, missing or swapped still finds the word."""
    assert about(listener, "stniks of petorl", "fuel-smell").best.answer == "present"
    assert about(listener, "blakc smoke", "black-smoke").best.answer == "present"


def test_a_car_with_a_name_stays_a_car_with_a_name(listener: Listener) -> None:
    """A name near an everyday word is not mended into one."""
    assert listener.lexicon.speller.mend("the otter and the bramble") == "the otter and the bramble"


def test_what_cannot_be_placed_is_kept_as_it_was_said(listener: Listener) -> None:
    """Words that mean nothing in the book come back for the note."""
    hearing = listener.hear("It won't start. The parrot repeats the registration number.")
    assert any("parrot" in words for words in hearing.unplaced)


def test_nothing_is_heard_in_nothing(listener: Listener) -> None:
    """Empty text, punctuation and nonsense give no item."""
    for text in ("", "   ", "?!", "xyzzy qwrt"):
        assert listener.hear(text).heard == ()


def test_the_same_words_are_always_heard_alike(book: RuleBook) -> None:
    """Two listeners agree to the last figure."""
    text = "Hard to start hot, black plugs, 48 psi at idle, it drinks fuel and stalls at lights"
    assert Listener(book).hear(text) == Listener(book).hear(text)


def test_the_unit_of_the_case_is_taken_for_a_bare_pressure(listener: Listener) -> None:
    """In a case kept in bar a bare figure is bar."""
    hearing = listener.hear("3 at idle with the hose on", Setting(unit_pressure="bar"))
    assert hearing.heard[0].best.answer == "3 bar"


def test_hostile_text_does_no_harm(listener: Listener) -> None:
    """Control bytes, very long words and markup pass through without a fault."""
    for text in ("\x1b[31mwon't start\x07", "a" * 60_000, "[bold]no start[/bold] " * 200, "9" * 500 + " psi at idle"):
        listener.hear(text)


@pytest.mark.parametrize(
    "text",
    [
        "I usually hear a little buzz from the back when I turn the key and today there is nothing",
        "You can normally hear the pump at key on, now it is silent",
    ],
)
def test_what_is_missed_is_heard_as_missing(listener: Listener, text: str) -> None:
    """What somebody is used to is no observation; that it is not there any more is one."""
    assert about(listener, text, "pump-sound").best.answer == "silent"


@pytest.mark.parametrize(
    ("text", "sign"), [("It has lost its puff", "flat"), ("That's lost all its go on every hill", "flat")]
)
def test_a_possessive_is_not_opened_out(listener: Listener, text: str, sign: str) -> None:
    """ "Its" loses no fold by the apostrophe that nobody types in "it's"."""
    assert sign in {word.stem for word in words_of(text, listener.lexicon.speller)}
