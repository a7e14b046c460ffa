"""Running the pump with the engine off: who may, by which way, and what is left to everybody else."""

from __future__ import annotations

from functools import lru_cache

from diag.decision.groups import can_go
from diag.rulebook.load import load_book
from diag.rulebook.model import RuleBook
from diag.rulebook.where import rules_folder
from diag.safety.beforehand import untraced
from diag.safety.effects import after
from diag.safety.interlock import allowed, in_place
from diag.safety.setups import Planner
from diag.safety.situation import Pressure, Situation, Wet


@lru_cache
def shipped() -> RuleBook:
    return load_book(rules_folder())


def ready(**more: object) -> Situation:
    """A dry car with gauge fitted and hose off."""
    setups = frozenset({"gauge-fitted", "hose-off", "engine-off"})
    return Situation(Wet.DRY, Pressure.UP, setups=setups, **more)  # type: ignore[arg-type]


def way(situation: Situation, check: str) -> list[str]:
    plan = Planner(shipped()).plan(situation, shipped().checks[check])
    assert can_go(plan, situation), plan.verdict.why
    return [step.id for step in plan.steps]


def test_the_question_comes_before_the_first_such_reading() -> None:
    """Base pressure takes ten seconds of pump: whether that can be done here is asked on the way to it."""
    assert way(ready(person="hobbyist"), "base-pressure") == ["pump-held-on"]
    first = shipped().setups["pump-held-on"].steps[0]
    assert "whether it can be done here" in first
    assert way(ready(person="hobbyist"), "prime-pressure") == []


def test_a_trained_person_has_another_way() -> None:
    """No switch of the car's own: a fused switched lead for a mechanic, and no way but the prime for a hobbyist."""
    refused = frozenset({"pump-held-on"})
    assert way(ready(refused=refused), "base-pressure") == ["pump-by-switched-lead"]
    hobbyist = ready(person="hobbyist", refused=refused)
    plan = Planner(shipped()).plan(hobbyist, shipped().checks["base-pressure"])
    assert not can_go(plan, hobbyist)
    assert way(hobbyist, "prime-pressure") == []


def test_the_lead_counts_as_the_switch_and_comes_out_again() -> None:
    """What stands for a set-up is that set-up, until the relay goes back for the engine."""
    book = shipped()
    with_lead = after(ready(), book.setups["pump-by-switched-lead"], book)
    assert in_place(with_lead, "pump-held-on")
    running = after(with_lead, book.setups["engine-warm"], book)
    assert not in_place(running, "pump-held-on")
    assert not in_place(running, "pump-by-switched-lead")


def test_by_phone_nobody_puts_a_wire_into_a_socket() -> None:
    """The lead is not for the phone, and no line read aloud asks an untrained caller to bridge anything."""
    book = shipped()
    caller = ready(by_phone=True)
    assert not allowed(caller, book.setups["pump-by-switched-lead"], book).allowed
    for step in [*book.checks.values(), *book.setups.values()]:
        if step.by_phone and step.person == "untrained":
            assert "relay socket" not in " ".join(step.aloud)


def test_wiping_waits_for_the_trace() -> None:
    """On a wet car with nothing repaired the trace is read before it is wiped away; trying it is enough."""
    book = shipped()
    wipe = book.remedies["wipe-dry-and-prove"]
    wet = Situation(Wet.WET, Pressure.RELEASED, fuse_out=True)
    assert untraced(wet, wipe) == ("read-stains", "dry-paper")
    assert "trace" in allowed(wet, wipe, book).why
    tried = Situation(Wet.WET, Pressure.RELEASED, fuse_out=True, tried=frozenset({"read-stains", "dry-paper"}))
    assert allowed(tried, wipe, book).allowed


def test_a_remedy_that_mends_no_leak_does_not_lead_back_from_wet() -> None:
    """A new gauge is no repair of a wet joint, however quietly it was fitted."""
    book = shipped()
    wet = Situation(Wet.WET, Pressure.RELEASED, fuse_out=True, setups=frozenset({"fuse-out"}))
    assert after(wet, book.remedies["renew-gauge"], book).wet is Wet.WET
    assert not allowed(wet, book.remedies["renew-gauge"], book).allowed
    assert after(wet, book.remedies["remake-feed-joint"], book).wet is Wet.REPAIRED


def test_every_leak_has_a_repair_that_can_be_reached_while_it_leaks() -> None:
    """For each cause that lets fuel out, a shop reaches its first remedy without running anything."""
    book = shipped()
    outside = {"fuel-at-cap", "fuel-at-joint", "fuel-at-rail", "fuel-at-filter", "fuel-at-pump", "fuel-at-tank"}
    planner = Planner(book)
    tried = frozenset(book.checks)
    wet = Situation(Wet.WET, person="shop", second_person=True, tried=tried)
    for cause in book.causes.values():
        if any(cause.shows.get(sign, 0.0) >= 0.3 for sign in outside):
            plan = planner.plan(wet, book.remedies[cause.remedies[0]])
            assert plan.verdict.allowed, f"{cause.id}: {plan.verdict.why}"


def test_a_smell_leads_on_with_nothing_running() -> None:
    """Every place dry and still a smell: there are checks that may be done, and none of them runs anything."""
    book = shipped()
    smell = Situation(Wet.WET, facts=frozenset({"sign:fuel-smell"}))
    open_ = [c for c in book.checks.values() if allowed(smell, c, book).allowed]
    assert "follow-the-smell" in {c.id for c in open_}
    assert all(not c.does for c in open_)


def test_moving_a_screw_of_the_cover_needs_the_pressure_released() -> None:
    """With only the fuse out the full pressure stands behind it."""
    book = shipped()
    up = Situation(Wet.DRY, Pressure.UP, fuse_out=True)
    for step in (
        book.checks["cover-screw-feel"],
        book.actions["cover-screws-tightened"],
        book.remedies["retighten-cover"],
    ):
        assert not allowed(up, step, book).allowed
