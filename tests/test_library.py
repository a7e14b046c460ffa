"""The library's door: what it offers, that it opens without loading anything, and the README's example."""

from __future__ import annotations

import ast
import re
import subprocess
import sys

import pytest

import diag
from diag.rulebook.where import cases_folder
from tests import ROOT


def test_the_names_offered_are_those_that_type_checkers_see() -> None:
    """The table behind the lazy loading and the imports for types hold the same names, and each can be had."""
    tree = ast.parse((ROOT / "diag" / "__init__.py").read_text(encoding="utf-8"))
    typed = {
        alias.asname or alias.name
        for node in tree.body
        if isinstance(node, ast.If)
        for line in node.body
        if isinstance(line, ast.ImportFrom)
        for alias in line.names
    }
    assert typed | {"__version__"} == set(diag.__all__)
    for name in diag.__all__:
        assert getattr(diag, name) is not None
    with pytest.raises(AttributeError, match="nothing_like_it"):
        _ = diag.nothing_like_it


def test_importing_it_loads_nothing() -> None:
    """``import diag`` costs a script nothing until it asks for something."""
    code = "import sys, diag; print(sorted({'numpy', 'yaml', 'diag.library'} & set(sys.modules)))"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True, cwd=ROOT)
    assert done.stdout.strip() == "[]"


def test_the_example_of_the_readme_runs(capsys: pytest.CaptureFixture[str]) -> None:
    """A return of 4.2 mm behind a pump of 340 L/h: named, looked over first, predicted near what was read, refused."""
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    example = re.search(r"```python\n(import diag\n.*?)```", text, re.DOTALL)
    assert example is not None
    exec(compile(example[1], "README.md", "exec"), {})
    lines = capsys.readouterr().out.splitlines()
    assert lines[0].endswith("Return line too small for this pump")
    assert any("wet fuel" in line for line in lines)
    low, high = (float(figure) for figure in re.findall(r"[0-9.]+", lines[-2]))
    assert low < 60 * 0.0689476 < high  # psi to bar: the figure read
    assert lines[-1] == "no"


def test_a_job_is_read_and_its_reasons_are_those_of_the_ranking() -> None:
    """A worked case ranks as its own standing says; a reason names an entry of it; unknown names are refused."""
    book = diag.open_rule_book()
    job = diag.read_job(book, cases_folder() / "wren-pressure-stays-high.yaml")
    first = diag.ranking(job)[0]
    assert (first.id, first.chance) == job.standing.belief.ranked()[0]
    numbers = {entry.number for entry in job.case.entries}
    assert {reason.entry for reason in diag.reasons(job, first.id)} <= numbers
    with pytest.raises(diag.UserError, match="no-such-cause"):
        diag.reasons(job, "no-such-cause")
    with pytest.raises(diag.UserError, match="no-such-point"):
        diag.predict(book, job.standing.car, "rail pressure", "no-such-point")
    with pytest.raises(diag.UserError, match="no-such-figure"):
        diag.ask("return", job.standing.car, {"no-such-figure": "1"})
