"""From entries to standing: evidence, epochs, situation, phases, comparison."""

from __future__ import annotations

from dataclasses import replace

import pytest

from diag.casework import entries as e
from diag.casework import record
from diag.casework.evidence_of import told_by
from diag.casework.replay import Standing, before_set_ups, compare, standing
from diag.casework.situation_of import situation_of
from diag.presentation.changes import change_words
from diag.safety.situation import Pressure, Situation, Wet
from tests.casework.test_record import BOOK, EMPTY, PSI, WHEN
from tests.decision.steps import PLACES


def look(
    case: e.Case, *wet: str, sure: e.Sure = "sure", source: e.Source = "own eyes", check: str = "look-over"
) -> e.Case:
    """A whole look-over; the places named are wet."""
    for place in PLACES:
        answer = "present" if place in wet else "absent"
        case = record.answer_sign(case, BOOK, place, answer, check=check, sure=sure, source=source, **WHEN)
    return case


def done(case: e.Case, *names: str) -> e.Case:
    """Steps carried out."""
    for name in names:
        case = record.step_done(case, BOOK, name, **WHEN)
    return case


def where(case: e.Case) -> Situation:
    """The situation."""
    return situation_of(case, BOOK)


class TestWetFuel:
    """Dry only after a whole, certain look that nothing has ended since."""

    def test_unknown_then_dry(self) -> None:
        """Place by place: dry only with the last one."""
        case = EMPTY
        for n, place in enumerate(PLACES):
            assert where(case).wet is Wet.UNKNOWN
            case = record.answer_sign(case, BOOK, place, "no", check="look-over", **WHEN)
            assert where(case).wet is (Wet.DRY if n == len(PLACES) - 1 else Wet.UNKNOWN)

    @pytest.mark.parametrize(("sure", "source"), [("unsure", "own eyes"), ("sure", "second hand")])
    def test_doubt_counts_as_wet(self, sure: e.Sure, source: e.Source) -> None:
        """Unsure and second-hand answers never make a car dry."""
        assert where(look(EMPTY, sure=sure, source=source)).wet is Wet.UNKNOWN
        assert where(look(EMPTY, sure=sure, source=source)).looked
        case = record.answer_sign(look(EMPTY), BOOK, PLACES[0], "no", sure=sure, source=source, **WHEN)
        assert where(case).wet is Wet.UNKNOWN

    def test_could_not_see(self) -> None:
        """A place not seen keeps the car from being dry, and ends dry when told later."""
        case = record.answer_sign(look(EMPTY), BOOK, PLACES[1], "could not see", **WHEN)
        assert where(case).wet is Wet.UNKNOWN

    @pytest.mark.parametrize("sure", ["sure", "unsure"])
    def test_any_wet_answer_is_wet(self, sure: e.Sure) -> None:
        """One wet place, also an unsure one, also a wet sign outside the look-over."""
        for sign in (*PLACES, "paper-wet"):
            case = record.answer_sign(look(EMPTY), BOOK, sign, "yes", sure=sure, **WHEN)
            assert where(case).wet is Wet.WET
            assert where(look(case)).wet is Wet.WET  # a dry look does not undo it

    def test_what_ends_dry(self) -> None:
        """A joint opened, a remedy, a hand-over, an edited answer, a taken-back step."""
        dry = look(EMPTY)
        assert where(dry).wet is Wet.DRY
        assert where(done(dry, "gauge-fitted")).wet is Wet.UNKNOWN
        assert where(done(dry, "set-pressure")).wet is Wet.UNKNOWN
        assert where(record.handed_over(dry, "Ben", **WHEN)).wet is Wet.UNKNOWN
        assert where(record.retract(dry, 2, **WHEN)).wet is Wet.UNKNOWN
        again = record.made(record.answer_sign(dry, BOOK, PLACES[1], "no", check="look-over", **WHEN))
        assert where(record.replace(dry, 2, again, **WHEN)).wet is Wet.UNKNOWN
        assert where(look(record.replace(dry, 2, again, **WHEN))).wet is Wet.DRY
        assert where(record.note(dry, "tea", **WHEN)).wet is Wet.DRY
        assert where(done(dry, "hose-off", "listen")).wet is Wet.DRY

    def test_a_check_counts_with_its_setups(self) -> None:
        """A reading of a check that needed a gauge says that a joint was opened."""
        case = record.answer_sign(look(EMPTY), BOOK, "too-high", "yes", check="gauge", **WHEN)
        situation = where(case)
        assert situation.wet is Wet.UNKNOWN
        assert {"gauge-fitted", "hose-off"} <= situation.setups
        assert situation.pressure is Pressure.UP
        assert "gauge" in situation.done

    def test_the_way_back(self) -> None:
        """Wet, fuse, release, repair, look, prime, look, run, look: dry. Without the release: still wet."""
        wet = look(EMPTY, PLACES[0])
        assert where(done(wet, "tighten-cap")).wet is Wet.WET
        case = done(wet, "fuse-out", "pressure-released-fuse-out", "tighten-cap")
        assert where(case).proof_stage == "dry look"
        case = look(case, check="look-over-after-repair")
        assert where(case).proof_stage == "two second prime"
        assert where(look(case)).proof_stage == "two second prime"  # looking twice skips nothing
        case = done(case, "prime-two-seconds")
        assert where(case).proof_stage == "look again"
        case = done(look(case), "run-sixty-seconds")
        assert where(case).proof_stage == "final look"
        assert where(look(case)).wet is Wet.DRY
        assert where(look(case, PLACES[2])).wet is Wet.WET
        assert where(record.handed_over(case, "Ben", **WHEN)).proof_stage == "dry look"

    def test_correcting_a_wet_answer_asks_for_a_new_look(self) -> None:
        """A mistyped wet answer taken back leaves unknown, not dry."""
        case = look(EMPTY, PLACES[0])
        assert where(record.retract(case, 1, **WHEN)).wet is Wet.UNKNOWN


class TestSituation:
    """People, tools, refusals and stop rules."""

    def test_person(self) -> None:
        """The last word about the person counts."""
        case = record.person_told(EMPTY, BOOK, "untrained", by_phone=True, tools=["multimeter"], **WHEN)
        situation = where(case)
        assert (situation.person, situation.by_phone, situation.tools) == ("untrained", True, frozenset({"multimeter"}))
        assert "hands-off" in situation.stops

    def test_refusals(self) -> None:
        """Cannot and later are kept apart, and end when it is done after all."""
        case = record.step_refused(EMPTY, BOOK, "listen", "cannot", **WHEN)
        case = record.step_refused(case, BOOK, "volts", "later", **WHEN)
        assert (where(case).refused, where(case).later) == (frozenset({"listen"}), frozenset({"volts"}))
        assert where(done(case, "listen")).refused == frozenset()

    def test_stop_facts(self) -> None:
        """A sign that is there (unsure counts) puts its rule in force until it is seen gone."""
        case = record.answer_sign(EMPTY, BOOK, "fuel-in-hose", "yes", sure="unsure", **WHEN)
        assert "fuel-in-hose" in where(case).stops
        assert "fuel-in-hose" not in where(record.answer_sign(case, BOOK, "fuel-in-hose", "no", **WHEN)).stops
        high = record.take_reading(EMPTY, BOOK, "rail pressure", "pump-on", "95", **WHEN)
        assert "high" in where(high).stops
        low = record.take_reading(high, BOOK, "rail pressure", "pump-on", "60", **WHEN)
        assert "high" not in where(low).stops

    def test_fuel_and_methanol(self) -> None:
        """Rules about the fuel listen to the car."""
        case = record.car_fact(EMPTY, BOOK, "fuel", "methanol", **WHEN)
        case = record.person_told(case, BOOK, "untrained", **WHEN)
        assert "methanol" in where(case).stops

    def test_a_done_list_starts_anew_after_a_remedy(self) -> None:
        """What was answered before the repair may be asked again."""
        case = record.answer_sign(EMPTY, BOOK, "whine", "yes", check="listen", **WHEN)
        assert "listen" in where(case).done
        assert "listen" not in where(done(case, "renew-pump")).done


class TestEvidence:
    """Epochs, certainty, contexts, measured vacuum, unknown names."""

    def test_a_remedy_begins_an_epoch(self) -> None:
        """The causes it cures, its botch, and later answers in the new epoch."""
        case = done(record.answer_sign(EMPTY, BOOK, "whine", "yes", **WHEN), "renew-regulator")
        case = record.answer_sign(case, BOOK, "whine", "no", **WHEN)
        evidence = told_by(case, BOOK).evidence
        assert evidence.epochs[1].cured == {"seat-small", "diaphragm-torn"}
        assert evidence.epochs[1].botch == pytest.approx(0.05)
        assert [f.epoch for f in evidence.findings] == [0, 1]

    def test_certainty_becomes_a_chance_of_being_wrong(self) -> None:
        """Sure, unsure and second hand as the book says."""
        knobs = BOOK.knobs
        for sure, source, wrong in (
            ("sure", "own eyes", knobs.sure_wrong),
            ("unsure", "own eyes", knobs.unsure_wrong),
            ("sure", "second hand", knobs.second_hand_wrong),
        ):
            case = record.answer_sign(EMPTY, BOOK, "whine", "yes", sure=sure, source=source, **WHEN)  # type: ignore[arg-type]
            assert told_by(case, BOOK).evidence.findings[0].wrong == wrong

    def test_one_answer_per_sign_and_epoch(self) -> None:
        """Said twice is said once; a change of mind counts."""
        case = record.answer_sign(EMPTY, BOOK, "whine", "yes", sure="unsure", **WHEN)
        case = record.answer_sign(case, BOOK, "whine", "yes", **WHEN)
        case = record.answer_sign(case, BOOK, "starves", "no", **WHEN)
        case = record.answer_sign(case, BOOK, "starves", "yes", **WHEN)
        case = record.answer_sign(case, BOOK, "starts", "?", **WHEN)
        found = {f.sign: (f.answer, f.entry) for f in told_by(case, BOOK).evidence.findings}
        assert found == {"whine": ("present", 2), "starves": ("present", 4)}

    def test_contexts_told_and_derived(self) -> None:
        """Alcohol follows from the fuel; a told fact overrides it."""
        case = record.car_fact(EMPTY, BOOK, "fuel", "E85", **WHEN)
        assert told_by(case, BOOK).evidence.contexts == {"alcohol-fuel": True}
        case = record.car_fact(case, BOOK, "alcohol-fuel", "no", **WHEN)
        assert told_by(case, BOOK).evidence.contexts == {"alcohol-fuel": False}

    def test_measured_vacuum_refines_the_rail_reading_of_the_same_check(self) -> None:
        """Only readings at the same point in the same check get it."""
        case = record.take_reading(EMPTY, BOOK, "rail pressure", "idle-hose-on", "35", check="gauge", **WHEN)
        case = record.take_reading(case, BOOK, "manifold vacuum", "idle-hose-on", "18", check="gauge", **WHEN)
        case = record.take_reading(case, BOOK, "rail pressure", "pump-on", "43.5", check="gauge", **WHEN)
        case = record.take_reading(case, BOOK, "rail pressure", "idle-hose-on", "36", check="pinch", **WHEN)
        idle, vacuum, engine_off, other = told_by(case, BOOK).evidence.readings
        assert idle.conditions["vacuum"] == pytest.approx(18 * 3386.389, rel=1e-4)
        assert idle.value == pytest.approx(35 * PSI)
        for untouched in (vacuum, engine_off, other):
            assert "vacuum" not in untouched.conditions

    def test_what_this_book_does_not_know_is_a_problem_not_an_error(self) -> None:
        """A case worked with another book still replays."""
        case = record.answer_sign(EMPTY, BOOK, "whine", "yes", **WHEN)
        old = e.SignAnswer(2, WHEN["at"], "Ann", "old-sign", "present")
        stray = e.StepDone(3, WHEN["at"], "Ann", "old-step")
        fact = e.CarFact(4, WHEN["at"], "Ann", "target-pressure", "5 ft")
        reading = e.ReadingTaken(5, WHEN["at"], "Ann", "old reading", "pump-on", "1", 1.0, 1.0, 1.0)
        case = replace(case, entries=(*case.entries, old, stray, fact, reading))
        told = told_by(case, BOOK)
        assert len(told.evidence.findings) == 1
        assert len(told.problems) == 4
        assert "old-sign" in " ".join(told.problems)
        assert where(case).wet is Wet.UNKNOWN

    @pytest.mark.parametrize(
        ("changes", "says"),
        [
            ({"value": 1e30, "low": 1e30, "high": 1e30}, "outside what this can be"),
            ({"low": 4e5, "high": 2e5}, "between its low and its high"),
            ({"conditions": {"vaccum": 6e4}}, "vaccum"),
            ({"conditions": {"vacuum": 9e9}}, "cannot be"),
        ],
    )
    def test_a_reading_spoilt_by_hand_is_left_out_and_named(self, changes: dict[str, object], says: str) -> None:
        """Figures that no gauge can show decide nothing, and do not end the program."""
        case = record.take_reading(EMPTY, BOOK, "rail pressure", "idle-hose-on", "43.5", **WHEN)
        case = record.take_reading(case, BOOK, "rail pressure", "pump-on", "43.5", **WHEN)
        case = replace(case, entries=(replace(case.entries[0], **changes), case.entries[1]))
        told = told_by(case, BOOK)
        assert [r.entry for r in told.evidence.readings] == [2]
        assert len(told.problems) == 1
        assert told.problems[0].startswith("Entry 1 is left out: ")
        assert says in told.problems[0]

    def test_a_coarse_gauge_widens_its_readings_and_a_fine_one_changes_nothing(self) -> None:
        """Grade D is 5 % of its span (ASME B40.100): 15 psi on a 300 psi dial, half of that as standard deviation."""
        case = record.take_reading(EMPTY, BOOK, "rail pressure", "pump-on", "43.5 psi", **WHEN)
        assert told_by(case, BOOK).evidence.readings[0].error is None
        case = record.car_fact(case, BOOK, "gauge-span", "100 psi", **WHEN)
        fine = record.car_fact(case, BOOK, "gauge-grade", "1A", **WHEN)
        assert told_by(fine, BOOK).evidence.readings[0].error is None
        case = record.car_fact(case, BOOK, "gauge-span", "300 psi", **WHEN)
        coarse = record.car_fact(case, BOOK, "gauge-grade", "D", **WHEN)
        error = told_by(coarse, BOOK).evidence.readings[0].error
        kind = BOOK.readings["rail pressure"]
        assert error is not None
        assert error**2 + kind.offset**2 == pytest.approx((7.5 * PSI) ** 2 + kind.error**2)


def words_only(case: e.Case) -> Standing:
    """Standing with the small book, which has no physical causes."""
    return standing(case, BOOK)


class TestStanding:
    """The whole road, phases and comparison."""

    def test_phases_of_a_job(self) -> None:
        """Story, checking, remedy or proof, closed."""
        case = record.answer_sign(EMPTY, BOOK, "too-high", "yes", **WHEN)
        assert words_only(case).phase == "story"
        assert words_only(case).proposal.step == "look-over"
        case = look(case)
        assert words_only(case).phase == "checking"
        case = done(record.answer_sign(case, BOOK, "whine", "yes", check="listen", **WHEN), "renew-pump")
        assert words_only(case).phase == "proof"
        case = record.outcome(case, BOOK, "cured", ["pump-worn"], proven=True, **WHEN)
        assert words_only(case).phase == "closed"

    def test_cautions_follow_the_proposal(self) -> None:
        """Hazards of the step and its setups, each once."""
        case = look(EMPTY)
        found = words_only(case)
        wanted = {h for s in (*found.proposal.setups, found.proposal.step) for h in hazards(s)}
        assert {h.id for h in found.cautions} == wanted

    def test_replay_is_a_pure_function(self) -> None:
        """Twice the same; taking an answer back gives the earlier belief."""
        before = look(EMPTY)
        case = record.answer_sign(before, BOOK, "whine", "yes", check="listen", **WHEN)
        assert words_only(case).belief.ranked() == words_only(case).belief.ranked()
        undone = record.retract(case, case.entries[-1].number, **WHEN)
        assert words_only(undone).belief.ranked() == words_only(before).belief.ranked()

    def test_explanations_name_the_entry_that_spoke(self) -> None:
        """The answer about the hose speaks for the torn diaphragm, and by its own entry's number."""
        case = record.answer_sign(look(EMPTY), BOOK, "fuel-in-hose", "yes", check="pull-hose", **WHEN)
        spoke = {x.entry: x.log10["diaphragm-torn"] for x in words_only(case).explanations}
        assert max(spoke, key=lambda n: spoke[n]) == case.entries[-1].number
        assert spoke[case.entries[-1].number] > 0.5

    def test_a_cache_changes_nothing(self) -> None:
        """Models are kept by book and car."""
        cache: dict = {}  # type: ignore[type-arg]
        first = standing(look(EMPTY), BOOK, cache)
        second = standing(look(EMPTY), BOOK, cache)
        assert first.model is second.model
        assert second.belief.ranked() == standing(look(EMPTY), BOOK).belief.ranked()

    def test_compare_tells_what_an_answer_did(self) -> None:
        """Who rose, who leads now, what came into force."""
        before = look(EMPTY)
        after = record.answer_sign(before, BOOK, "fuel-in-hose", "yes", check="pull-hose", **WHEN)
        difference = compare(words_only(before), words_only(after))
        assert difference.moved[0].cause == "diaphragm-torn"
        assert difference.moved[0].after > difference.moved[0].before
        assert difference.leader_after == "diaphragm-torn"
        text = " ".join(change_words(difference))
        assert "leads now" in text
        assert "Now in force: fuel in hose" in text
        same = compare(words_only(before), words_only(before))
        assert same.moved == ()
        assert same.nothing
        assert change_words(same) == ()

    def test_free_choices_meet_the_same_wall(self) -> None:
        """The verdict on any step, also one nobody proposed."""
        assert not words_only(EMPTY).verdict("listen").allowed
        assert words_only(look(EMPTY)).verdict("listen").allowed
        assert not words_only(EMPTY).verdict("no-such-step").allowed


def hazards(step_id: str) -> tuple[str, ...]:
    """Hazards of a step of the small book."""
    for shelf in (BOOK.checks, BOOK.setups, BOOK.remedies):
        if step_id in shelf:
            return shelf[step_id].hazards
    return ()


def test_a_size_told_after_it_was_renewed_is_not_the_old_one() -> None:
    """The bore of the new return told after fitting it leaves the readings of before with the old bore."""
    from diag.rulebook.load import load_book
    from diag.rulebook.where import rules_folder
    from diag.session.job import Job
    from diag.session.kept import new_case

    book = load_book(rules_folder())
    work = Job(new_case(book, "Wren"), book)
    work.tell_car("return-bore", "6 mm")
    work.done("bigger-return")
    work.tell_car("return-bore", "11 mm")
    work.tell_car("pump-flow", "340 L/h")
    assert work.standing.car.number("return-bore") == pytest.approx(0.006)
    assert work.standing.car.number("pump-flow") == pytest.approx(340e-3 / 3600)


def test_what_is_told_of_a_part_after_its_renewal_never_rewrites_the_old_one() -> None:
    """Every remedy of the book, every field that tells of a part it renews: the car as it came in stays what it was."""
    from diag.casework.evidence_of import told_by
    from diag.fuelsystem.fields import FIELD_OF, FIELDS, fields_of
    from diag.rulebook.load import load_book
    from diag.rulebook.where import rules_folder

    book, at = load_book(rules_folder()), "2026-11-25T13:00:00Z"
    pairs = 0
    for remedy in book.remedies.values():
        for field in fields_of(remedy.redraws):
            pairs += 1
            spec = FIELDS[field]
            old, new = spec.choices[:2] if spec.choices else (f"{spec.low:g}", f"{spec.high:g}")
            facts = [e.CarFact(1, at, "Mira", field, old), e.StepDone(2, at, "Mira", remedy.id),
                     e.CarFact(3, at, "Mira", field, new)]  # fmt: skip
            case = e.Case("wren", "Wren", at, "1", "", entries=tuple(facts))
            before = e.Case("wren", "Wren", at, "1", "", entries=tuple(facts[:1]))
            assert told_by(case, book).car == told_by(before, book).car, (remedy.id, field)
    assert pairs >= 14
    assert set(FIELD_OF.values()) <= set(FIELDS)
    assert fields_of(["set pressure"]) == set()


def test_the_way_just_made_ends_where_something_was_learned() -> None:
    """Set-ups and dry looks belong to it; an answer, a reading or a wet place begins anew."""
    setup = next(iter(BOOK.setups))
    case = look(EMPTY)
    assert before_set_ups(case, BOOK) is None
    on_the_way = look(done(case, setup))
    assert before_set_ups(on_the_way, BOOK) == case
    assert before_set_ups(look(done(case, setup), PLACES[0]), BOOK) is None


def test_where_set_ups_lead_is_the_same_kept_or_worked_out_and_never_that_of_another_way() -> None:
    setup = next(iter(BOOK.setups))
    cache: dict[object, object] = {}
    for begun in (EMPTY, look(EMPTY), done(look(EMPTY), next(iter(BOOK.remedies)))):
        for case in (done(begun, setup), look(done(begun, setup))):
            before = before_set_ups(case, BOOK)
            meant = standing(before, BOOK).proposal if before is not None else None
            aim = (meant.toward or meant.step) if meant is not None and meant.kind in ("check", "remedy") else ""
            fresh = standing(case, BOOK).aim
            kept = [standing(case, BOOK, cache).aim for _ in range(2)]  # type: ignore[arg-type]
            assert [fresh, *kept] == [aim] * 3
