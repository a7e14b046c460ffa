"""The other commands, and what holds for all of them."""

from __future__ import annotations

import io
import json
import re
import subprocess
import sys
from importlib import import_module
from pathlib import Path

import pytest

from diag.casework.casefile import read_case, write_case
from diag.casework.entries import Note
from diag.casework.store import CaseStore
from diag.design.questions import QUESTIONS
from diag.presentation.report.weighing import SCHEMA
from diag.session.job import Job
from diag.support.errors import ExitCode
from diag.support.text import unfit
from diag.ui.cli.main import COMMANDS, main
from tests.presentation.report.jobs import job
from tests.ui.cli.conftest import RULES, Run
from tests.ui.plain.person import the_book

DEMO = "wren-pressure-stays-high"
README = (RULES.parent / "README.md").read_text(encoding="utf-8")
MINE = ("weigh", "jobs", "report", "log", "desk", "lint", "learn", "demo")


@pytest.mark.parametrize("command", sorted(COMMANDS))
def test_every_command_has_help_and_stands_in_the_readme(command: str, capsys: pytest.CaptureFixture[str]) -> None:
    """No command without --help or without a word in the README."""
    with pytest.raises(SystemExit) as end:
        main([command, "--help"])
    assert end.value.code == 0
    assert f"usage: diag {command}" in capsys.readouterr().out
    assert f"diag {command}" in README


@pytest.mark.parametrize("command", MINE)
def test_every_option_stands_in_the_readme(command: str) -> None:
    """Documentation and options cannot drift apart."""
    parser = import_module(COMMANDS[command][0]).parser()
    section = README.split("## Commands", 1)[1]
    for action in parser._actions:
        for option in action.option_strings:
            if option.startswith("--") and option != "--help":
                assert re.search(rf"{option}\b", section), f"diag {command} {option}"


def test_exit_codes_and_json_fields_stand_in_the_readme() -> None:
    """Every code a script can meet and every field of the weighing is explained."""
    codes = README.split("## Exit codes", 1)[1]
    for code in ExitCode:
        assert re.search(rf"^\| {int(code)} \|", codes, re.MULTILINE), code
    fields = README.split("## JSON fields", 1)[1]
    for name in SCHEMA["properties"]:
        assert f"`{name}`" in fields, name
    for name in SCHEMA["properties"]["next"]["properties"]:
        assert f"`{name}`" in fields, name


def test_light_commands_load_nothing_heavy() -> None:
    """The version, the help and lint's start need neither arrays nor screens."""
    code = (
        "import sys\nfrom diag.ui.cli.main import main\nmain(['--version']); main(['--help'])\n"
        "import diag.ui.cli.lint\n"
        "heavy = {'numpy', 'textual', 'rich', 'yaml', 'sqlite3'} & set(sys.modules)\nassert not heavy, heavy"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, cwd=RULES.parent, check=False)
    assert done.returncode == 0, done.stderr
    assert done.stdout.startswith("diag ")


def test_weighing_loads_no_screens() -> None:
    """A script that weighs a case must not pay for the screens; a real process, another folder, its exit code."""
    code = (
        "import sys\nfrom diag.ui.cli.main import main\n"
        f"code = main(['weigh', '--demo', '{DEMO}', '--json'])\n"
        "assert not {'textual', 'rich'} & set(sys.modules)\nsys.exit(code)"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, cwd="/", check=False,
        env={"PYTHONPATH": str(RULES.parent), "PATH": "/usr/bin:/bin", "DIAG_NO_CACHE": "1"},
    )  # fmt: skip
    assert done.returncode == 3, done.stderr
    assert json.loads(done.stdout)["schema"] == 1


# ------------------------------------------------------------------ demo and jobs


def test_demo_cases_are_listed_printed_and_copied(run: Run, tmp_path: Path) -> None:
    """The list names each with its title, printing gives a readable case, a copy can be found again."""
    code, out, _ = run("demo", "--list")
    assert code == 0
    assert DEMO in out
    code, out, _ = run("demo", DEMO)
    assert read_case(out).whole().entries
    (tmp_path / "jobs").mkdir()
    code, _, _ = run("demo", DEMO, "--copy", "--folder", str(tmp_path / "jobs"))
    assert code == 0
    assert CaseStore(tmp_path / "jobs").ids() == [DEMO]
    assert run("demo", DEMO, "--copy", "--folder", str(tmp_path / "jobs"))[0] == 2
    assert run("demo", "--copy")[0] == 2


def test_a_copied_case_is_worked_where_it_was_copied_to(
    run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """DIAG_FOLDER counts for working a job as it does for copying one."""
    monkeypatch.setenv("DIAG_FOLDER", str(tmp_path / "jobs"))
    assert run("demo", DEMO, "--copy")[0] == 0
    monkeypatch.setattr("sys.stdin", io.StringIO("note from the folder\nquit\n"))
    code, out, _ = run("work", "--plain", "--case", DEMO, "--who", "Mira")
    assert code == 0
    assert "Noted." in out
    entries = CaseStore(tmp_path / "jobs").read(DEMO).whole().entries
    assert [x.text for x in entries if isinstance(x, Note)][-1] == "from the folder"


def test_a_folder_that_cannot_be_made_is_one_line(run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A file where the folder of jobs should be is said, with the exit code of the disk."""
    (tmp_path / "file").write_text("", encoding="utf-8")
    monkeypatch.setenv("DIAG_FOLDER", str(tmp_path / "file" / "jobs"))
    code, _, err = run("demo", DEMO, "--copy")
    assert (code, err.count("\n")) == (4, 1)
    assert "Cannot make the folder" in err
    code, _, err = run("work", "--plain", "--folder", str(tmp_path / "file"), "--new", "Otter", "--who", "Mira")
    assert code == 4
    assert "something else of this name is in the way" in err


def test_work_refuses_an_unknown_option_in_one_line(run: Run) -> None:
    """No usage of many lines, as with every other command."""
    code, out, err = run("work", "--colour")
    assert (code, out, err.count("\n")) == (2, "", 1)
    assert "diag work --help" in err


def folder_of_jobs(folder: Path, causes: tuple[str, ...] = ("gauge-reads-high",)) -> None:
    """One open job and one closed and proven job per cause."""
    folder.mkdir()
    store = CaseStore(folder)
    work = Job.start(store, the_book(), "Otter long crank", "Mira")
    work.note("battery is new")
    work.close_file()
    for cause in causes:
        work = Job.start(store, the_book(), "Plover reads high", "Oskar")
        work.tell_car("fuel", "E85")
        work.done(the_book().causes[cause].remedies[0])
        work.finish("cured", (cause,), True)
        work.close_file()


def test_jobs_are_filtered_and_searched(run: Run, tmp_path: Path) -> None:
    """By status, words, car, cause and day, as text and as JSON."""
    folder = tmp_path / "jobs"
    folder_of_jobs(folder)

    def titles(*more: str) -> list[str]:
        code, out, _ = run("jobs", "--folder", str(folder), "--json", *more)
        assert code == 0
        return [found["title"] for found in json.loads(out)["jobs"]]

    assert sorted(titles()) == ["Otter long crank", "Plover reads high"]
    assert titles("battery", "NEW") == ["Otter long crank"]
    assert titles("--status", "closed") == ["Plover reads high"]
    assert titles("--car", "E85") == ["Plover reads high"]
    assert titles("--cause", "gauge-reads-high") == ["Plover reads high"]
    assert titles("--since", "2099-01-01") == []
    assert len(titles("--until", "2099-01-01", "--most", "1")) == 1
    assert run("jobs", "--folder", str(folder), "--since", "soon")[0] == 2
    assert run("jobs", "--folder", str(tmp_path / "none"))[0] == 4
    out = run("jobs", "--folder", str(folder))[1]
    assert "1 open" in out
    assert "cured (proven)" in out


def test_a_job_of_the_folder_is_found_by_a_part_of_its_name(run: Run, tmp_path: Path) -> None:
    """Any command that takes a case takes a job's name."""
    folder_of_jobs(tmp_path / "jobs")
    code, out, _ = run("weigh", "plover", "--folder", str(tmp_path / "jobs"), "--json")
    assert code == 0
    assert json.loads(out)["case"]["title"] == "Plover reads high"


# ------------------------------------------------------------------ report


def short_job(folder: Path) -> str:
    """A job of a few entries as a file."""
    path = folder / "wren.yaml"
    path.write_text(write_case(job()), encoding="utf-8")
    return str(path)


@pytest.mark.parametrize("form", ["text", "markdown", "html", "json"])
@pytest.mark.parametrize("audience", ["customer", "workshop"])
def test_reports_are_written_in_every_form(run: Run, tmp_path: Path, form: str, audience: str) -> None:
    """Eight reports, each recognisable, none with a control character."""
    code, out, _ = run("report", short_job(tmp_path), "--as", form, "--for", audience)
    assert code == 0
    assert "Wren" in out
    assert unfit(out.replace("\n", " ")) is None
    start = {"text": "Wren", "markdown": "# ", "html": "<!doctype html>", "json": "{"}[form]
    assert out.lower().startswith(start.lower())


def test_the_form_follows_the_file_name(run: Run, tmp_path: Path) -> None:
    """-o page.html needs no --as."""
    run("report", short_job(tmp_path), "-o", str(tmp_path / "page.html"))
    assert "<html" in (tmp_path / "page.html").read_text(encoding="utf-8")


def test_the_short_notes_have_their_own_options(run: Run, tmp_path: Path) -> None:
    """Suspect part, hand-over and summary, one at a time."""
    case = short_job(tmp_path)
    assert "Report on a suspect part" in run("report", case, "--suspect-part")[1]
    assert "Hand-over" in run("report", case, "--hand-over")[1]
    assert "read back" in run("report", case, "--summary")[1]
    assert run("report", "--demo", DEMO, "--summary", "--hand-over")[0] == 2
    assert run("report", "--demo", DEMO, "--summary", "--as", "html")[0] == 2


# ------------------------------------------------------------------ desk


def test_every_desk_question_is_answered_from_what_is_known(run: Run) -> None:
    """All questions, as text and as JSON, with their working."""
    figures = {
        "range": ["target-pressure=43.5", "regulator-low=30", "regulator-high=70", "boost=1 bar"],
        "odd": [],
    }
    for name in QUESTIONS:
        arguments = ["desk", name, *figures.get(name, [])]
        if name == "odd":
            continue
        code, out, err = run(*arguments)
        assert code == 0, (name, err)
        assert "Working:" in out, name
        data = json.loads(run(*arguments, "--json")[1])
        assert data["question"] == name
        assert data["answers"][0]["results"]


def test_what_if_answers_twice_and_a_picture_is_drawn(run: Run, tmp_path: Path) -> None:
    """The second answer has the changed figure; the picture is well-formed XML with the curve in it."""
    import xml.etree.ElementTree as ET

    known = ["pump-flow=255 L/h", "return-bore=5 mm", "return-length=3 m", "target-pressure=43.5"]
    path = tmp_path / "curve.svg"
    code, out, _ = run("desk", "return", *known, "--what-if", "return-bore=10 mm", "--svg", str(path))
    assert code == 0
    assert "And with return-bore = 10 mm" in out
    data = json.loads(run("desk", "return", *known, "--what-if", "return-bore=10 mm", "--json")[1])
    first, second = data["answers"]
    assert first["what_if"] == {}
    assert second["what_if"] == {"return-bore": "10 mm"}
    marks = [answer["curve"]["marks"][0][2] for answer in data["answers"]]
    assert marks[1] < marks[0], "a wider return has the lower floor"
    root = ET.fromstring(path.read_text(encoding="utf-8"))
    assert root.tag.endswith("svg")
    assert len(root.findall(".//{*}path")) > 5


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["desk", "retrun"], "return"),
        (["desk", "return", "return-bore"], "FIELD=VALUE"),
        (["desk", "return", "bore=3 mm"], "return-bore"),
        (["desk", "return", "return-bore=5 psi"], "Bore of the return line"),
        (["desk", "return", "return-bore=5 mm", "return-bore=6 mm"], "twice"),
        (["desk", "wire", "--svg", "never.svg"], "no curve"),
        (["desk", "odd", "shown=over 100 psi", "expected=43.5 psi"], "only a limit"),
        (["jobs", "--most", "0"], "--most 0"),
        (["desk", "rail", "vacuum=18", "boost=10 psi"], "at once"),
    ],
)
def test_bad_figures_are_refused_in_one_line(run: Run, arguments: list[str], words: str) -> None:
    """The field is named, and what to say instead."""
    code, out, err = run(*arguments)
    assert (code, out) == (2, "")
    assert words in err


# ------------------------------------------------------------------ lint and learn


def test_lint_names_place_rule_and_remedy(run: Run, tmp_path: Path) -> None:
    """A bad rule file gives code 2 and a line to click on; the same as JSON."""
    bad = tmp_path / "bad.yaml"
    bad.write_text("signs:\n  - sign: knocking\n    title: Knocks\n    colour: red\n", encoding="utf-8")
    code, out, err = run("lint", str(tmp_path))
    assert code == 2
    assert f"{bad.as_posix()}:4:5: error:" in out
    assert "errors" in err
    data = json.loads(run("lint", str(tmp_path), "--json")[1])
    assert data["errors"] >= 1
    assert any(f["line"] == 4 and f["level"] == "error" for f in data["findings"])
    assert "unused" in run("lint", "--rules")[1]


def test_learning_is_reviewed_switched_off_and_undone(run: Run, tmp_path: Path) -> None:
    """Counts go into a file of their own and never back into the book."""
    folder, overlay = tmp_path / "jobs", tmp_path / "overlay.yaml"
    folder_of_jobs(folder, ("gauge-reads-high", "gauge-reads-high", "return-kinked-or-blocked"))
    code, out, err = run("learn", str(folder), "-o", str(overlay))
    assert code == 0, err
    assert "3 jobs taught something: 3 one cause" in out
    assert "not closed: 1" in out
    data = json.loads(run("learn", "-o", str(overlay), "--review", "--json")[1])
    moved = {c["id"]: c for c in data["causes"]}
    assert moved["gauge-reads-high"]["jobs"] == 2
    assert moved["gauge-reads-high"]["share_learnt"] > moved["gauge-reads-high"]["share_of_book"]
    assert "SWITCHED OFF" in run("learn", "-o", str(overlay), "--off")[1]
    assert "in use" in run("learn", "-o", str(overlay), "--on")[1]
    assert run("learn", "-o", str(overlay), "--undo")[0] == 2, "there was nothing before the first count"
    run("learn", str(folder), "-o", str(overlay), "--strength", "50")
    assert "200 jobs" in run("learn", "-o", str(overlay), "--undo")[1]
    assert "4 jobs" in run("learn", str(folder), "--look-back")[1]
    assert json.loads(run("learn", str(folder), "--look-back", "--json")[1])["seen"]["jobs"] == 4


def test_learning_refuses_what_it_cannot_use(run: Run, tmp_path: Path) -> None:
    """No folder, no overlay, a strength out of range."""
    for arguments in (["learn"], ["learn", "/nowhere"], ["learn", str(tmp_path), "--review"],
                      ["learn", str(tmp_path), "--strength", "0"]):  # fmt: skip
        code, out, err = run(*arguments)
        assert (code, out) == (2, "")
        assert err.count("\n") == 1


def test_a_written_case_weighs_the_same_after_a_round_through_the_disk(run: Run, tmp_path: Path) -> None:
    """Weighing a file gives the ranking of the job that wrote it."""
    folder_of_jobs(tmp_path / "jobs")
    store = CaseStore(tmp_path / "jobs")
    name = next(i for i in store.ids() if "otter" in i)
    copy = tmp_path / "copy.yaml"
    copy.write_text(write_case(store.read(name).whole()), encoding="utf-8")
    one = json.loads(run("weigh", str(copy), "--json")[1])
    two = json.loads(run("weigh", name, "--folder", str(tmp_path / "jobs"), "--json")[1])
    assert one["causes"] == two["causes"]
