"""The safety wall: every state against every sort of step, with a second, separately written statement of the rules."""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from dataclasses import replace

import pytest

from diag.rulebook.model import RuleBook
from diag.rulebook.steps import ACTS, PERSONS, Check, Remedy, Setup, Step
from diag.safety.effects import after, lapse, looked
from diag.safety.interlock import allowed
from diag.safety.setups import Planner
from diag.safety.situation import Pressure, Situation, Wet
from diag.safety.steps import BUILT_IN, PRIME, SHORT_RUN, STAGES, find_step
from diag.safety.stop_rules import full_stop, rules_in_force
from tests.decision import steps
from tests.decision.steps import small_book

BOOK = small_book()
DANGEROUS = set(ACTS)  # none of them before a dry look
BARE = replace(BOOK, stops={})  # the wall must hold without a word in the book


def situations() -> Iterator[Situation]:
    """The product of everything the wall listens to; a stage only where it belongs."""
    flags = (False, True)
    for wet, pressure, person in itertools.product(Wet, Pressure, PERSONS):
        stages = STAGES if wet is Wet.REPAIRED else ("",)
        joints = flags if wet is Wet.UNKNOWN else (False,)
        for stage, fuse, running, is_open, second, phone, joint in itertools.product(
            stages, flags, flags, flags, flags, flags, joints
        ):
            yield Situation(
                wet, pressure, is_open, fuse, running, person, phone, second, proof_stage=stage, own_joint=joint
            )


def step_shapes() -> list[Step]:
    """Each act alone, telling pairs, and none, as check, look-over, setup, release, remedy; for leaks or not."""
    acts: list[tuple[str, ...]] = [(), *((a,) for a in ACTS)]
    acts += [("opens system", "runs pump"), ("opens system", "disturbs joint"), ("key on", "runs pump")]
    shapes: list[Step] = []
    for number, does in enumerate(acts):
        for leaks in (False, True):
            tag = f"{number}-{leaks}"
            shapes.append(steps.check(f"check-{tag}", does=does, for_leaks=leaks))
            shapes.append(steps.check(f"look-{tag}", does=does, for_leaks=leaks, look_over=True))
            shapes.append(steps.setup(f"setup-{tag}", *does, for_leaks=leaks))
            shapes.append(steps.setup(f"joint-{tag}", *does, for_leaks=leaks, look_again=("fuel-at-cap",)))
            shapes.append(steps.setup(f"release-{tag}", *does, for_leaks=leaks, releases_pressure=True))
            shapes.append(steps.remedy(f"remedy-{tag}", *does, for_leaks=leaks))
            shapes.append(steps.remedy(f"away-{tag}", *does, for_leaks=leaks, keeps_car=False))
    return [*shapes, *BUILT_IN.values()]


RUN = {"key on", "runs pump", "runs engine", "cranks engine", "drives car"}
OPEN = {"opens system", "disturbs joint", "loads spring"}


def forbidden(s: Situation, step: Step) -> str:
    """The rules once more, as a list of wrongs; empty when none applies. Written from the issue, not from the wall."""
    does = set(step.does)
    goes_away = isinstance(step, Remedy) and not step.keeps_car and not does
    if s.wet is Wet.UNKNOWN and does & DANGEROUS:
        only_opens = does <= {"opens system", "disturbs joint"} and isinstance(step, Setup) and step.look_again
        nothing_ran = s.pressure is Pressure.RELEASED and not s.engine_running
        if not (s.own_joint and only_opens and nothing_ran):
            return "before a dry look"
    if s.wet in (Wet.WET, Wet.REPAIRED) and s.person == "untrained" and not goes_away:
        return "untrained with wet fuel"
    if s.wet is Wet.WET and does & (RUN | {"sparks", "pinches hose", "applies air"}):
        return "running or sparking with wet fuel"
    if s.wet is Wet.REPAIRED and does & RUN:
        turn = {"two second prime": PRIME, "sixty second run": SHORT_RUN}.get(s.proof_stage)
        if step.id != turn or not s.second_person or s.person not in ("mechanic", "shop"):
            return "running out of turn"
    if s.wet in (Wet.WET, Wet.REPAIRED) and does & OPEN:
        release = isinstance(step, Setup) and step.releases_pressure
        repair = isinstance(step, Remedy) and s.pressure is Pressure.RELEASED and s.person in ("mechanic", "shop")
        if not s.fuse_out or not (release or repair) or does & RUN:
            return "opening with wet fuel"
    if s.wet is not Wet.DRY and s.wet is not Wet.UNKNOWN and not does and not goes_away:
        look = step.for_leaks or (isinstance(step, Check) and step.look_over)
        release = isinstance(step, Setup) and step.releases_pressure and s.fuse_out
        safer = step.id in ("engine-off", "fuse-out")
        if not (look or isinstance(step, Remedy) or release or safer):
            return "work that is not for leaks"
    if does & OPEN and s.pressure is not Pressure.RELEASED and not (isinstance(step, Setup) and step.releases_pressure):
        return "opening under pressure"
    if "pinches hose" in does and s.person == "untrained":
        return "pinching untrained"
    if (
        s.engine_running
        and does & {"opens system", "sparks"}
        and not (isinstance(step, Setup) and step.releases_pressure)
    ):
        return "opening or sparking with the engine running"
    if s.system_open and does & (RUN | {"sparks"}):
        return "running with the system open"
    return ""


def test_no_state_lets_a_forbidden_step_through() -> None:
    """Every state times every shape of step: what the second statement forbids, the wall refuses."""
    seen = refused = 0
    shapes = step_shapes()
    for situation in situations():
        for step in shapes:
            wrong = forbidden(situation, step)
            seen += 1
            if wrong:
                refused += 1
                verdict = allowed(situation, step, BARE)
                assert not verdict.allowed, f"{wrong}: {step.id} in {situation}"
                assert verdict.why
                assert verdict.until
    assert seen > 200_000
    assert refused > 100_000


def test_the_wall_is_not_simply_shut() -> None:
    """A dry car with the pressure let off lets every kind of step through to a shop."""
    dry = Situation(Wet.DRY, Pressure.RELEASED, person="shop", fuse_out=True)
    for step in step_shapes():
        assert allowed(dry, step, BARE).allowed, step.id


@pytest.mark.parametrize("person", PERSONS)
def test_person_and_phone(person: str) -> None:
    """A step above the person's training, or not for the phone, is refused on a dry car too."""
    base = Situation(Wet.DRY, Pressure.RELEASED, person=person)  # type: ignore[arg-type]
    for needed in PERSONS:
        step = steps.check("x", person=needed)
        assert allowed(base, step, BARE).allowed == (PERSONS.index(needed) <= PERSONS.index(person))  # type: ignore[arg-type]
    phone = replace(base, by_phone=True)
    assert not allowed(phone, steps.check("x", by_phone=False), BARE).allowed
    assert allowed(phone, steps.check("x"), BARE).allowed


def test_pinching_is_never_for_the_untrained() -> None:
    """Whatever the book says about who may do it."""
    for phone in (False, True):
        situation = Situation(Wet.DRY, person="untrained", by_phone=phone)
        assert not allowed(situation, steps.check("x", does=("pinches hose",)), BARE).allowed


def test_exhaust_gas_needs_air() -> None:
    """An engine does not run in a closed room."""
    situation = Situation(Wet.DRY, ventilated=False)
    assert "Exhaust" in allowed(situation, steps.check("x", does=("runs engine",)), BARE).why
    assert allowed(replace(situation, ventilated=True), steps.check("x", does=("runs engine",)), BARE).allowed


def test_stop_rules_of_the_book_forbid_their_acts() -> None:
    """A sign's stop rule binds its acts and nothing else; fire binds everything."""
    hose = Situation(Wet.DRY, facts=frozenset({"sign:fuel-in-hose"}))
    assert [r.id for r in rules_in_force(hose, BOOK)] == ["fuel-in-hose"]
    verdict = allowed(hose, BOOK.checks["listen"], BOOK)
    assert not verdict.allowed
    assert verdict.until == "until fuel-in-hose"
    assert set(verdict.forbids) == {"key on", "runs pump"}
    assert allowed(hose, BOOK.checks["ask"], BOOK).allowed
    fire = Situation(Wet.DRY, facts=frozenset({"sign:fire"}))
    assert full_stop(fire, BOOK) is not None
    assert not allowed(fire, BOOK.checks["ask"], BOOK).allowed
    assert allowed(fire, BOOK.remedies["hand-to-specialist"], BOOK).allowed


def test_stop_rules_about_wet_fuel_do_not_block_the_way_back() -> None:
    """Prime and run are allowed in their turn although the book's words forbid running a repaired car."""
    ready = Situation(Wet.REPAIRED, Pressure.RELEASED, fuse_out=True, second_person=True)
    for stage, step in (("two second prime", PRIME), ("sixty second run", SHORT_RUN)):
        assert allowed(replace(ready, proof_stage=stage), BUILT_IN[step], BOOK).allowed
        alone = replace(ready, proof_stage=stage, second_person=False)
        assert "switch" in allowed(alone, BUILT_IN[step], BOOK).why


def test_needs_must_be_in_place() -> None:
    """A check whose setup is missing says which one."""
    situation = Situation(Wet.DRY, Pressure.RELEASED)
    verdict = allowed(situation, BOOK.checks["gauge"], BOOK)
    assert not verdict.allowed
    assert "Gauge fitted" in verdict.why
    ready = replace(situation, setups=frozenset({"gauge-fitted", "hose-off"}))
    assert allowed(ready, BOOK.checks["gauge"], BOOK).allowed


def test_dry_lapses() -> None:
    """Joint disturbed, remedy, hand-over, doubt or a wet sign: dry is over."""
    dry = Situation(Wet.DRY, Pressure.RELEASED)
    assert after(dry, BOOK.setups["gauge-fitted"], BOOK).wet is Wet.UNKNOWN
    assert after(dry, BOOK.remedies["set-pressure"], BOOK).wet is Wet.UNKNOWN
    assert after(dry, BOOK.checks["listen"], BOOK).wet is Wet.DRY
    assert lapse(dry).wet is Wet.UNKNOWN
    assert looked(dry, "unsure").wet is Wet.UNKNOWN
    assert looked(dry, "wet").wet is Wet.WET


def test_the_only_way_back_from_wet() -> None:
    """Release, repair, look, prime, look, run, look; any other order or wet place ends elsewhere."""
    s = Situation(Wet.WET, second_person=True)
    s = after(s, BOOK.setups["engine-off"], BOOK)
    s = after(s, BOOK.setups["fuse-out"], BOOK)
    assert after(s, BOOK.remedies["tighten-cap"], BOOK).wet is Wet.WET  # pressure not released
    s = after(s, find_step(BOOK, "pressure-released-fuse-out"), BOOK)  # type: ignore[arg-type]
    s = after(s, BOOK.remedies["tighten-cap"], BOOK)
    assert (s.wet, s.proof_stage) == (Wet.REPAIRED, "dry look")
    look, prime, run = BOOK.checks["look-over"], BUILT_IN[PRIME], BUILT_IN[SHORT_RUN]
    for step, stage in ((look, "two second prime"), (prime, "look again"), (look, "sixty second run")):
        before, s = s, after(s, step, BOOK, "dry")
        assert s.proof_stage == stage
        assert after(s, BOOK.checks["listen"], BOOK).proof_stage == "dry look"  # running out of turn starts it again
        assert lapse(s).proof_stage == "dry look"
        assert after(before, look, BOOK, "wet").wet is Wet.WET
        assert after(before, look, BOOK, "unsure").proof_stage == before.proof_stage
    s = after(after(s, run, BOOK), look, BOOK, "dry")
    assert s.wet is Wet.DRY
    assert s.pressure is Pressure.UP


def test_a_look_alone_never_dries_wet() -> None:
    """Looking again does not undo a wet place."""
    assert after(Situation(Wet.WET), BOOK.checks["look-over"], BOOK, "dry").wet is Wet.WET


class TestPlan:
    """Plans lead over allowed steps only, and put the look-over where it is due."""

    def test_gauge_from_nothing(self) -> None:
        """Look, release, fit, hose off, look again, read."""
        plan = Planner(BOOK).plan(Situation(), BOOK.checks["gauge"])
        assert plan.verdict.allowed
        names = [s.id for s in plan.steps]
        assert names == ["look-over", "pressure-released", "gauge-fitted", "hose-off", "look-over"]

    def test_wet_repair_goes_over_the_quiet_release(self) -> None:
        """With fuel outside, the book's own pressure release would run the engine, so the quiet one is taken."""
        plan = Planner(BOOK).plan(Situation(Wet.WET), BOOK.remedies["tighten-cap"])
        assert plan.verdict.allowed
        assert [s.id for s in plan.steps] == ["fuse-out", "pressure-released-fuse-out"]

    def test_no_way_for_the_untrained(self) -> None:
        """A dead end keeps its reason."""
        plan = Planner(BOOK).plan(Situation(Wet.DRY, person="untrained"), BOOK.checks["gauge"])
        assert not plan.verdict.allowed
        assert plan.verdict.why

    def test_every_plan_passes_the_wall_step_by_step(self) -> None:
        """All steps of the book from all states: each planned step is allowed when its turn comes."""
        walked = 0
        every = [*BOOK.checks.values(), *BOOK.remedies.values(), *BOOK.setups.values()]
        for situation in situations():
            if situation.system_open or situation.by_phone:
                continue
            planner = Planner(BOOK)
            for step in every:
                plan = planner.plan(situation, step)
                if not plan.verdict.allowed:
                    continue
                state = situation
                for part in (*plan.steps, step):
                    assert allowed(state, part, BOOK).allowed, (part.id, situation)
                    assert not forbidden(state, part), (part.id, situation)
                    state = after(state, part, BOOK, "dry")
                walked += 1
        assert walked > 1000


def explore(book: RuleBook) -> tuple[int, int]:
    """All sequences of allowed steps, look results, wet reports and hand-overs, states merged: (states, moves).

    Beside the situation runs a ledger of its own: dry is only what a whole dry look said since the last disturbance,
    and after wet fuel only what the full proof said.
    """
    every = [*book.checks.values(), *book.setups.values(), *book.remedies.values(), *BUILT_IN.values()]
    start = (Situation(second_person=True), ("unknown",))
    frontier, seen, moves = {start}, {start}, 0
    proof = ("look", PRIME, "look", SHORT_RUN, "look")
    while frontier:
        new = set()
        for situation, ledger in frontier:
            for step in every:
                if not allowed(situation, step, book).allowed:
                    continue
                moves += 1
                if set(step.does) & DANGEROUS and ledger[0] != "dry":
                    release = isinstance(step, Setup) and step.releases_pressure and not set(step.does) & RUN
                    repair = isinstance(step, Remedy) and not set(step.does) & RUN
                    in_turn = ledger[0] == "proof" and proof[len(ledger) - 1] == step.id
                    assert (
                        in_turn
                        or next_joint(ledger, situation, step)
                        or (ledger[0] in ("wet", "proof") and (release or repair))
                    ), (step.id, situation, ledger)
                for look in ("dry", "wet", "unsure") if isinstance(step, Check) and step.look_over else ("",):
                    new.add((after(situation, step, book, look), _ledger(ledger, situation, step, look, proof)))  # type: ignore[arg-type]
            new.add((looked(situation, "wet"), ("wet",)))
            new.add((lapse(situation), ("unknown",) if ledger[0] in ("dry", "joint") else ledger[:1]))
        frontier = new - seen
        seen |= new
    return len(seen), moves


def next_joint(ledger: tuple[str, ...], before: Situation, step: Step) -> bool:
    """Our own second joint, pressure still released, nothing run since the dry look: the one exception, said again."""
    opens = isinstance(step, Setup) and step.look_again and set(step.does) <= {"opens system", "disturbs joint"}
    return ledger[0] == "joint" and bool(opens) and before.pressure is Pressure.RELEASED


def _ledger(
    ledger: tuple[str, ...], before: Situation, step: Step, look: str, proof: tuple[str, ...]
) -> tuple[str, ...]:
    does, repair = set(step.does), isinstance(step, Remedy) and step.keeps_car
    if look == "wet":
        return ("wet",)
    if ledger[0] == "wet":
        return ("proof",) if repair and before.pressure is Pressure.RELEASED else ledger
    if ledger[0] == "proof":
        turn = proof[len(ledger) - 1]
        if (turn == "look" and look == "dry") or turn == step.id:
            grown = (*ledger, step.id)
            return ("dry",) if len(grown) > len(proof) else grown
        return ("proof",) if does or repair else ledger
    own = ledger[0] in ("dry", "joint") and step.look_again and does and does <= {"opens system", "disturbs joint"}
    if own and not repair:
        return ("joint",)
    if repair or does & OPEN or look == "unsure" or (ledger[0] == "joint" and does & RUN):
        return ("unknown",)
    return ("dry",) if look == "dry" else ledger


def test_exploring_all_sequences_finds_no_forbidden_step() -> None:
    """Exhaustive search over merged states until nothing new is reached."""
    states, moves = explore(BOOK)
    assert states > 10_000
    assert moves > 100_000
    print(states, moves)


def test_a_plan_through_the_look_over_is_not_stopped_for_want_of_one() -> None:
    """A rule about unknown wetness that the case noted ends once the plan has looked; one about a sign stays."""
    rule = next(r for r in BOOK.stops.values() if "wet:unknown" in r.when)
    asked = next(s for s in BOOK.checks.values() if "runs pump" in s.does)
    noted = Situation(stops=frozenset({rule.id}))
    assert not allowed(noted, asked, BOOK).allowed
    assert Planner(BOOK).plan(noted, asked).verdict.allowed
    seen = replace(rule, id="seen", when=("sign:smoke",))
    book = replace(BOOK, stops={**BOOK.stops, "seen": seen})
    still = Situation(stops=frozenset({"seen"}))
    assert not Planner(book).plan(still, asked).verdict.allowed


def test_our_own_joint_needs_a_second_look_only_there() -> None:
    """Dry, pressure released, gauge fitted: the second joint needs no look between, running needs one, and only there.

    Anything that runs, a remedy, or a joint that names no place ends it: then all is looked at again.
    """
    joint = steps.setup("fit-gauge", "opens system", "disturbs joint", look_again=("fuel-at-cap",))
    elsewhere = steps.setup("drop-tank", "opens system", "disturbs joint")
    pump = steps.check("run-it", does=("key on", "runs pump"))
    places = frozenset({"fuel-at-cap", "fuel-under-car", "fuel-smell"})
    dry = Situation(Wet.DRY, Pressure.RELEASED, fuse_out=True, dry_places=places)
    opened = after(dry, joint, BOOK)
    assert (opened.wet, opened.own_joint) == (Wet.UNKNOWN, True)
    assert opened.dry_places == places - {"fuel-at-cap"}
    assert allowed(opened, joint, BOOK).allowed
    assert not allowed(opened, pump, BOOK).allowed
    assert not allowed(opened, elsewhere, BOOK).allowed
    assert not allowed(replace(opened, pressure=Pressure.UNKNOWN), joint, BOOK).allowed
    for deed in (pump, elsewhere, steps.remedy("new-hose", "opens system")):
        then = after(opened, deed, BOOK)
        assert not then.own_joint
        assert then.dry_places == frozenset()
        assert not allowed(then, joint, BOOK).allowed
    assert not lapse(opened).own_joint
    assert not looked(opened, "unsure").own_joint
