"""What a person did, what a person has, and what must never be missed or made up. Own wording throughout."""

from __future__ import annotations

import pytest

from diag.hearing.alarms import OWN_WORDS
from diag.hearing.deeds import at_hand, deeds
from diag.hearing.listen import Listener
from diag.rulebook.model import RuleBook


@pytest.fixture(scope="module")
def listener(book: RuleBook) -> Listener:
    """One listener for all."""
    return Listener(book)


VERBS = ("pinched", "clamped", "squeezed", "unplugged", "disconnected", "pulled off", "swapped", "removed", "opened",
         "blocked off", "kinked", "loosened", "tapped")  # fmt: skip
THINGS = ("return hose", "feed line", "vacuum hose", "pump plug", "relay", "fuse", "filler cap", "injector plug",
          "air meter", "inertia switch")  # fmt: skip
WHO = ("I {} the {}", "{} the {}", "then we {} the {}", "I've just {} the {}", "my mate {} the {}", "and I {} my {}")


@pytest.mark.parametrize("frame", WHO)
def test_a_deed_alone_is_no_sign(listener: Listener, frame: str) -> None:
    """Of every part of a car and everything that is done to it on trial: no sign is even offered."""
    wrong = []
    for verb in VERBS:
        for thing in THINGS:
            text = frame.format(verb, thing)
            heard = [p.best for p in listener.hear(text).heard if p.best.kind == "sign"]
            if heard:
                wrong.append((text, heard[0].title))
    assert wrong == []


@pytest.mark.parametrize("verb", ["pinched", "clamped", "squeezed"])
def test_how_a_figure_was_taken_is_no_sign(listener: Listener, verb: str) -> None:
    """Before it or after it, done by somebody or found so during the reading."""
    for text in (f"I {verb} the return, 60 psi", f"60 psi with the return {verb}", f"{verb} the return, still eighteen",
                 f"return {verb}, 70 psi on the gauge"):  # fmt: skip
        heard = listener.hear(text).heard
        assert [(p.best.kind, p.best.point) for p in heard] == [("reading", "return-pinched")], text


@pytest.mark.parametrize(
    ("text", "sign"),
    [
        ("I pulled the vacuum hose off and petrol ran out of it", "fuel-in-reference-hose"),
        ("Swapped the relay and off it went", "relay-swap-cures"),
        ("I thumped the tank and it starts", "tap-wakes-pump"),
        ("I put a can in and off it goes", "fuel-added-cures"),
        ("Poured five litres in and it started", "fuel-added-cures"),
        ("I tipped a gallon of petrol in and it fired up", "fuel-added-cures"),
        ("We added some petrol and it runs", "fuel-added-cures"),
        ("When I loosen the filler cap it runs fine", "cap-loose-cures"),
        ("The return hose is kinked under the sill", "return-kink-seen"),
        ("I found the return line pinched", "return-kink-seen"),
        ("The pump plug had come off", "pump-plug-off"),
    ],
)
def test_what_came_of_a_deed_is_heard(listener: Listener, text: str, sign: str) -> None:
    """The outcome is the sign, and so is what was found."""
    assert sign in {item.id for piece in listener.hear(text).heard for item in piece.items}


@pytest.mark.parametrize("tool", ["a test lamp", "a fuel pressure gauge", "a vacuum gauge", "a meter", "no gauge",
                                  "a hose clamp", "a scan tool", "a screwdriver"])  # fmt: skip
@pytest.mark.parametrize("frame", ["I've {}", "I have {}", "I've got {} here", "we have {}", "there is {}", "just {}"])
def test_a_tool_owned_is_no_sign(listener: Listener, frame: str, tool: str) -> None:
    """Having it, or not, is no finding with it."""
    text = frame.format(tool)
    assert at_hand(text)
    assert listener.hear(text).heard == ()


@pytest.mark.parametrize("text", ["the gauge reads low", "the test lamp stays dark", "no fuel", "I have no spark"])
def test_a_finding_with_a_tool_is_none_of_having_it(text: str) -> None:
    """More than the tool and who has it was said."""
    assert not at_hand(text)


def test_the_parts_of_a_sentence_that_are_deeds() -> None:
    """Up to what came of it; a car that pulls does nothing to itself."""
    assert deeds("When I undo the filler cap it sighs") == ("When I undo the filler cap",)
    assert deeds("it ran with the cap off") == ("with the cap off",)
    assert deeds("it pulls well") == ()
    assert deeds("the hose has pulled off") == ()


ALARMS = {
    "fire-or-smoke": ("Fire!", "there are flames under it", "it caught fire", "smoke is coming from the dash",
                      "something is on fire in the engine bay", "it is smoking by the battery", "a small fire"),
    "fuel-in-cabin": ("petrol fumes inside", "the boot stinks of fuel", "you smell petrol through the heater",
                      "the cabin reeks of gas"),
    "person-affected": ("my lad feels dizzy", "I got petrol in my eyes", "he swallowed some",
        "it sprayed me in the face",
                        "we all have a headache from it"),
    "flame-or-spark-near": ("somebody is welding next door", "the boiler is on", "sparks fly by the tank",
                            "my neighbor is smoking next to it", "he's having a fag beside the car"),
}  # fmt: skip
BESIDE = ("{}", "It will not start. {}", "Pump whines and {}", "the neighbour says {}", "38 psi at idle, {}")


@pytest.mark.parametrize("name", sorted(ALARMS))
@pytest.mark.parametrize("frame", BESIDE)
def test_an_alarm_is_always_offered_on_its_own_words(listener: Listener, name: str, frame: str) -> None:
    """Alone, beside anything else, told by others; and never among what may be left out of the list."""
    for said in ALARMS[name]:
        pieces = [p for p in listener.hear(frame.format(said)).heard if name in {item.id for item in p.items}]
        assert pieces, (name, frame.format(said))
        assert any(p.ticked or p.ask for p in pieces)


def test_an_alarm_is_offered_on_no_other_words(listener: Listener, book: RuleBook) -> None:
    """Of every line of the book that means something else: none brings an alarm that it does not name."""
    wrong = []
    for sign in book.signs.values():
        for text in sign.phrases:
            for piece in listener.hear(text).heard:
                for item in piece.items:
                    named = all(p.search(text) for p in OWN_WORDS.get(item.id, ()))
                    if item.id in OWN_WORDS and not named:
                        wrong.append((text, item.id))
    assert wrong == []


@pytest.mark.parametrize(
    "text",
    ["Starts", "it fires up at once", "won't fire", "it goes like stink", "black smoke when I pull away", "no smoke",
     "it runs like a house on fire", "no flames, no smell"],
)  # fmt: skip
def test_words_inside_other_meanings_are_no_alarm(listener: Listener, text: str) -> None:
    """An engine that fires burns nothing down."""
    told = {i.id for p in listener.hear(text).heard for i in p.items if i.answer == "present"}
    assert not told & {"fire-or-smoke", "fuel-smell"}, told


def test_alarms_are_signs_of_the_book_that_stop_work(book: RuleBook) -> None:
    """Every sign that a stop rule calls for by itself is one, but for what is looked for on purpose."""
    called = {
        word.removeprefix("sign:") for rule in book.stops.values() for word in rule.when if word.startswith("sign:")
    }
    assert set(OWN_WORDS) <= set(book.signs)
    assert {"fire-or-smoke", "fuel-in-cabin", "person-affected"} <= called & set(OWN_WORDS)
