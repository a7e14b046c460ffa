"""Practice line by line, and its command."""

from __future__ import annotations

import io
from pathlib import Path

import pytest

from diag.practice.conversation import PracticeConversation
from diag.practice.finding import areas_of_checks, every_step, find_causes, find_steps
from diag.practice.session import begin
from diag.practice.state import Session
from diag.ui.cli.main import main
from tests.practice.rig import Script, dealt, first_deal, the_book

pytestmark = pytest.mark.slow  # several seconds: whole jobs, screens or processes


def talk(found: object, *answers: str) -> tuple[Session | None, Script]:
    """A conversation over a dealt car."""
    script = Script(answers)
    ended = PracticeConversation(begin(the_book(), found), script, lambda now: "the program's choice").run()  # type: ignore[arg-type]
    return ended, script


def test_the_whole_way_from_story_to_finish() -> None:
    """Search, be stopped, take the safe way, commit, repair, finish: all by words and numbers."""
    found = first_deal("loud-fault", lambda d: d.causes == ("pump-dead",))
    ended, script = talk(
        found, "find listen to the pump", "1", "yes", "yes", "hint", "causes pump dead", "1",
        "ready pump-volts-reading", "do renew-pump", "yes",
        "answers", "facts", "clock", "finish", "cured",
    )  # fmt: skip
    assert ended is not None
    assert ended.finished
    assert ended.named == ("pump-dead",)
    assert "renew-pump" in [t.step for t in ended.turns if t.kind == "done"]
    assert "STOP: Listen to the pump" in script.text
    assert "CARE: " in script.text  # cautions come before the question whether to do it
    assert "the program's choice" in script.text


def test_leaving_and_the_end_of_input_keep_no_result() -> None:
    """quit and a closed pipe both end it without a session."""
    assert talk(dealt("loud-fault", 1), "quit")[0] is None
    assert talk(dealt("loud-fault", 1), "do look-over")[0] is None


def test_what_is_not_understood_is_said_in_one_line() -> None:
    """Wrong names, numbers of no list, and words that fit nothing go on with the conversation."""
    ended, script = talk(
        dealt("loud-fault", 1), "do lisen-to-pump", "99", "area nowhere", "measure colour", "name", "qqqqzz", "",
        "finish give up",
    )  # fmt: skip
    assert ended is not None
    assert "Did you mean listen-to-pump" in script.text
    assert "There is no line 99" in script.text
    assert "There is no such area" in script.text
    assert "Nothing fits" in script.text


def test_a_missing_tool_is_offered_to_be_borrowed() -> None:
    """On the level without a gauge, yes borrows it and goes on to the reading."""
    found = first_deal("no-gauge", lambda d: not any(the_book().signs[s].wet for s in d.complaints))
    ended, script = talk(found, "ready base-pressure", "yes", "finish give up")
    assert ended is not None
    assert "Borrow what is missing" in script.text
    assert [t.step for t in ended.turns if t.kind == "done"][-1] == "base-pressure"


def test_a_repair_without_a_name_lists_its_causes() -> None:
    """The list that follows can be named by number."""
    found = first_deal("loud-fault", lambda d: d.causes == ("pump-dead",))
    ended, script = talk(found, "ready pump-volts-reading", "ready renew-pump", "name 1", "finish give up")
    assert ended is not None
    assert "Which of these is it" in script.text
    assert ended.named
    assert "renew-pump" in the_book().causes[ended.named[0]].remedies


@pytest.mark.parametrize(
    ("words", "step"),
    [("listen pump", "listen-to-pump"), ("base pressure", "base-pressure"), ("wet fuel look", "look-over"),
     ("adjuster sweep", "adjuster-sweep"), ("renew diaphragm", "renew-diaphragm")],
)  # fmt: skip
def test_steps_are_found_by_their_words(words: str, step: str) -> None:
    """What people type leads to the step among the first five."""
    assert step in [s.id for s in find_steps(the_book(), words)][:5]


def test_every_step_and_cause_can_be_reached() -> None:
    """Without words everything is listed, the look-over first; by area every check but the odd general one."""
    steps = find_steps(the_book(), "")
    assert {s.id for s in steps} == set(every_step(the_book()))
    assert steps[0].id == "look-over"
    assert set(find_causes(the_book(), "")) == set(the_book().causes)
    by_area = {name for names in areas_of_checks(the_book()).values() for name in names}
    assert len(by_area) > 0.9 * len(the_book().checks)


# ------------------------------------------------------------------ the command


@pytest.fixture
def _lines(monkeypatch: pytest.MonkeyPatch) -> None:
    """Four lines on standard input."""
    monkeypatch.setattr("sys.stdin", io.StringIO("do listen-to-pump\nno\ndo look-over\nfinish give up\n"))


@pytest.mark.usefixtures("_lines")
def test_the_command_practises_keeps_lists_and_replays(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A piped session ends with its debrief and is kept; list, progress, picture and replay then know it."""
    own = ["--who", "Mira", "--results", str(tmp_path)]
    assert main(["practice", "--seed", "2", "--level", "loud-fault", *own]) == 0
    said = capsys.readouterr().out
    assert "STOP: " in said
    assert "The debrief" in said
    assert "Kept as session 1 of Mira" in said
    assert main(["practice", "--list", *own]) == 0
    assert "loud-fault" in capsys.readouterr().out
    picture = tmp_path / "p.svg"
    assert main(["practice", "--progress", "--svg", str(picture), *own]) == 0
    assert "Mira: 1 session." in capsys.readouterr().out
    assert picture.read_text().startswith("<svg")
    assert main(["practice", "--replay", "1", *own]) == 0
    again = capsys.readouterr().out
    assert "The debrief" in again
    assert again.split("RESULT: ")[1].split("\n")[0] == said.split("RESULT: ")[1].split("\n")[0]


def test_the_command_refuses_what_it_cannot_do(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Unknown levels, numbers and sessions: one line, exit code 2."""
    own = ["--who", "Mira", "--results", str(tmp_path)]
    for wrong in (["--level", "9", "--plain"], ["--seed", "-4"], ["--replay", "3"], ["--svg", "x.svg"]):
        assert main(["practice", *wrong, *own]) == 2
        said = capsys.readouterr().err
        assert said.count("\n") == 1
    assert main(["practice", "--list", *own]) == 0
    assert "no practice session yet" in capsys.readouterr().out


def test_quitting_keeps_nothing_and_says_how_to_come_back(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """The command to have the same car again is told."""
    monkeypatch.setattr("sys.stdin", io.StringIO("quit\n"))
    assert main(["practice", "--seed", "5", "--who", "Mira", "--results", str(tmp_path)]) == 0
    assert "diag practice --level loud-fault --seed 5" in capsys.readouterr().out
    assert list(tmp_path.iterdir()) == []


def test_an_interrupt_says_how_to_come_back(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Ctrl+C while a line is awaited: no result, the car's number, exit code 130."""

    class Interrupted(io.StringIO):
        def readline(self, size: int | None = -1) -> str:
            raise KeyboardInterrupt

    monkeypatch.setattr("sys.stdin", Interrupted())
    assert main(["practice", "--seed", "5", "--who", "Mira", "--results", str(tmp_path)]) == 130
    assert "--seed 5" in capsys.readouterr().out
    assert list(tmp_path.iterdir()) == []
