"""What a deed told out of its order says about the car, with the shipped book: less than one would wish."""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache

import pytest

from diag.casework.entries import Case, Entry, PersonTold, ReadingTaken, SignAnswer, StepDone, Sure
from diag.casework.situation_of import situation_of
from diag.evaluation.audit import Auditor
from diag.rulebook.load import load_book
from diag.rulebook.model import RuleBook
from diag.rulebook.where import rules_folder
from diag.safety.beforehand import unmeasured
from diag.safety.interlock import allowed
from diag.safety.situation import Pressure, Situation, Wet
from diag.safety.steps import find_step, look_places, step_ids

AT = "2026-05-02T09:00:00Z"


@lru_cache
def shipped() -> RuleBook:
    return load_book(rules_folder())


def told(*steps: str, wet: str = "") -> Case:
    """A mechanic's car looked over, fuel found at one place or none, then these deeds without any set-up told."""
    found: list[Entry] = [PersonTold(1, AT, "Mira", "mechanic", False, True, True, None)]
    for sign in sorted(look_places(shipped())):
        answer = "present" if sign == wet else "absent"
        found.append(SignAnswer(len(found) + 1, AT, "Mira", sign, answer, check="look-over"))
    for step in steps:
        found.append(StepDone(len(found) + 1, AT, "Mira", step))
    return Case("job", "Otter", AT, shipped().version, shipped().fingerprint, entries=tuple(found))


def after(*steps: str, wet: str = "") -> Situation:
    return situation_of(told(*steps, wet=wet), shipped())


def test_a_screw_turned_says_nothing_of_fuse_or_pressure() -> None:
    """The cover screws were tightened: perhaps with the fuse in and the pressure up."""
    situation = after("cover-screws-tightened")
    assert not situation.fuse_out
    assert situation.pressure is not Pressure.RELEASED
    assert not allowed(situation, shipped().setups["gauge-fitted"], shipped()).allowed


def test_only_a_sure_figure_with_the_hose_off_lets_the_base_be_set() -> None:
    """The idle reading with the hose on says nothing of the base, and a guess says nothing at all."""
    base = shipped().remedies["reset-base-pressure"]
    for point, sure, enough in (
        ("idle-hose-on", "sure", False),
        ("idle-hose-off", "unsure", False),
        ("idle-hose-off", "sure", True),
    ):
        reading = ReadingTaken(99, AT, "Mira", "rail pressure", point, "43 psi", 3e5, 3e5, 3e5, sure=sure)  # type: ignore[arg-type]
        case = told()
        here = situation_of(replace(case, entries=(*case.entries, reading)), shipped())
        assert (unmeasured(here, base) == ()) is enough


def test_an_opened_system_has_no_pressure_left_until_the_pump_runs() -> None:
    """A gauge was fitted, so the pressure was let off; a prime brings it back."""
    assert after("gauge-fitted").pressure is Pressure.RELEASED
    assert after("gauge-fitted", "prime-pressure").pressure is Pressure.UP


@pytest.mark.parametrize("wet", ["", "fuel-at-rail"])
def test_no_deed_takes_the_fuse_out_but_the_telling_of_it(wet: str) -> None:
    """Whatever else is told first, the fuse counts as in until somebody says that it is out."""
    for step in step_ids(shipped()):
        if step != "fuse-out":
            assert not after(step, wet=wet).fuse_out, step


@pytest.mark.slow
@pytest.mark.parametrize("wet", ["", "fuel-at-rail"])
def test_after_any_deed_the_wall_lets_nothing_through_that_the_auditor_forbids(wet: str) -> None:
    """One deed out of order, then every step that opens or runs anything: the two readings of safety agree."""
    book = shipped()
    acting = [s for s in (find_step(book, name) for name in step_ids(book)) if s is not None and s.does]
    wrong: list[str] = []
    for deed in step_ids(book):
        case = told(deed, wet=wet)
        audit = Auditor(book)
        for entry in case.entries:
            audit.saw(entry)
        situation = situation_of(case, book)
        let_through = [s.id for s in acting if allowed(situation, s, book).allowed]
        wrong += [f"after {deed}: {why}" for name in let_through if (why := audit.objection((name,)))]
    assert wrong == []


def test_a_look_of_the_proof_is_not_finished_with_places_of_the_look_before() -> None:
    """Doubt at one place, then a second look with doubt at another: neither was dry at every place."""
    places = [item.sign for item in shipped().checks["look-over-after-repair"].yields]
    entries = list(told("fuse-out", "pressure-released-fuse-out", "remake-feed-joint", wet=places[0]).entries)
    for vague in (places[1], places[-1]):
        for sign in places:
            sure: Sure = "unsure" if sign == vague else "sure"
            number = len(entries) + 1
            entries.append(SignAnswer(number, AT, "Mira", sign, "absent", sure, check="look-over-after-repair"))
        entries.append(StepDone(len(entries) + 1, AT, "Mira", "look-over-after-repair"))
        case = Case("job", "Otter", AT, shipped().version, shipped().fingerprint, entries=tuple(entries))
        assert situation_of(case, shipped()).proof_stage == "dry look"


def reading(number: int, at: str = "idle-hose-off", sure: Sure = "sure") -> ReadingTaken:
    return ReadingTaken(number, AT, "Mira", "rail pressure", at, "43 psi", 3e5, 3e5, 3e5, sure=sure)


@pytest.mark.parametrize(
    ("kit", "sure", "at", "fitted"),
    [
        (None, "sure", "idle-hose-off", True),
        (("pressure-gauge",), "sure", "pump-on-engine-off", True),
        (("torch", "hand-tools"), "sure", "idle-hose-off", False),
        (None, "unsure", "idle-hose-off", False),
        (None, "sure", "log-pump-on", False),
    ],
)
def test_who_tells_a_rail_reading_has_the_gauge_on(
    kit: tuple[str, ...] | None, sure: Sure, at: str, fitted: bool
) -> None:
    """Nobody is sent to let the pressure off and fit a gauge that is on; a doubtful figure or a sensor's is none."""
    person = PersonTold(1, AT, "Mira", "mechanic", False, True, True, kit)
    case = replace(told(), entries=(person, reading(2, at, sure)))
    assert ("gauge-fitted" in situation_of(case, shipped()).setups) is fitted


def test_what_was_told_before_is_no_part_of_a_look_over() -> None:
    """A caller said that nothing smells; who then looks the car over smells for it as well, wall and auditor agree."""
    said = SignAnswer(1, AT, "Mira", "fuel-smell", "absent")
    rest = [s for s in sorted(look_places(shipped())) if s != "fuel-smell"]
    looked = [SignAnswer(n, AT, "Mira", sign, "absent", check="look-over") for n, sign in enumerate(rest, 2)]
    case = replace(told(), entries=(said, *looked))
    assert situation_of(case, shipped()).wet is not Wet.DRY
    auditor = Auditor(shipped())
    for entry in case.entries:
        auditor.saw(entry)
    assert auditor.objection(("watch-dash",))
    smelt = replace(
        case, entries=(*case.entries, SignAnswer(99, AT, "Mira", "fuel-smell", "absent", check="look-over"))
    )
    assert situation_of(smelt, shipped()).wet is Wet.DRY
