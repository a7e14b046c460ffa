"""Liquid fuel outside is never passed over: every place, every verb, told and denied. Common practice, no source."""

from __future__ import annotations

from itertools import product

import pytest

from diag.hearing.leaks import DRY_SIGNS, nearest, never_missed, told_at
from diag.hearing.listen import Listener
from diag.hearing.understood import Heard, Item
from diag.rulebook.findings import PRESENT
from diag.rulebook.model import RuleBook

SAYS = (
    "drips", "is dripping", "sprays", "is spraying", "squirts", "leaks", "is leaking", "gushes", "weeps", "oozes",
        "seeps",
    "dribbles", "pours", "is running", "trickles",
)  # fmt: skip
FUELS = ("petrol", "fuel", "gasoline", "gas")
PLACES = (
    "onto the exhaust", "onto the hot manifold", "down the block", "onto the starter motor", "over the alternator",
    "down the bulkhead", "onto the floor", "out of the rail", "from the filter", "from the regulator", "from the tank",
    "out from under the car", "from the return hose", "from the pump", "from a union", "onto my shoes", "everywhere",
)  # fmt: skip
DENIALS = ("no {fuel} {says} {place}", "{fuel} never {says} {place}", "there is no {fuel} that {says} {place}")


@pytest.fixture(scope="module")
def listener(book: RuleBook) -> Listener:
    """One listener for all."""
    return Listener(book)


def wet(listener: Listener, text: str) -> list[Heard]:
    """The pieces that say liquid fuel is outside and that are ticked or asked back."""
    return [
        piece for piece in listener.hear(text).heard
        if (piece.ticked or piece.ask) and piece.best.kind == "sign" and piece.best.answer == PRESENT
        and piece.best.id not in DRY_SIGNS
        and (listener.book.signs[piece.best.id].wet or piece.best.id in ("injector-tip-drips", "splash-at-filler"))
    ]  # fmt: skip


@pytest.mark.parametrize("place", PLACES)
def test_fuel_that_runs_out_is_ticked_or_asked_back(listener: Listener, place: str) -> None:
    """Whatever the verb and whatever the fuel is called."""
    said = [f"{fuel} {says} {place}" for fuel, says in product(FUELS[:2], SAYS)]
    assert [text for text in said if not wet(listener, text)] == []


@pytest.mark.parametrize("place", PLACES)
def test_every_name_of_fuel_and_every_verb_is_known(place: str) -> None:
    """The rule by itself, over all of the words."""
    said = [f"there is {fuel} and it {says} {place}" for fuel, says in product(FUELS, SAYS)]
    said += [f"the {fuel} {says} {place}" for fuel, says in product(FUELS, SAYS)]
    assert [text for text in said if not told_at(text) and not ("running" in text and " and it " in text)] == []


@pytest.mark.parametrize("denial", DENIALS)
def test_what_is_denied_is_no_leak(denial: str) -> None:
    """A denial must not be heard as a leak, nor a leak be made of it."""
    said = [denial.format(fuel=fuel, says=says, place=place) for fuel, says, place in product(FUELS[:2], SAYS, PLACES)]
    assert [text for text in said if told_at(text)] == []


@pytest.mark.parametrize(
    "text",
    [
        "the return gushes onto the road", "petrol everywhere", "petrol all over the engine",
        "there's petrol on the exhaust",
        "wet with petrol under the bonnet",
        "it never starts when fuel drips on the plugs", "I can't stop it leaking petrol", "it won't stop dripping",
        "it doesn't just drip, it pours", "it isn't starting because it's leaking fuel",
        "what if it leaks petrol on the turbo?",
        "it's dripping on the exhaust!", "it runs down the block", "petrol is dripping on the exhaust",
        "fuel drips onto the hot manifold",
        "it's spraying all over", "it is squirting out by the injectors", "I can see it weeping at the union",
        "it doesn't start and petrol drips on the starter", "no spark, but fuel is running down the block",
        "my mate says it drips petrol on the turbo", "I think it leaks fuel on the exhaust",
        "pressure leaks down and petrol drips off the rail",
    ],
)  # fmt: skip
def test_a_leak_in_passing_is_not_passed_over(listener: Listener, text: str) -> None:
    """Without the fuel's name, beside a denial of something else, told by others or only supposed."""
    assert wet(listener, text)


@pytest.mark.parametrize(
    "text",
    [
        "the return only dribbles", "return gushes", "plugs dripping wet", "adding fuel everywhere",
        "a drop of fuel and it ran again", "splashing at the cap", "barely a dribble comes back",
        "it no longer drips", "no petrol on the exhaust", "petrol on the plugs", "no puddle of petrol",
        "pressure leaks down overnight", "there's a vacuum leak at the manifold", "the exhaust is leaking",
        "oil drips on the exhaust",
        "coolant is dripping on the floor", "I poured five litres of petrol into the tank",
        "the return pours into the can",
        "I sprayed cleaner on the manifold and it idled up", "the pump runs", "it ran out of petrol",
        "it runs on petrol",
        "the leak-down test was fine", "all the injectors spray well", "fuel runs low", "it runs down on power",
    ],
)  # fmt: skip
def test_what_is_no_leak_of_fuel_is_not_made_one(text: str) -> None:
    """Other leaks, other liquids, fuel poured on purpose, and an engine that runs."""
    assert told_at(text) == []


@pytest.mark.parametrize(
    ("text", "first"),
    [
        ("it's dripping on the exhaust", "fuel-at-rail"),
        ("petrol drips from the filter onto the exhaust", "fuel-at-filter"),
        ("it is gushing onto the road", "fuel-under-car"),
    ],
)
def test_the_nearest_place_is_offered_first(text: str, first: str) -> None:
    """Where it comes from goes before where it lands; the engine means the rail; else it is under the car."""
    assert nearest(text)[0] == first


def test_a_weak_guess_of_a_leak_is_asked_back(book: RuleBook) -> None:
    """A wet sign that other hearing found and did not tick is put to the person."""
    item = Item("sign", "fuel-at-rail", PRESENT, "", "Wet", 0.5)
    kept = never_missed("fuel drips off the rail", [Heard("fuel drips off the rail", (item,), ticked=False)], book)
    assert [piece.ask for piece in kept] == [True]
