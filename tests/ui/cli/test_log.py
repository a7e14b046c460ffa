"""``diag log``: columns confirmed once, results told, drawn, and put into a job."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest

from diag.casework.entries import Note, ReadingTaken
from diag.casework.store import CaseStore
from diag.session.job import Job
from diag.support.errors import ExitCode
from tests.datalog.simulated import Made, as_text, made_log
from tests.ui.cli.conftest import Run
from tests.ui.plain.person import the_book

TEXT = as_text(made_log(Made(minutes=2.5, scale=2.0 / 3.0)).columns)


@pytest.fixture
def file(tmp_path: Path) -> Path:
    """A log whose sensor has the wrong range entered."""
    path = tmp_path / "second-run.csv"
    path.write_text(TEXT)
    return path


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A folder of jobs with one of a car with a log."""
    job = Job.start(CaseStore(tmp_path / "jobs", "Mira"), the_book(), "Otter: the log reads low", "Mira")
    for field, text in (("target-pressure", "43.5 psi"), ("fuel", "petrol"), ("boost", "13 psi")):
        job.tell_car(field, text)
    job.close_file()
    return tmp_path / "jobs"


def test_it_tells_and_draws(run: Run, file: Path) -> None:
    """Columns, phases, results with intervals, doubts, and three pictures of plain characters."""
    code, out, err = run("log", file, "--target", "43.5 psi")
    assert code == ExitCode.DONE
    for heading in ("Columns", "Phases", "What the log says", "Doubts about the sensors", "Pressures over time"):
        assert heading in out
    assert "Rail pressure over manifold pressure:\n  slope 0.66" in out
    assert "Pressure across the injectors over fuel flow" in out
    assert re.search(r"Slope of rail over manifold pressure: 0\.6[67]\d \(0\.6", out)
    assert "not confirmed" in err
    assert out.isascii()
    assert max(map(len, out.splitlines())) <= 80


def test_columns_are_confirmed_once(run: Run, file: Path) -> None:
    """--yes remembers the layout; the next log with these headings needs nothing."""
    assert "not confirmed" in run("log", file, "--no-plot")[2]
    run("log", file, "--yes", "--no-plot")
    assert "not confirmed" not in run("log", file, "--no-plot")[2]


def test_unconfirmed_columns_never_enter_a_job(run: Run, file: Path, folder: Path) -> None:
    """They are shown, and nothing is written."""
    code, _, err = run("log", file, "--add-to", "otter", "--folder", folder)
    assert code == ExitCode.BAD_INPUT
    assert "--yes" in err
    assert "Rail pressure: column" in err
    assert not any(isinstance(e, ReadingTaken) for e in case_in(folder).entries)


def case_in(folder: Path) -> object:
    """The one case of a folder."""
    store = CaseStore(folder)
    case = store.read(store.ids()[0]).case
    assert case is not None
    return case


def test_one_log_settles_a_wrong_range(run: Run, file: Path, folder: Path) -> None:
    """Every result becomes a reading with its own error and the log's name; the ranking follows."""
    code, out, _ = run("log", file, "--yes", "--released", "--add-to", "otter", "--folder", folder, "--no-plot")
    assert code == ExitCode.DONE
    readings = [e for e in case_in(folder).entries if isinstance(e, ReadingTaken)]  # type: ignore[attr-defined]
    assert {e.point for e in readings} >= {"log-at-rest", "log-pump-on", "idle-hose-on", "cruise", "full-load"}
    assert all(e.log == "second-run.csv" and e.error > 0.0 and e.gauge == "sensor" for e in readings)
    notes = [e.text for e in case_in(folder).entries if isinstance(e, Note)]  # type: ignore[attr-defined]
    assert any("slope 0.66" in note for note in notes)
    ranking = out.split("Likeliest now:")[1].strip().splitlines()
    assert "Sensor range entered too small" in ranking[0]


def test_a_log_is_of_another_time(run: Run, file: Path, folder: Path) -> None:
    """Its readings neither make the system live now nor clear anything about wet fuel."""
    run("log", file, "--yes", "--add-to", "otter", "--folder", folder, "--no-plot")
    store = CaseStore(folder)
    job = Job.open(store, the_book(), store.ids()[0], "Mira")
    assert job.standing.situation.wet.value == "unknown"
    assert job.standing.situation.pressure.value == "unknown"
    job.close_file()


def test_pictures_and_data(run: Run, file: Path, tmp_path: Path) -> None:
    """SVG files that are XML, and JSON with the documented kind."""
    from xml.etree import ElementTree

    run("log", file, "--yes", "--svg", tmp_path, "--no-plot")
    names = sorted(path.name for path in tmp_path.glob("*.svg"))
    assert names == [f"second-run-{n}.svg" for n in ("injectors-over-flow", "rail-over-manifold", "traces")]
    for name in names:
        root = ElementTree.fromstring((tmp_path / name).read_text())
        assert root.find("{http://www.w3.org/2000/svg}title") is not None
    assert "1:1" in (tmp_path / names[1]).read_text()
    told = json.loads(run("log", file, "--json")[1])
    assert told["kind"] == "log"
    assert told["logs"][0]["slope"]["low"] < 0.667 < told["logs"][0]["slope"]["high"] + 0.01


def test_the_report_shows_the_log(run: Run, file: Path, folder: Path) -> None:
    """Results and pictures stand in the workshop's page; unconfirmed columns are refused."""
    name = CaseStore(folder).ids()[0]
    code, _, err = run("report", name, "--folder", folder, "--log", file, "--as", "html")
    assert code == ExitCode.BAD_INPUT
    assert "diag log" in err
    run("log", file, "--yes", "--no-plot")
    page = run("report", name, "--folder", folder, "--log", file, "--as", "html")[1]
    assert "Data log second-run.csv" in page
    assert page.count("<svg") >= 3
    assert "Data log second-run.csv" not in run(
        "report", name, "--folder", folder, "--log", file, "--as", "html", "--for", "customer"
    )[1]  # fmt: skip


@pytest.mark.parametrize(
    ("options", "says"),
    [(("--channel", "nonsense=RPM"), "no channel"), (("--channel", "engine speed=XYZ"), "no column"),
     (("--channel", "rail pressure=Fuel Pressure (psi)=furlong"), "no unit"), (("--rate", "0"), "cannot be"),
     (("--svg", "/nowhere/at/all"), "no folder")],
)  # fmt: skip
def test_mistakes_are_one_clear_line(options: tuple[str, ...], says: str, run: Run, file: Path) -> None:
    """What is wrong with an option is said, and nothing else happens."""
    code, out, err = run("log", file, *options)
    assert code == ExitCode.BAD_INPUT
    assert says in err.splitlines()[-1]
    assert out == ""
