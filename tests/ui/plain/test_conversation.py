"""Whole conversations in the line mode."""

from __future__ import annotations

import io
from pathlib import Path
from types import SimpleNamespace

import pytest

from diag.casework import entries as e
from diag.casework.agenda import Task
from diag.casework.store import CaseStore
from diag.decision.proposal import Proposal
from diag.decision.reason import Reason
from diag.rulebook.steps import Yield
from diag.safety.situation import Wet
from diag.support.text import unfit
from diag.ui.plain import step_words
from diag.ui.plain.conversation import Conversation
from diag.ui.plain.talk import LONGEST_ANSWER, Talk, line_from
from diag.ui.plain.working import try_answer
from tests.presentation.report.jobs import HOSTILE
from tests.ui.plain.person import Person, dry, ready, the_book


def kinds(person: Person) -> list[str]:
    """Classes of the entries written."""
    return [type(entry).__name__ for entry in person.room.job.case.entries]


def signs(person: Person) -> dict[str, e.SignAnswer]:
    """Answers about signs that count, by sign."""
    return {x.sign: x for x in person.room.job.case.effective() if isinstance(x, e.SignAnswer)}


def test_a_job_goes_from_complaint_over_measuring_and_repair_to_a_read_back_end() -> None:
    """The whole road of a mechanic: told, looked over, measured, mended, asked again, closed."""
    person = Person(
        ["tell pressure won't come down", "", dry, "do base-pressure", ready, "58.4 psi", "steady",
         "do clear-return", ready, "done 90", "still", "no", "finish", "1", "1", "yes", "runs clean"]
    ).run()  # fmt: skip
    case = person.room.job.case
    taken = [x for x in case.effective() if isinstance(x, e.ReadingTaken)]
    assert [(x.point, x.text) for x in taken] == [("pump-on-engine-off", "58.4 psi")]
    done = {x.step: x.minutes for x in case.effective() if isinstance(x, e.StepDone)}
    assert done["clear-return"] == 90.0
    outcome = next(x for x in case.effective() if isinstance(x, e.Outcome))
    assert (outcome.result, outcome.causes, outcome.proven) == ("cured", ("return-kinked-or-blocked",), True)
    assert outcome.text == "runs clean"
    assert "Understood: 58.4 psi" in person.said
    assert "Proof of the repair" in person.said
    assert "To read back before closing" in person.said
    assert signs(person)["pressure-wont-come-down"].answer == "absent"


def test_what_cannot_wait_is_said_first_and_stops_at_once(tmp_path: Path) -> None:
    """A smell told in the opening line brings the stop rule before anybody is asked who is at the car."""
    person = Person(["Otter stinks of petrol", "", "understood", "mechanic"], CaseStore(tmp_path)).run()
    assert signs(person)["fuel-smell"].answer == "present"
    assert person.said.index("STOP") < person.said.index("Who is at the car")


def test_a_caller_not_yet_known_is_told_to_step_away(tmp_path: Path) -> None:
    """By phone, danger told first is answered as for somebody without training, whoever it turns out to be."""
    script = ["Otter, puddle of petrol under the car", "", "understood", "mechanic"]
    person = Person(script, CaseStore(tmp_path), phone=True).run()
    assert "Step away and keep others away." in person.said
    assert "Catch the drip" not in person.said[: person.said.index("Who is at the car")]
    told = [x.person for x in person.room.job.case.entries if isinstance(x, e.PersonTold)]
    assert told == ["untrained", "mechanic"]


def test_who_is_to_step_away_is_asked_for_one_line_only(tmp_path: Path) -> None:
    """An untrained caller at a smelling car tells who is there and the fuel in one line; then the stop stands."""
    script = ["Otter smells of petrol", "", "understood", "untrained, petrol"]
    person = Person(script, CaseStore(tmp_path), phone=True).run()
    assert person.room.job.task.kind == "stop"
    assert person.room.job.standing.car.word("fuel") == "petrol"


def test_person_tools_and_papers_come_in_one_line(tmp_path: Path) -> None:
    """Who, helper, missing tools and the car's papers from one line; what was not told stays as it usually is."""
    told = "hobbyist with a helper, no gauge, no multimeter; petrol, target 43.5 psi, pump 255 lph, return 8 mm"
    person = Person(["Plover won't start", "", told, "quit"], CaseStore(tmp_path)).run()
    who = next(x for x in person.room.job.case.entries if isinstance(x, e.PersonTold))
    assert (who.person, who.by_phone, who.second_person, who.ventilated) == ("hobbyist", False, True, True)
    assert who.tools is not None
    assert set(the_book().tools) - set(who.tools) == {"pressure-gauge", "multimeter"}
    values = person.room.job.standing.car.values
    assert values["fuel"] == "petrol"
    assert float(values["target-pressure"]) == pytest.approx(43.5 * 6894.757, rel=1e-4)
    assert {"pump-flow", "return-bore"} <= set(values)
    assert person.given == 4


@pytest.mark.parametrize(
    ("lines", "helped", "called"),
    [
        (["mechanic, alone"], False, False),
        (["mechanic"], False, True),
        (["mechanic", "no helper"], False, False),
        (["mechanic, no helper", "have helper"], True, True),
        (["mechanic with a helper", "no gauge"], True, True),
    ],
)
def test_nobody_to_help_is_told_once_and_for_all(tmp_path: Path, lines: list[str], helped: bool, called: bool) -> None:
    """Told "alone" or "no helper" what takes two is off; while nothing is told somebody may be called."""
    script = ["Plover won't start", "", lines[0], *lines[1:], "quit"]
    now = Person(script, CaseStore(tmp_path)).run().room.now.situation
    assert now.second_person is helped
    assert now.alone is not (helped or called)


def test_the_opening_line_is_heard_with_or_without_a_title(tmp_path: Path) -> None:
    """Given as an argument or typed at the prompt, the first line is told and not only the job's name."""
    for title, script in (("Wren won't start", ["", "quit"]), ("", ["Wren won't start", "", "quit"])):
        person = Person(script, CaseStore(tmp_path / (title or "typed"))).run(title=title)
        assert signs(person)["no-start"].answer == "present"


def test_help_car_jobs_and_quit_work_in_the_middle_of_any_question(tmp_path: Path) -> None:
    """None of them becomes a job, a symptom or an answer; the same question comes again."""
    script = ["help", "jobs", "?", "car", "Wren won't start", "help", "?", "jobs", "", "car", "help", "quit"]
    person = Person(script, CaseStore(tmp_path)).run()
    assert len(CaseStore(tmp_path).ids()) == 1
    assert person.said.count("done [MINUTES]") == 3
    assert "There is no job yet." in person.said
    assert person.room.job.case.title == "Wren won't start"


def test_enter_takes_only_what_was_shown_ticked(tmp_path: Path) -> None:
    """What was not ticked is not entered, and stays in the person's own words."""
    person = Person(["Wren won't start. The parrot sings twice at dawn.", "", "", "quit"], CaseStore(tmp_path)).run()
    case = person.room.job.case
    assert {x.sign for x in case.effective() if isinstance(x, e.SignAnswer)} == {"no-start"}
    assert any("parrot" in x.text for x in case.effective() if isinstance(x, e.Note))


@pytest.mark.parametrize(
    ("line", "dry", "wet", "unknown"),
    [
        ("all dry", 9, 0, 0),
        ("wet filter, rest dry", 8, 1, 0),
        ("4 wet, 6 u, rest dry", 7, 1, 1),
        ("filter and tank wet, everything else dry", 7, 2, 0),
        ("tank could not see, others dry", 8, 0, 1),
        ("filter wet", 0, 1, 0),
    ],
)
def test_a_look_over_is_one_line_and_every_place_is_heard(line: str, dry: int, wet: int, unknown: int) -> None:
    """Each place is named first and entered by itself; what was not said stays open."""
    person = Person([line, "quit"]).run()
    assert "Places: 1 regulator cover; 2 fuel joint" in person.said
    answers = [x.answer for x in person.room.job.case.effective() if isinstance(x, e.SignAnswer)]
    assert (answers.count("absent"), answers.count("present"), answers.count("not known")) == (dry, wet, unknown)
    if wet:
        assert signs(person)["fuel-at-filter"].answer == "present"


@pytest.mark.parametrize("line", ["no", "yes", "none", "the moon is dry", "wet", "17 wet, rest dry", ""])
def test_a_line_that_names_no_place_dries_nothing(line: str) -> None:
    """A bare no, Enter, or a place that is none enters nothing."""
    person = Person([line, "quit"]).run()
    assert not [x for x in person.room.job.case.effective() if isinstance(x, e.SignAnswer) and x.answer == "absent"]


def test_several_things_told_in_one_breath_are_all_written_down() -> None:
    """Enter takes what is ticked; the wet one is written down first."""
    told = "tell stinks of petrol and the pressure wont come down"
    person = Person([told, "", "understood", "quit"])
    found = person.run().said
    assert "[x] Pressure will not come down: yes" in found
    assert "[x] Smell of fuel: yes" in found
    told = [x.sign for x in person.room.job.case.effective() if isinstance(x, e.SignAnswer)]
    assert told[0] == "fuel-smell"
    assert set(told) == {"fuel-smell", "pressure-wont-come-down"}


def test_a_figure_of_the_car_is_told_back_with_its_unit() -> None:
    """A bare number takes the usual unit, and the person sees which."""
    told = ["car pump-flow = 600", "car target-pressure = 43.5", "car fuel = E85", "car boost = ?"]
    person = Person([*told, "quit"]).run()
    assert "Rated pump flow: 600 L/h" in person.after(0)
    assert "43.5 psi" in person.after(1)
    assert "Fuel: E85." in person.after(2)
    assert "Boost: not known." in person.after(3)


def test_one_loose_question_claims_no_minutes_and_a_setup_says_where_it_leads() -> None:
    """One question of a list is no three minutes' work; what must be done first names the work it is done for."""
    book = the_book()
    ask = (Yield(sign="no-start"),)
    asked = Proposal("check", "ask-start-story", "Ask how it starts", (), (Reason("one question"),), ask=ask)
    now = SimpleNamespace(book=book, proposal=asked)
    lines = step_words.head_lines(now, Task("sign", "ask-start-story", "no-start"), book.checks["ask-start-story"])
    assert lines[0] == "Next check: Ask how it starts."
    assert book.checks["ask-start-story"].why in lines[1]
    mend = Proposal("remedy", "bigger-return", "Lay a bigger return line", ("pressure-released",), (Reason("needed"),))
    now = SimpleNamespace(book=book, proposal=mend)
    lines = step_words.head_lines(now, Task("do", "pressure-released"), book.setups["pressure-released"])
    assert lines[0].startswith("First: Release the pressure. About ")
    assert "It leads to the remedy: Lay a bigger return line." in lines[-1]


def test_why_in_the_middle_of_a_check_proposes_nothing_else() -> None:
    """Between two places of the look-over the reasons are those of the look-over."""
    person = Person(["no", "why", "quit"]).run()
    assert "Proposed otherwise" not in person.said


def test_nothing_that_runs_the_pump_is_proposed_before_the_dry_look() -> None:
    """A free choice meets the same wall, with the reason, and the way to it begins with the look-over."""
    person = Person(["do base-pressure", dry, "quit"]).run()
    assert "The way to it begins with something else" in person.said
    first = next(x for x in person.room.job.case.entries if isinstance(x, e.SignAnswer))
    assert first.check == "look-over"


def test_a_leak_must_be_acknowledged_before_anything_goes_on() -> None:
    """After wet fuel is told, every other word is put off until the stop rule was understood."""
    person = Person(["1 wet", "causes", "understood", "quit"]).run()
    assert "STOP: Fuel outside the system" in person.after(0)
    assert "This must be acknowledged first" in person.after(1)
    assert "Acknowledged" in kinds(person)
    assert person.room.job.standing.situation.wet.value == "wet"


def test_a_mistaken_leak_is_taken_back_at_the_stop() -> None:
    """Whoever slipped can undo right there, and the stop is over."""
    person = Person(["1 wet", "undo", "1 dry", "quit"]).run()
    assert "STOP" in person.after(0)
    assert "Taken back" in person.after(1)
    assert signs(person)["fuel-at-cap"].answer == "absent"
    assert "STOP" not in person.after(2)


def test_the_way_back_from_wet_fuel_is_walked_in_its_order() -> None:
    """Fuse out, pressure released, repair, dry look, prime, look, run, look: each asked in turn, then dry again."""
    steps: list[tuple[str, str]] = []

    def onward(room: Conversation) -> str | None:
        if "Say understood" in person.chunks[-1]:
            return "understood"
        now = room.now.situation
        if now.wet is Wet.DRY:
            return None
        task = room.task
        step = (task.step, now.proof_stage)
        if not steps or steps[-1] != step:
            steps.append(step)
        if task.kind in ("do", "remedy"):
            return "done"
        return dry(room) or "no"

    person = Person(["person mechanic with a helper", "1 wet", "understood", dry, "do retighten-cover", onward, "quit"])
    person.run()
    assert steps == [
        ("fuse-out", ""),
        ("pressure-released", ""),
        ("retighten-cover", ""),
        ("look-over-after-repair", "dry look"),
        ("prime-two-seconds", "two second prime"),
        ("look-over-after-repair", "look again"),
        ("run-sixty-seconds", "sixty second run"),
        ("look-over-after-repair", "final look"),
    ]
    assert "Proof of the repair" in person.said
    assert "No longer in force: Repaired, not yet proven dry." in person.said


def test_why_speaks_of_a_step_chosen_freely_too() -> None:
    """What the chosen step is for, and what would have been proposed."""
    person = Person([dry, "do fuel level", "why", "quit"]).run()
    said = person.after(1)
    assert "Proposed otherwise" in said or person.room.task.step == person.room.now.proposal.step


def test_unsure_second_hand_skip_and_not_known_are_kept_apart() -> None:
    """How sure and whose eyes is written down with the answer."""
    person = Person(["one by one", "no, unsure", "second hand no", "skip", "u", "quit"]).run()
    told = list(signs(person).values())
    assert [(x.answer, x.sure, x.source) for x in told] == [
        ("absent", "unsure", "own eyes"),
        ("absent", "sure", "second hand"),
        ("not known", "sure", "own eyes"),
        ("not known", "sure", "own eyes"),
    ]
    assert told[0].text == "no, unsure"


def test_cannot_later_and_reasons_are_written_down() -> None:
    """A step that is refused says why."""
    person = Person(["cannot no lamp here", "later", "quit"]).run()
    refused = [(x.why, x.text) for x in person.room.job.case.entries if isinstance(x, e.StepRefused)]
    assert refused[0] == ("cannot", "no lamp here")
    assert refused[1][0] == "later"


def test_nonsense_values_are_refused_in_one_line_and_asked_again() -> None:
    """A length for a pressure, text for a number, nan: one clear line, no entry, the same question."""
    person = Person([dry, "do base-pressure", ready, "5 ft", "lots", "nan", "1e9 psi", "43 psi", "quit"]).run()
    for number in range(2, 6):
        said = person.after(number - 1)
        assert "Rail pressure" in said.split("\n")[0], said
    taken = [x.text for x in person.room.job.case.effective() if isinstance(x, e.ReadingTaken)]
    assert taken == ["43 psi"]


def test_an_earlier_answer_is_changed_with_before_and_after() -> None:
    """What if changes nothing; edit does, and says what moved."""
    person = Person([dry, "do base-pressure", ready, "58.4 psi", "steady", "what if 22 = 43.5 psi", "quit"])
    person.run()
    number = next(x.number for x in person.room.job.case.entries if isinstance(x, e.ReadingTaken))
    script = [dry, "do base-pressure", ready, "58.4 psi", "steady", f"what if {number} = 43.5 psi",
              f"edit {number} = 43.5 psi", f"take back {number} misread", "quit"]  # fmt: skip
    person = Person(script).run()
    what_if, edited = person.after(3), person.after(4)
    assert "Nothing was changed." in what_if
    assert "rose from" in what_if or "fell from" in what_if
    moved = [line for line in what_if.splitlines() if "rose from" in line or "fell from" in line]
    assert moved
    assert moved[0] in edited
    assert not [x for x in person.room.job.case.effective() if isinstance(x, e.ReadingTaken)]
    assert next(x.why for x in person.room.job.case.entries if isinstance(x, e.Retracted)) == "misread"


def test_things_told_unasked_do_not_break_a_check_in_progress() -> None:
    """After something told in the middle of a look-over, the look-over goes on where it was."""
    person = Person(["one by one", "no", "no", "tell black smoke", "", "no", "quit"]).run()
    assert "Question 4 of 9" in person.after(5)
    assert list(signs(person))[:2] == ["fuel-at-cap", "fuel-at-joint"]


def test_the_car_can_be_told_listed_and_taken_back() -> None:
    """Fields by name or words; what cannot be is refused with the field's name."""
    person = Person(
        ["car return-bore = 8 mm", "car idle vacuum = 18", "car return-bore = 5 psi", "car nonsense = 3", "car",
         "car return-bore =", "car bigger-pump-fitted = yes", "quit"]
    ).run()  # fmt: skip
    values = person.room.job.standing.car.values
    assert "return-bore" not in values
    assert person.room.job.standing.evidence.contexts["bigger-pump-fitted"]
    assert float(values["idle-vacuum"]) == pytest.approx(18 * 3386.389, rel=1e-4)
    assert "Bore of the return line" in person.after(2)
    assert "No one field is called" in person.after(3)
    assert "Worth finding out" in person.after(4)


def test_the_desk_answers_from_the_cars_figures() -> None:
    """What the car tells is not asked again; every other figure may be left out."""
    person = Person(["car target-pressure = 43.5 psi", "car target-hose = off", "desk rail", *[""] * 9, "quit"]).run()
    assert "Rail pressure to expect" in person.said
    assert "What should the rail pressure be" not in person.said.split("desk rail")[-1]


def test_several_jobs_are_open_at_once(tmp_path: Path) -> None:
    """A second call comes in, the first is gone back to, and both files are on disk."""
    opening = ["", "hobbyist"]
    person = Person(
        ["Otter won't start", *opening, "note first", "new Plover won't idle", *opening, "note second", "jobs",
         "switch 1", "note third", "quit"],
        CaseStore(tmp_path),
    ).run()  # fmt: skip
    store = CaseStore(tmp_path)
    notes = {name: [x.text for x in store.read(name).whole().entries if isinstance(x, e.Note)] for name in store.ids()}
    assert sorted(notes.values()) == [["first", "third"], ["second"]]
    assert person.said.count("(this one)") == 1


def test_a_job_of_the_folder_is_gone_on_with(tmp_path: Path) -> None:
    """The list offers what is not closed; a number opens it, with its entries."""
    Person(["Wren", "", "", "note before lunch", "quit"], CaseStore(tmp_path)).run()
    person = Person(["1", "entries", "quit"], CaseStore(tmp_path)).run()
    assert "1. Wren, open" in person.said
    assert "before lunch" in person.after(1)


def test_the_phone_desk_hears_the_words_to_read_aloud() -> None:
    """Steps are worded for the caller, and the person at the car is told once."""
    person = Person(["person untrained, no tools", "quit"], phone=True).run()
    assert "Read aloud:" in person.said
    told = next(x for x in person.room.job.case.entries if isinstance(x, e.PersonTold))
    # Nobody said that no helper can be called.
    assert (told.person, told.by_phone, told.tools) == ("untrained", True, ("helper",))


def test_the_end_of_input_saves_and_stops(tmp_path: Path) -> None:
    """End of file at any prompt ends the conversation; what was answered is in the file."""
    person = Person(["Wren"], CaseStore(tmp_path)).run()
    assert person.code == 0
    (name,) = CaseStore(tmp_path).ids()
    assert f"Every answer given so far is on disk. {name}" in person.said


def test_help_lists_every_command_and_explains_one() -> None:
    """Nothing is hidden."""
    from diag.ui.plain.commands import listed

    person = Person(["help", "help finish", "help nothing", "?", "", "gibberish here", "quit"]).run()
    for command in listed():
        assert f"\n{command.name}" in person.after(0), command.name
    assert "summary to read back" in person.after(1)
    assert "There is no command" in person.after(2)
    assert "regulator" in person.after(3)
    assert "no answer and no command" in person.after(5)


def test_every_looking_command_says_something_and_changes_nothing() -> None:
    """Commands that look leave no entry behind."""
    looks = ["why", "steps", "aloud", "cautions", "stops", "causes", "causes 3", "cause 1", "cause nothing-wrong",
             "cause torn diaphragm", "change", "others", "entries", "readings", "time", "shop", "shop base pressure",
             "summary", "report customer", "report workshop", "jobs"]  # fmt: skip
    person = Person([dry, *looks, "quit"]).run()
    before = len([x for x in person.room.job.case.entries if isinstance(x, e.SignAnswer)]) + 1
    assert len(person.room.job.case.entries) == before
    for number, look in enumerate(looks):
        said = person.after(number)
        assert len(said) > 12, look
        assert "no answer and no command" not in said, look


def test_hostile_words_reach_no_terminal() -> None:
    """Escapes, direction overrides and markup typed into every kind of answer come back harmless."""
    evil = HOSTILE.split("\n")[0]
    person = Person(
        [f"note {evil}", f"tell {evil}", f"keep mark {evil}", f"cannot {evil}", f"hand over {evil}: {evil}", evil,
         f"car fuel = {evil}", "entries", "report workshop", "summary", "quit"]
    ).run()  # fmt: skip
    assert unfit(person.said) is None
    assert "\x1b" not in person.said


def test_a_full_disk_is_told_and_no_answer_is_lost(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The answer stays in memory, the person is told, and the exit code says storage."""
    from diag.casework.open_case import OpenCase
    from diag.support.errors import StorageError

    def full(self: OpenCase, case: e.Case) -> None:
        raise StorageError("Cannot write.", "The disk is full.")

    person = Person(["Wren", "", "", "", "", "", "", "", "", "", "", "note kept", "quit"], CaseStore(tmp_path))
    monkeypatch.setattr(OpenCase, "save", full)
    person.run()
    assert "NOT ON DISK YET" in person.said
    assert person.code == 4
    assert any(isinstance(x, e.Note) for x in person.room.job.case.entries)


def test_lines_are_folded_for_a_terminal_only() -> None:
    """A pipe gets one paragraph a line; a terminal gets its width, words and hyphens unbroken."""
    text = "- " + "well-known words " * 20
    for width, most in ((0, len(text)), (60, 60)):
        said: list[str] = []
        Talk(lambda: None, said.append, width).say(text)
        lines = "".join(said).rstrip("\n").split("\n")
        assert max(map(len, lines)) <= most
        assert (len(lines) == 1) == (width == 0)
        assert not any(line.endswith("well-") for line in lines)


def test_an_endless_line_is_cut_and_its_rest_is_no_further_answer() -> None:
    """What does not fit an answer is dropped up to the end of the line."""
    stream = io.StringIO("x" * (3 * LONGEST_ANSWER) + "\nyes\nlast")
    assert line_from(stream) == "x" * LONGEST_ANSWER
    assert (line_from(stream), line_from(stream), line_from(stream)) == ("yes", "last", None)


def test_piped_answers_are_repeated_in_the_transcript() -> None:
    """With echo, the transcript shows what was answered."""
    said: list[str] = []
    lines = iter(["first", None])
    talk = Talk(lambda: next(lines), said.append, echo=True)
    assert (talk.ask("Name"), talk.ask("Name")) == ("first", None)
    assert "".join(said) == "Name > first\nName > \n"
    assert talk.ended


def test_enter_reads_long_work_one_step_at_a_time() -> None:
    """Enter never answers; in a piece of work it reads the next step."""
    person = Person([dry, "do clear-return", "", "", "quit"]).run()
    assert "Step 1 of" in person.after(1)
    assert "Step 2 of" in person.after(2)


def test_an_answer_that_is_no_answer_is_left_to_the_commands() -> None:
    """A question takes only what answers it."""
    person = Person(["quit"]).run()
    assert not try_answer(person.room, person.room.task, "finish")
    assert "Places: 1 regulator cover" in person.said


def test_a_number_always_means_a_step_that_was_listed() -> None:
    """The ranking's numbers belong to cause; do without a list of steps says so instead of doing nothing."""
    person = Person(["causes", "do 1", "quit"]).run()
    assert "Say others to see the list." in person.said
