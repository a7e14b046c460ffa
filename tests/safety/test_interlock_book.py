"""The wall with the shipped rule book: random walks, the sanity of its steps, and what a caller is told."""

from __future__ import annotations

import random
from dataclasses import replace
from functools import cache

import pytest

from diag.casework import entries as e
from diag.casework import record
from diag.casework.replay import standing
from diag.hearing.circumstances import circumstances
from diag.presentation.reasons import reason_words
from diag.rulebook.load import load_book
from diag.rulebook.model import RuleBook
from diag.rulebook.steps import Check, Remedy, Setup
from diag.safety.beforehand import measures
from diag.safety.effects import after, lapse, looked
from diag.safety.interlock import allowed
from diag.safety.setups import Planner, planner_for
from diag.safety.situation import Pressure, Situation, Wet
from diag.safety.steps import BUILT_IN, PRIME, SHORT_RUN, look_check, look_places
from tests import ROOT
from tests.safety.test_interlock import DANGEROUS, RUN, _ledger, next_joint

RULES = ROOT / "rules"
WHEN = {"at": "2026-11-25T10:00:00Z", "who": "Ann"}
CASE = e.Case("job", "Otter leaks", "2026-11-25T09:00:00Z", "1", "f")


@cache
def shipped() -> RuleBook:
    """The rule book of this checkout."""
    return load_book(RULES)


@pytest.mark.parametrize("seed", range(4))
def test_random_walks_meet_no_forbidden_step(seed: int) -> None:
    """Any step the wall lets through, looks that come out any way, wet reports, hand-overs: 8,000 moves a seed."""
    book, dice = shipped(), random.Random(seed)
    steps = [*book.checks.values(), *book.setups.values(), *book.remedies.values(), *book.actions.values()]
    steps += [*BUILT_IN.values()] * 8 + [look_check(book)] * 20  # type: ignore[list-item]
    steps += [s for s in book.setups.values() if s.releases_pressure or s.id == "fuse-out"] * 10
    proof = ("look", PRIME, "look", SHORT_RUN, "look")
    situation, ledger = Situation(second_person=True, person="shop"), ("unknown",)
    moves = dangerous = 0
    for _ in range(8000):
        if dice.random() < 0.01:
            situation, ledger = looked(situation, "wet"), ("wet",)
        elif dice.random() < 0.01:
            situation, ledger = lapse(situation), ("unknown",) if ledger[0] in ("dry", "joint") else ledger[:1]
        step = dice.choice(steps)
        if not allowed(situation, step, book).allowed:
            continue
        moves += 1
        if set(step.does) & DANGEROUS:
            dangerous += 1
            if ledger[0] != "dry":
                in_turn = ledger[0] == "proof" and proof[len(ledger) - 1] == step.id
                quiet = not set(step.does) & (RUN | {"sparks", "pinches hose", "applies air"})
                release = isinstance(step, Setup) and step.releases_pressure and quiet
                repair = isinstance(step, Remedy) and quiet and situation.pressure is Pressure.RELEASED
                mending = ledger[0] in ("wet", "proof") and (release or repair)
                assert in_turn or mending or next_joint(ledger, situation, step), (step.id, situation, ledger)
        look = dice.choice(("dry", "dry", "dry", "wet", "unsure")) if isinstance(step, Check) and step.look_over else ""
        ledger = _ledger(ledger, situation, step, look, proof)
        situation = after(situation, step, book, look)  # type: ignore[arg-type]
    assert moves > 1000
    assert dangerous > 100


def test_every_check_and_remedy_can_be_reached_by_a_shop() -> None:
    """From nothing known, on a dry car, a shop finds a safe way to every check and every remedy of the book."""
    book = shipped()
    planner = Planner(book)
    looked = frozenset(book.checks)  # wiping waits until the traces were read
    start = Situation(Wet.UNKNOWN, person="shop", second_person=True, tried=looked, measured=measures(book))
    for step in [*book.checks.values(), *book.remedies.values()]:
        plan = planner.plan(start, step)
        assert plan.verdict.allowed, f"{step.id}: {plan.verdict.why}"


@pytest.mark.parametrize(
    ("remedy", "no_measurement", "measurement"),
    [
        ("renew-pump", "", "pump volts"),
        ("bigger-pump", "", "rail pressure"),
        ("reset-base-pressure", "rail pressure", "rail pressure at pump-on-engine-off"),
        ("reset-base-pressure", "rail pressure at idle-hose-on", "rail pressure at idle-hose-off"),
        ("lock-the-adjuster", "rail pressure at idle-hose-on", "rail pressure at prime"),
    ],
)
def test_no_part_is_condemned_and_no_base_set_without_its_measurement(
    remedy: str, no_measurement: str, measurement: str
) -> None:
    """A pump waits for any figure of it, the base for one with the reference hose off: idle vacuum pulls it down.

    Common practice, no source; that the rail follows the manifold one to one is the regulator's purpose.
    """
    book = shipped()
    ready = Situation(Wet.DRY, person="shop", second_person=True)
    step, told = book.remedies[remedy], frozenset({no_measurement} - {""})
    assert "measured" in planner_for(book).plan(replace(ready, measured=told), step).verdict.until
    assert planner_for(book).plan(replace(ready, measured=told | {measurement}), step).verdict.allowed


def test_what_takes_two_is_not_for_one() -> None:
    """A missing tool is borrowed, a missing pair of eyes is not: by itself, and on the way to something else."""
    book = shipped()
    ready = Situation(Wet.UNKNOWN, person="shop", tried=frozenset(book.checks))
    alone = replace(ready, tools=frozenset(book.tools) - {"helper"})
    steps = [*book.checks.values(), *book.remedies.values(), *book.setups.values()]
    assert sum("helper" in step.tools for step in steps) > 50
    for step in steps:
        plan = planner_for(book).plan(alone, step)
        assert not (plan.verdict.allowed and "helper" in plan.tools), step.id
        if "helper" in step.tools:
            assert "two people" in allowed(replace(alone, wet=Wet.DRY, pressure=Pressure.RELEASED), step, book).why or (
                not allowed(replace(ready, wet=Wet.DRY, pressure=Pressure.RELEASED), step, book).allowed
            )
            for told in (ready, replace(alone, second_person=True), replace(alone, tools=alone.tools | {"helper"})):
                assert "two people" not in planner_for(book).plan(told, step).verdict.why


def test_a_log_that_was_told_not_to_be_there_is_not_asked_for_again() -> None:
    """One made earlier can be neither borrowed nor made now; every other missing tool stays a price."""
    book = shipped()
    step = book.checks["earlier-log"]
    ready = Situation(Wet.DRY, person="shop", tools=frozenset(book.tools))
    assert allowed(ready, step, book).allowed
    without = replace(ready, tools=ready.tools - circumstances("mechanic, no log").missing)
    assert "no earlier log" in allowed(without, step, book).why
    assert not planner_for(book).plan(without, step).verdict.allowed
    assert planner_for(book).plan(replace(ready, tools=frozenset()), book.checks["base-pressure"]).verdict.allowed


def test_the_look_over_asks_about_wet_places() -> None:
    """Without places the car could never be dry; without harmlessness nobody could look."""
    book = shipped()
    assert {"fuel-at-cap", "fuel-at-rail", "fuel-under-car", "fuel-smell"} <= look_places(book)
    for check in book.checks.values():
        if check.look_over:
            assert not check.does
            assert check.person == "untrained"


def test_a_caller_with_wet_fuel_is_told_to_stop() -> None:
    """By phone, no training, fuel under the car: no step, but off, no cranking, no driving, away, trained person."""
    case = record.person_told(CASE, shipped(), "untrained", by_phone=True, **WHEN)
    case = record.answer_sign(case, shipped(), "fuel-under-car", "yes", sure="unsure", source="second hand", **WHEN)
    proposal = standing(case, shipped()).proposal
    assert (proposal.kind, proposal.step) == ("stop", "")
    text = " ".join(reason_words(proposal, shipped())).casefold()
    for word in ("off", "crank", "drive", "away", "trained"):
        assert word in text


def test_a_mechanic_is_asked_to_look_first() -> None:
    """Whatever the complaint, the first proposal is the look-over."""
    case = record.answer_sign(CASE, shipped(), "pressure-wont-come-down", "yes", **WHEN)
    found = standing(case, shipped())
    assert found.proposal.step == "look-over"
    assert {"vapour", "liquid-fuel"} <= {h.id for h in found.cautions}
    assert "wet-unknown" in found.situation.stops
