"""``diag weigh``: for people, for scripts, from files, from standard input."""

from __future__ import annotations

import io
import json
import sys
from dataclasses import replace
from pathlib import Path

import jsonschema
import pytest

from diag.casework import entries as e
from diag.casework.casefile import write_case
from diag.casework.replay import standing
from diag.presentation.report.weighing import SCHEMA, weighing
from diag.presentation.report.weighing_text import weighing_text
from diag.presentation.stop_rules import is_danger, to_be_told
from diag.session.job import Job
from diag.session.kept import new_case
from diag.support.text import unfit
from tests.presentation.report.jobs import hostile_job, job
from tests.ui.cli.conftest import Run
from tests.ui.plain.person import the_book

DEMO = "wren-pressure-stays-high"


def written(tmp_path: Path, case: e.Case, name: str = "job.yaml") -> str:
    """The case as a file."""
    path = tmp_path / name
    path.write_text(write_case(case), encoding="utf-8")
    return str(path)


def told(*signs: str) -> e.Case:
    """A job in which some signs were told as present."""
    work = Job(new_case(the_book(), "Otter"), the_book(), who="Mira")
    for sign in signs:
        work.answer_sign(sign, "yes")
    return work.case


def test_the_json_keeps_its_documented_layout(run: Run, tmp_path: Path) -> None:
    """A case fits the schema, with and without the explanation; the likeliest cause comes first."""
    case = written(tmp_path, job())
    for more in ([], ["--explain"]):
        code, out, _ = run("weigh", case, "--json", *more)
        data = json.loads(out)
        jsonschema.validate(data, SCHEMA, jsonschema.Draft202012Validator)
        assert code == 3
        chances = [cause["chance"] for cause in data["causes"]]
        assert chances == sorted(chances, reverse=True)
        assert data["next"]["reason"]
        assert data["case"]["id"] == job().id
        assert (data["explain"] is None) == (not more)
        assert out.isascii()


def test_the_explanation_holds_weights_and_predictions(run: Run, tmp_path: Path) -> None:
    """58.4 psi with the hose off lies above what a sound car with a target of 43.5 psi shows; every entry is told."""
    data = json.loads(run("weigh", written(tmp_path, job()), "--json", "--explain")[1])
    reading = next(r for r in data["explain"]["readings"] if r["at"] == "pump-on-engine-off")
    low, mean, high = reading["predicted_si"]["healthy"]
    assert low < mean < high < reading["value_si"]
    weights = {w["entry"]: w["log10"] for w in data["explain"]["weights"]}
    assert set(weights) >= {reading["entry"]}
    assert all(set(w) == set(next(iter(weights.values()))) for w in weights.values())


def test_the_schema_is_printed_and_is_a_schema(run: Run) -> None:
    """What --schema prints is valid by the rules of JSON Schema itself, and is what the tests use."""
    code, out, _ = run("weigh", "--schema")
    assert code == 0
    jsonschema.Draft202012Validator.check_schema(json.loads(out))
    assert json.loads(out) == json.loads(json.dumps(SCHEMA))


def test_the_schema_refuses_another_layout() -> None:
    """The validator is awake: another version, a missing field and a chance above one are refused."""
    data = weighing(standing(job(), the_book()))
    for name, value in (("schema", 2), ("settled", "no"), ("causes", [{"id": "x"}])):
        with pytest.raises(jsonschema.ValidationError):
            jsonschema.validate(data | {name: value}, SCHEMA)
    wrong = data | {"causes": [data["causes"][0] | {"chance": 1.5}]}
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate(wrong, SCHEMA)


def test_ranking_and_next_step_are_those_of_the_engine(run: Run) -> None:
    """The command adds nothing of its own."""
    from diag.casework.casefile import read_case
    from diag.rulebook.where import cases_folder

    case = read_case((cases_folder() / f"{DEMO}.yaml").read_text(encoding="utf-8")).whole()
    now = standing(case, the_book())
    data = json.loads(run("weigh", "--demo", DEMO, "--json")[1])
    assert [(c["id"], c["chance"]) for c in data["causes"][:5]] == now.belief.ranked()[:5]
    assert data["next"]["step"] == now.proposal.step
    assert [s["id"] for s in data["must_not"]] == [rule.id for rule in now.stops]


def test_the_text_says_causes_step_reason_and_cautions(run: Run, tmp_path: Path) -> None:
    """What a person needs, unsafe things first, at most 78 characters wide."""
    code, out, err = run("weigh", written(tmp_path, told("pressure-wont-come-down")))
    assert code == 3
    assert not err
    for words in ("NOT YET", "Causes", "Next check", "Cautions for this step", "Rule book"):
        assert words in out
    assert max(map(len, out.splitlines())) <= 78


def test_a_case_is_read_from_standard_input(run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    """The dash stands for standard input; the answer is the same as from the file."""
    from diag.rulebook.where import cases_folder

    data = (cases_folder() / f"{DEMO}.yaml").read_bytes()
    monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(data)))
    code, out, _ = run("weigh", "-", "--json")
    assert code == 3
    assert json.loads(out)["causes"] == json.loads(run("weigh", "--demo", DEMO, "--json")[1])["causes"]


def test_wet_fuel_ends_with_the_code_for_unsafe(run: Run, tmp_path: Path) -> None:
    """Code 5, the stop rule first, what to do now and until when."""
    path = written(tmp_path, told("fuel-under-car"))
    code, out, _ = run("weigh", path)
    assert code == 5
    assert out.index("STOP: Fuel outside the system") < out.index("Causes")
    assert "Now: do not turn the key" in out
    assert "Until:" in out
    data = json.loads(run("weigh", path, "--json")[1])
    assert data["unsafe"]
    assert data["wet"] == "wet"
    assert any(rule["id"] == "wet-fuel" and rule["finding"] and rule["do_now"] for rule in data["must_not"])


def test_a_fresh_job_is_undecided_but_not_unsafe(run: Run, tmp_path: Path) -> None:
    """The standing rule 'nobody has looked yet' is named, and does not count as a finding."""
    path = written(tmp_path, told("pressure-wont-come-down"))
    code, out, _ = run("weigh", path)
    assert code == 3
    assert "NOT YET: Nobody has looked for wet fuel yet" in out
    assert "Next check: Look over" in out


def test_a_closed_job_is_settled(run: Run, tmp_path: Path) -> None:
    """Code 0 once the job is closed."""
    work = Job(told("pressure-wont-come-down"), the_book(), who="Mira")
    while work.task.step == "look-over":
        work.answer_task(work.task, "no")
    work.finish("cured", ("seat-too-small",), False)
    assert run("weigh", written(tmp_path, work.case))[0] == 0


def test_every_rule_about_a_finding_is_a_danger() -> None:
    """Only rules that hold from the first minute are left out, and those about what is only likely."""
    found = [rule for rule in the_book().stops.values() if not is_danger(rule)]
    standing_rules = {rule.id for rule in found if not any(fact.startswith("likely:") for fact in rule.when)}
    assert standing_rules == {"wet-unknown", "untrained-hands-off", "methanol-untrained"}


def test_no_two_orders_at_once_for_an_untrained_caller(run: Run, tmp_path: Path) -> None:
    """The general rule says 'catch the drip', the one for untrained people 'step away': only the second is told."""
    work = Job(new_case(the_book(), "Bramble"), the_book(), who="Mira")
    work.tell_person("untrained", by_phone=True)
    work.answer_sign("fuel-under-car", "yes")
    path = written(tmp_path, work.case)
    told = {rule["id"]: rule["told"] for rule in json.loads(run("weigh", path, "--json")[1])["must_not"]}
    assert (told["wet-fuel"], told["wet-fuel-untrained"]) == (False, True)
    for arguments in (["weigh", path], ["report", path, "--hand-over"], ["report", path, "--summary"]):
        out = run(*arguments)[1]
        assert "Step away" in out, arguments
        assert "Catch the drip" not in out, arguments
    trained = to_be_told([the_book().stops[name] for name in ("wet-unknown", "methanol-wet", "wet-fuel")])
    assert [rule.id for rule in trained] == ["methanol-wet", "wet-fuel", "wet-unknown"], "what adds something stays"


def test_a_damaged_file_is_named_with_line_and_column(run: Run, tmp_path: Path) -> None:
    """Code 2, where it is, and the readable part on request."""
    text = Path(written(tmp_path, job())).read_text(encoding="utf-8")
    path = tmp_path / "bad.yaml"
    path.write_text(text.replace("answer: present", "answer: [present", 1), encoding="utf-8")
    code, out, err = run("weigh", str(path))
    assert code == 2
    assert not out
    assert f"{path}:" in err
    assert "--readable-part" in err
    code, out, _ = run("weigh", str(path), "--readable-part", "--json")
    assert code in (3, 5)
    assert any("bad.yaml" in text for text in json.loads(out)["problems"])


def test_unknown_names_are_told_with_their_place_in_the_file(run: Run, tmp_path: Path) -> None:
    """Also names that the ranking never looks at, such as the cause of an outcome."""
    case = told("pressure-wont-come-down")
    case = replace(case, entries=(*case.entries, e.Outcome(2, case.opened, "Mira", "cured", ("gremlins",))))
    path = written(tmp_path, case)
    line = next(n for n, text in enumerate(Path(path).read_text(encoding="utf-8").split("\n"), 1) if "entry: 2" in text)
    _, out, _ = run("weigh", path, "--json")
    remarks = [text for text in json.loads(out)["problems"] if "gremlins" in text]
    assert remarks
    assert remarks[0].startswith(f"{path}:{line}:3: ")


@pytest.mark.parametrize(
    ("arguments", "code", "words"),
    [
        (["weigh"], 2, "Name one case"),
        (["weigh", "a", "--demo", "b"], 2, "Name one case"),
        (["weigh", "--demo", "nobody"], 2, "diag demo"),
        (["weigh", "no-such-job"], 2, "no case"),
        (["weigh", "./none.yaml"], 4, "none.yaml"),
        (["weigh", "--demo", DEMO, "--rules", "/nowhere"], 4, "/nowhere"),
        (["weigh", "--demo", DEMO, "--frob"], 2, "diag weigh --help"),
        (["wiegh"], 2, "weigh"),
    ],
)
def test_bad_input_is_one_clear_line(run: Run, arguments: list[str], code: int, words: str) -> None:
    """What, where, what to do instead; nothing on standard output."""
    got, out, err = run(*arguments)
    assert (got, out) == (code, "")
    assert words in err
    assert err.count("\n") == 1


def test_hostile_words_come_back_harmless() -> None:
    """Escapes and direction overrides in every field of a case reach neither text nor JSON."""
    now = standing(hostile_job(), the_book())
    data = weighing(now, ["remark \x1b[31m"], explained=True)
    jsonschema.validate(data, SCHEMA)
    assert unfit(weighing_text(data).replace("\n", " ")) is None
    assert unfit("".join(_texts(data))) is None


def _texts(data: object) -> list[str]:
    if isinstance(data, dict):
        return [text for key, value in data.items() for text in (str(key), *_texts(value))]
    if isinstance(data, list):
        return [text for value in data for text in _texts(value)]
    return [data] if isinstance(data, str) else []


def test_learnt_frequencies_count_only_where_they_are_named(run: Run, tmp_path: Path) -> None:
    """An overlay changes the ranking and the book's name; a switched-off one changes nothing."""
    from diag.casework.lessons import Counts
    from diag.evaluation.learning import Overlay
    from diag.evaluation.overlay_file import write_overlay

    book = the_book()
    overlay = Overlay(Counts({"gauge-reads-high": 300}), "2026-11-25T10:00:00Z", book.version, book.fingerprint)
    path = tmp_path / "learnt.yaml"
    path.write_text(write_overlay(overlay), encoding="utf-8")
    case = written(tmp_path, told("pressure-wont-come-down"))
    plain = json.loads(run("weigh", case, "--json")[1])
    learnt = json.loads(run("weigh", case, "--json", "--learnt", str(path))[1])
    assert learnt["causes"][0]["id"] == "gauge-reads-high" != plain["causes"][0]["id"]
    assert learnt["book"] != plain["book"]
    path.write_text(write_overlay(replace(overlay, enabled=False)), encoding="utf-8")
    again = json.loads(run("weigh", case, "--json", "--learnt", str(path))[1])
    assert again["causes"] == plain["causes"]


def test_the_answer_goes_to_a_file_as_a_whole(run: Run, tmp_path: Path) -> None:
    """With -o nothing but a remark is printed."""
    code, out, err = run("weigh", "--demo", DEMO, "--json", "-o", str(tmp_path / "out.json"))
    assert (code, out) == (3, "")
    assert "Written" in err
    assert json.loads((tmp_path / "out.json").read_text(encoding="utf-8"))["kind"] == "weighing"


def test_an_untrained_caller_who_smells_fuel_is_told_the_strictest_first_and_all_of_it() -> None:
    """What forbids everything stands first; the danger behind it is told as well, for its why and its first aid."""
    names = [n for n, r in the_book().stops.items() if "person:untrained" in r.when and "sign:fuel-smell" in r.when]
    assert names
    told = to_be_told([the_book().stops[name] for name in ("wet-fuel", *names)])
    assert [rule.id for rule in told][: len(names)] == names
    assert "wet-fuel" in [rule.id for rule in told]
