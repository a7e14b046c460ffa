"""Deeds with what they showed, ticks with who is there, a whole check, and the end of a job: each in one line."""

from __future__ import annotations

from pathlib import Path

import pytest

from diag.casework import entries as e
from diag.casework.store import CaseStore
from diag.safety.situation import Wet
from diag.session.heard import parts_denied
from diag.session.people import parted
from diag.ui.plain.hearing import shown as hear_shown
from tests.casework.test_stop_ledger import shipped
from tests.ui.plain.person import Person, dry

RELEASED_AND_DRY = ["do base-pressure", "done all; all dry"]


def done(person: Person) -> list[str]:
    """The steps carried out, in order."""
    return [x.step for x in person.room.job.case.effective() if isinstance(x, e.StepDone)]


def read(person: Person) -> list[tuple[str, str]]:
    """The values read, with their points."""
    return [(x.point, x.text) for x in person.room.job.case.effective() if isinstance(x, e.ReadingTaken)]


def test_deeds_and_the_look_after_them_are_told_in_one_line() -> None:
    """Pressure let off, gauge fitted, and the four places of the opened joint, all of them named before."""
    person = Person(["tell pressure won't come down", "", dry, *RELEASED_AND_DRY]).run()
    assert {"pressure-released", "gauge-fitted"} <= set(done(person))
    assert person.room.now.situation.wet is Wet.DRY
    shown = person.after(2)
    assert "Then: Fit the pressure gauge at the rail." in shown
    assert "Places: 1 fuel joint; 2 fuel rail or injectors; 3 drip or puddle under the car; 4 smell of fuel." in shown
    assert "done all; all dry" in shown


def test_a_setup_and_its_reading_are_told_in_one_line() -> None:
    """The value alone says that the pump was run for it; a value that cannot be enters neither."""
    start = ["tell pressure won't come down", "", dry, *RELEASED_AND_DRY, "do base-pressure"]
    person = Person([*start, "900 psi", "58.4 psi"]).run()
    assert read(person) == [("pump-on-engine-off", "58.4 psi")]
    assert done(person).index("pump-held-on") < len(done(person))
    refused = Person([*start, "900 psi"]).run()
    assert read(refused) == []
    assert "pump-held-on" not in done(refused)


def test_what_was_not_announced_is_not_taken() -> None:
    """A wet place in the same line is a stop; a line that is no answer leaves the question open."""
    start = ["tell pressure won't come down", "", dry, "do base-pressure"]
    wet = Person([*start, "done all; 1 wet, rest dry"]).run()
    assert wet.room.now.situation.wet is Wet.WET
    assert "STOP" in wet.said
    odd = Person([*start, "done all; fine"]).run()
    assert "is no answer to what follows" in odd.said
    assert odd.room.now.situation.wet is Wet.UNKNOWN


def test_a_caller_is_told_one_deed_at_a_time() -> None:
    """What is read aloud line by line is not chained, and nothing is taken ahead of it."""
    person = Person(["person mechanic", "tell pressure won't come down", "", dry, *RELEASED_AND_DRY], phone=True).run()
    assert "Then: Fit" not in person.said
    assert "gauge-fitted" not in done(person)


@pytest.mark.parametrize(
    ("line", "person_told", "papers"),
    [
        ("; mechanic, no gauge; petrol, target 3 bar", "mechanic", {"target-pressure": "3 bar", "fuel": "petrol"}),
        ("1; untrained, no tools", "untrained", {}),
        ("hobbyist; return 8 mm", "hobbyist", {"return-bore": "8 mm"}),
    ],
)
def test_who_is_there_and_the_papers_may_follow_the_ticks(
    line: str, person_told: str, papers: dict[str, str], tmp_path: Path
) -> None:
    """What was told there is not asked for; the ticks are taken as they stand, or as chosen before the semicolon."""
    person = Person(["Wren won't start", line], CaseStore(tmp_path)).run()
    case = person.room.job.case
    (told,) = [x for x in case.effective() if isinstance(x, e.PersonTold)]
    assert told.person == person_told
    assert {x.field: x.text for x in case.effective() if isinstance(x, e.CarFact)} == papers
    assert [x.sign for x in case.effective() if isinstance(x, e.SignAnswer)] == ["no-start"]
    assert "Who is at the car" not in person.said


def test_ticks_and_corrections_go_in_one_line(tmp_path: Path) -> None:
    """One added, one corrected, one left out."""
    person = Person(
        ["Wren won't start, the pump is silent, black smoke", "-3, 2 = its usual hum; mechanic"], CaseStore(tmp_path)
    ).run()
    answers = {x.sign: x.answer for x in person.room.job.case.effective() if isinstance(x, e.SignAnswer)}
    assert answers == {"no-start": "present", "pump-sound": "normal"}


def test_a_proven_cure_is_closed_by_one_line() -> None:
    """What every check after the repair proved is read out before it is taken; nothing proven, nothing taken."""
    person = Person(["tell the reference hose came off", "", "finish yes", "", "quit"]).run()
    assert not any(isinstance(x, e.Outcome) for x in person.room.job.case.entries)


def test_skip_passes_over_all_that_was_put_together(tmp_path: Path) -> None:
    """Where one line asks several questions, one word leaves the check; asked one by one it leaves the question."""
    start = ["won't start", "", "mechanic", "all dry", "do swap-relay"]
    store = CaseStore(tmp_path / "jobs")
    person = Person([*start, "skip", "quit"], store).run()
    left = [x.step for x in person.room.jobs[0].case.effective() if isinstance(x, e.StepRefused)]
    assert left == ["swap-relay"]
    singly = Person([*start, "one by one", "skip", "quit"], CaseStore(tmp_path / "others")).run()
    assert not any(isinstance(x, e.StepRefused) for x in singly.room.jobs[0].case.effective())


def test_what_is_not_offered_is_kept_as_said(tmp_path: Path) -> None:
    """A long story brings more doubtful pieces than are shown; the words of the others are named and noted."""
    story = (
        "fine for a while then it goes odd, the pedal feels strange, a pump once, the heater ticks, it bucks, dies "
        "like it is out, the dash looks normal, the wheel shakes a bit, the clutch bites late"
    )
    person = Person([story, "", "", "quit"], CaseStore(tmp_path)).run()
    hearing = person.room.listener.hear(story)
    offered = hear_shown(hearing)
    hidden = [piece.words for piece in hearing.heard if piece not in offered]
    kept = " ".join(x.text for x in person.room.jobs[0].case.effective() if isinstance(x, e.Note))
    assert all(words in kept for words in hidden if len(words.split()) > 1)


def test_ticks_are_taken_by_an_answer_to_the_question_before_them() -> None:
    """What was heard is entered as it is ticked, and then the answer; a line that is neither is refused as before."""
    told = "tell it smokes black from the exhaust"
    person = Person(["tell pressure won't come down", "", told, "all dry"]).run()
    signs = {x.sign: x.answer for x in person.room.job.case.effective() if isinstance(x, e.SignAnswer)}
    assert signs["black-smoke"] == "present"
    assert person.room.now.situation.wet is Wet.DRY
    odd = Person(["tell pressure won't come down", "", told, "blue seats"]).run()
    assert "That was not understood" in odd.said
    assert odd.room.now.situation.wet is Wet.UNKNOWN


def test_done_and_the_answer_are_taken_at_a_question_too() -> None:
    """Where nothing but the looking is left to do."""
    person = Person(["tell pressure won't come down", "", "done; all dry"]).run()
    assert person.room.now.situation.wet is Wet.DRY


def test_a_tool_that_a_step_was_refused_for_is_proposed_no_more() -> None:
    """ "Cannot, no hand pump" is told of the whole job."""
    person = Person(["tell pressure won't come down", "", dry, "cannot, no hand pump"]).run()
    assert "hand-vacuum-pump" not in (person.room.now.situation.tools or ())
    assert "hand vacuum pump" in person.said


def test_who_is_there_is_taken_after_a_semicolon_of_the_first_line() -> None:
    """And never becomes a sign; complaints before it may hold semicolons of their own."""
    for told in (
        "no start; cranks well; caller, alone, no tools",
        "no start; hobbyist, no gauge; in-tank pump 190 L/h",
    ):
        complaint, rest = parted(told)
        assert complaint.startswith("no start")
        assert rest.startswith(("caller", "hobbyist"))


def test_a_wet_place_is_found_by_the_words_of_its_question() -> None:
    """A union at the bulkhead is one of the joints; "smell of fuel" is the place of just that name."""
    line = "wet at the feed union at the bulkhead, smell of fuel, rest dry"
    person = Person(["tell pressure won't come down", "", line]).run()
    signs = {x.sign: x.answer for x in person.room.job.case.effective() if isinstance(x, e.SignAnswer)}
    assert {name for name, answer in signs.items() if answer == "present" and name.startswith("fuel")} == {
        "fuel-at-joint",
        "fuel-smell",
    }
    assert signs["fuel-at-filter"] == signs["fuel-at-tank"] == "absent"


@pytest.mark.parametrize("word", ["not dry", "isn't dry", "no longer dry"])
def test_a_place_that_is_not_dry_is_wet(word: str) -> None:
    """And one that is not wet is dry."""
    person = Person(["tell pressure won't come down", "", f"filter {word}, rest dry"]).run()
    assert person.room.now.situation.wet is Wet.WET
    calm = Person(["tell pressure won't come down", "", "filter not wet, rest dry"]).run()
    assert calm.room.now.situation.wet is Wet.DRY


def test_a_stop_is_read_before_what_was_told_beside_the_answer() -> None:
    """ "Yes, and it drips from the nipple" raises the stop at once; nothing is offered to tick before it."""
    start = ["tell spark plugs are black and sooty", "", dry, "do pull the reference hose"]
    person = Person([*start, "yes, it drips from the nipple", "understood"]).run()
    assert "fuel-in-reference" in {rule.id for rule in person.room.now.stops}
    assert "STOP" in person.said
    assert person.said.count("Understood:") == 1  # the complaint's own


def test_a_part_that_is_not_there_is_a_fact_whatever_it_was_the_reason_for() -> None:
    """Of every part that the book asks about by name, in the ways people say that there is none."""
    for name in (
        "has-adjuster",
        "has-charger",
        "has-test-port",
        "has-reference-hose",
        "has-surge-pot",
        "has-rail-damper",
    ):
        part = {"has-charger": "turbo"}.get(name, name.removeprefix("has-").replace("-", " "))
        for told in (f"no {part}", f"the car has no {part}", f"there isn't a {part}", f"without a {part}"):
            assert parts_denied(told, shipped()) == (name,), told
    assert parts_denied("it's raining", shipped()) == parts_denied("the adjuster is seized", shipped()) == ()
