"""What was seen and what was only made of it: a claim is offered, never ticked by itself. Own wording throughout."""

from __future__ import annotations

import pytest

from diag.hearing.circumstances import circumstances
from diag.hearing.claims import claimed, is_claim
from diag.hearing.listen import Listener
from diag.rulebook.model import RuleBook


@pytest.fixture(scope="module")
def listener(book: RuleBook) -> Listener:
    """One listener for all."""
    return Listener(book)


def ticked(listener: Listener, text: str) -> dict[str, str]:
    """What is taken unless the person says otherwise: id -> answer."""
    return {piece.best.id: piece.best.answer for piece in listener.hear(text).ticked}


SEEN = "there is black smoke"
CLAIMS = (
    "I think {}", "I reckon {}", "we suppose {}", "my guess is {}", "which made me think {}", "probably {}",
    "the neighbour says {}", "somebody told me {}", "the last garage reckoned {}", "I was told {}",
    "I wondered if {}", "it looks like {}", "supposedly {}",
)  # fmt: skip


def test_the_same_words_plainly_told_are_ticked(listener: Listener) -> None:
    """Without this the next test would prove nothing."""
    assert ticked(listener, SEEN)["black-smoke"] == "present"


@pytest.mark.parametrize("frame", CLAIMS)
def test_a_claim_is_offered_and_not_ticked(listener: Listener, frame: str) -> None:
    """Supposed, believed, concluded or told by others: there to be taken, not taken."""
    hearing = listener.hear(frame.format(SEEN))
    assert "black-smoke" in {item.id for piece in hearing.heard for item in piece.items}
    assert hearing.ticked == ()


@pytest.mark.parametrize(
    "text",
    [
        "Could the pump be silent?", "Should I look for a blown fuse?", "Is it running rich?",
        "Do I have to fit a bigger pump?", "Can we drive it while it leaks fuel under the car?",
    ],
)  # fmt: skip
def test_a_question_is_no_observation(listener: Listener, text: str) -> None:
    """Whoever asks whether something is so has not seen it."""
    assert listener.hear(text).ticked == ()


def test_asking_why_takes_for_granted_what_it_asks(listener: Listener) -> None:
    """ "Why does it ...?" tells a complaint."""
    assert ticked(listener, "Why does it misfire under load?")["misfires"] == "present"


@pytest.mark.parametrize(
    ("text", "seen", "claim"),
    [
        ("It runs rich, so the reference hose must be split", "runs-rich", "hose-state"),
        ("The pump is silent, which means the fuse has blown", "pump-sound", "pump-fuse-blown"),
        ("It stinks of petrol and I think the pump is whining", "fuel-smell", "pump-sound"),
        ("The pump whines but my brother says it runs rich", "pump-sound", "runs-rich"),
        ("I suspect the pump is whining but it does stink of petrol", "fuel-smell", "pump-sound"),
    ],
)
def test_what_was_seen_beside_a_claim_stays_ticked(listener: Listener, text: str, seen: str, claim: str) -> None:
    """A conclusion takes nothing from the observation it was drawn from, and gets nothing from it."""
    found = ticked(listener, text)
    assert seen in found
    assert claim not in found


@pytest.mark.parametrize(
    ("text", "sign"),
    [
        ("I think there is a puddle of petrol under the car", "fuel-under-car"),
        ("my husband says it smells of petrol", "fuel-smell"),
    ],
)
def test_fuel_that_may_be_out_is_taken_on_anybodys_word(listener: Listener, text: str, sign: str) -> None:
    """The one exception: the safety rules hear of a smell or a puddle even where nobody is sure of it."""
    assert ticked(listener, text)[sign] == "present"
    assert ticked(listener, "somebody said the rail is leaking") == {}


def test_a_plan_is_no_observation(listener: Listener) -> None:
    """What somebody means to do was not done."""
    assert ticked(listener, "I was going to turn the pressure down") == {}
    assert ticked(listener, "We want to fit a bigger pump") == {}


def test_an_afterthought_reaches_back(listener: Listener) -> None:
    """ "..., I guess" is said of what stands before it."""
    assert ticked(listener, "The pump is silent, I guess") == {}


def test_a_supposed_figure_is_offered_only(listener: Listener) -> None:
    """A reading or a size that somebody believes is not written down by itself."""
    assert ticked(listener, "I believe it showed 38 psi at idle with the hose on") == {}
    assert "rail pressure" in ticked(listener, "it showed 38 psi at idle with the hose on")
    assert ticked(listener, "the seller says it has a 255 L/h pump") == {}


def test_a_gauge_says_what_it_shows(listener: Listener) -> None:
    """Speech of an instrument is a reading, not hearsay."""
    assert ticked(listener, "my gauge says 38 psi at idle with the hose on") == {"rail pressure": "38 psi"}


def test_an_engine_that_does_not_want_to_is_no_plan() -> None:
    """Only people mean to do something."""
    assert not is_claim("It does not want to start")
    assert is_claim("They want to fit a bigger pump")


def test_the_target_comes_from_papers_and_people(listener: Listener) -> None:
    """What a pressure should be is a fact of the car, however it is worded."""
    for text in ("The manual says 3 bar", "base is 3 bar", "It should be 3 bar", "the regulator is set to 3 bar"):
        assert ticked(listener, text) == {"target-pressure": "3 bar"}, text
    assert "rail pressure" in ticked(listener, "base pressure reads 3 bar with the pump jumped")


def test_sizes_in_one_line_are_all_of_the_car(listener: Listener) -> None:
    """A base pressure among sizes is the target; a count stands before the injectors' flow."""
    line = "190 L/h pump, base 3 bar, return 8 mm, injectors 6 x 440cc"
    wanted = {
        "pump-flow": "190 L/h", "target-pressure": "3 bar", "return-bore": "8 mm",
        "injector-count": "6", "injector-flow": "440 cc/min",
    }  # fmt: skip
    assert ticked(listener, line) == wanted
    assert dict(circumstances(line).papers) == wanted


def test_a_load_holds_for_what_follows_it_in_the_sentence(listener: Listener) -> None:
    """What happens "in boost" and is joined by "and" happens in boost too."""
    assert "lean-in-boost" in ticked(listener, "In boost the plugs look pale and it goes lean")
    assert "lean-in-boost" not in ticked(listener, "It pulls in boost, but at idle it goes lean")


@pytest.mark.parametrize("text", ["pump", "the return", "injectors", "speed", "the gauge", "a regulator"])
def test_the_name_of_a_part_alone_means_nothing(listener: Listener, text: str) -> None:
    """Nothing is guessed from a bare name; it is kept as it was said."""
    hearing = listener.hear(text)
    assert hearing.heard == ()
    assert hearing.unplaced == (text,)


def test_where_something_happens_is_no_sign_by_itself(listener: Listener) -> None:
    """ "... and in traffic" says when, not that the day is hot."""
    assert "hot-weather" not in ticked(listener, "It stinks of petrol in town and in traffic")


def test_what_a_person_drops_is_no_falling_pressure(listener: Listener) -> None:
    """ "I dropped it in a bucket" is done to a hose; nothing fell on the gauge."""
    assert ticked(listener, "Then I dropped it in a bucket") == {}


def test_a_correction_of_the_mixture_is_no_pressure(listener: Listener) -> None:
    """ "Minus 9 on the trims" is not 9 psi; "there is nothing" is not 0 psi."""
    for text in ("It sits at minus 9 on the trims", "Last week it purred and now there is nothing"):
        assert [p for p in listener.hear(text).heard if p.best.kind == "reading"] == []


def test_parts_of_a_sentence_that_nobody_saw_are_marked() -> None:
    """A claim holds for what is joined to it and ends at "but"."""
    text = "it leaks, I think the pump is weak and the filter is old, but it smells"
    assert [text[a:b] for a, b in claimed(text)] == ["I think the pump is weak", "and the filter is old"]


@pytest.mark.parametrize(
    "frame",
    [
        "customer says {}", "the owner told me {}", "the driver says that {}", "my wife noticed {}",
        "The customer complained that {}",
    ],
)  # fmt: skip
def test_what_the_driver_met_is_taken_second_hand(listener: Listener, frame: str) -> None:
    """They were there; the answer is believed as one that was passed on."""
    (piece,) = listener.hear(frame.format(SEEN)).ticked
    assert (piece.best.id, piece.source) == ("black-smoke", "second hand")


@pytest.mark.parametrize(
    "text",
    [
        "the customer thinks the pump is silent", "the owner says the garage reckons it runs rich",
        "the owner says the reference hose is split", "customer says probably the pump is weak",
    ],
)  # fmt: skip
def test_what_the_driver_makes_of_it_is_offered_only(listener: Listener, text: str) -> None:
    """A belief, a word of a third, and what is found by looking at parts and not met on the road."""
    assert [piece.best.id for piece in listener.hear(text).ticked] == []
