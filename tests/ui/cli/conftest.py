"""Every command runs away from this account's own jobs, with the shipped rule book loaded once."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from diag.rulebook import load
from diag.rulebook.model import RuleBook
from tests import ROOT
from tests.ui.plain.person import the_book

RULES = ROOT / "rules"
Run = Callable[..., tuple[int, str, str]]


@pytest.fixture(autouse=True)
def _apart(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """Own folders, and the shipped book from memory whenever it is asked for."""
    for name in ("XDG_DATA_HOME", "XDG_CACHE_HOME"):
        monkeypatch.setenv(name, str(tmp_path / name))
    for name in ("DIAG_FOLDER", "DIAG_RULES", "DIAG_CASES"):
        monkeypatch.delenv(name, raising=False)
    real = load.load_book

    def loaded(folder: Path) -> RuleBook:
        return the_book() if folder.resolve() == RULES else real(folder)

    monkeypatch.setattr(load, "load_book", loaded)
    monkeypatch.setattr("diag.ui.cli.inputs.load_quickly", lambda folder, _: loaded(folder))


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str]) -> Run:
    """Run the program with some arguments: exit code, standard output, standard error."""
    from diag.ui.cli.main import main

    def go(*arguments: str) -> tuple[int, str, str]:
        capsys.readouterr()
        code = int(main([str(a) for a in arguments]))
        out = capsys.readouterr()
        return code, out.out, out.err

    return go
