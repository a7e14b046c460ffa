"""What people hear of the stop rules: all of it, the strictest first, and never two orders against each other."""

from __future__ import annotations

import itertools
from functools import lru_cache

import pytest

from diag.presentation.stop_rules import act_words, as_told, is_danger, to_be_told
from diag.rulebook.hazards import StopRule
from diag.rulebook.load import load_book
from diag.rulebook.model import RuleBook
from diag.rulebook.steps import ACTS, PERSONS
from diag.rulebook.where import rules_folder
from diag.safety.situation import Situation, Wet
from diag.safety.stop_rules import rules_in_force

SIGNS = ("over-pit", "closed-room", "flame-or-spark-near", "engine-too-hot", "fuel-in-cabin", "fuel-smell",
         "fuel-in-reference-hose", "person-affected", "fire-or-smoke")  # fmt: skip
# Orders that cannot both be followed. Common practice, no source.
AGAINST = [
    ("flood", "soak up"),
    ("step away", "wipe"),
    ("step away", "catch"),
    ("leave the key", "prime for"),
    ("step away", "do the look-over"),
    ("out and away", "do the look-over"),
    ("out and away", "looking, listening"),
    ("leave the bonnet shut", "bonnet open"),
    ("switch off", "lead exhaust"),
]


@lru_cache
def shipped() -> RuleBook:
    return load_book(rules_folder())


def told(situation: Situation) -> list[StopRule]:
    return to_be_told(rules_in_force(situation, shipped()))


def orders(situation: Situation) -> list[str]:
    return [order for rule in told(situation) for order in rule.do_now]


def facts(*signs: str) -> frozenset[str]:
    return frozenset(f"sign:{sign}" for sign in signs)


def test_an_untrained_caller_hears_of_methanol_and_of_the_pit() -> None:
    """The invisible flame, the poison, the pit and the flame are said although the wet car forbids all acts already."""
    caller = Situation(Wet.WET, person="untrained", by_phone=True, fuel="methanol",
                       facts=facts("over-pit", "flame-or-spark-near"))  # fmt: skip
    said = " ".join(f"{rule.title} {rule.why} {' '.join(rule.do_now)}" for rule in told(caller)).casefold()
    for word in ("invisible", "blind", "pit", "smokes", "step away", "windward", "never siphon"):
        assert word in said, word


def test_the_strictest_comes_first() -> None:
    """What forbids everything stands before what forbids less, findings before what is only standing."""
    caller = Situation(Wet.WET, person="untrained", fuel="methanol", facts=facts("over-pit", "fire-or-smoke"))
    heard = told(caller)
    keys = [(not is_danger(rule), -len(set(rule.forbids))) for rule in heard]
    assert keys == sorted(keys)
    assert set(heard[0].forbids) == set(ACTS)


@pytest.mark.parametrize("person", PERSONS)
@pytest.mark.parametrize("fuel", ["", "petrol", "methanol"])
def test_no_two_orders_against_each_other(person: str, fuel: str) -> None:
    """Every state of wetness with every pair of findings: nobody is told to flood and to soak up, to go and to wipe."""
    for wet, found in itertools.product(Wet, itertools.combinations(SIGNS, 2)):
        said = orders(Situation(wet, person=person, fuel=fuel, facts=facts(*found)))  # type: ignore[arg-type]
        assert len(said) == len(set(said)), said
        wanted = " ".join(_positive(order) for order in said)
        for one, other in AGAINST:
            assert not (one in wanted and other in wanted), (one, other, said)


def _positive(order: str) -> str:
    """The sentences that ask for something, without those that forbid."""
    sentences = [s.strip().casefold() for s in order.split(".")]
    return ". ".join(s for s in sentences if not s.startswith(("never", "do not", "nobody", "no ")))


def test_every_rule_in_force_is_heard() -> None:
    """A rule is silent only where another one says the same for exactly this kind of person."""
    caller = Situation(Wet.WET, person="untrained", fuel="methanol", facts=facts(*SIGNS))
    in_force = {rule.id for rule in rules_in_force(caller, shipped())}
    assert in_force - {rule.id for rule in told(caller)} == {"wet-fuel"}
    assert {rule.id for rule in as_told(rules_in_force(caller, shipped()))} == in_force


def test_hands_are_for_the_trained() -> None:
    """Catching a drip is an order for a mechanic and none for a caller, and methanol is never soaked up."""
    assert any("Catch the drip" in o for o in orders(Situation(Wet.WET)))
    assert not any("Catch the drip" in o for o in orders(Situation(Wet.WET, person="untrained")))
    methanol = orders(Situation(Wet.WET, fuel="methanol"))
    assert any("Flood" in o for o in methanol)
    assert not any("Soak up" in o for o in methanol)


def test_the_word_bonnet_means_the_bonnet_of_the_car() -> None:
    """One word for two things cost a caller his eyebrows: the regulator has a cover."""
    assert "regulator cover" in act_words(["loads spring"])
    for hazard in shipped().hazards.values():
        for caution in hazard.cautions:
            assert "bonnet screw" not in caution
            assert "hold the bonnet" not in caution
