"""The rules are found in the package or the checkout, and only there, unless the person says otherwise."""

from __future__ import annotations

from pathlib import Path

import pytest

from diag.rulebook import where
from diag.support.errors import StorageError


def test_environment_wins(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """DIAG_RULES and DIAG_CASES name the folders to use."""
    monkeypatch.setenv("DIAG_RULES", str(tmp_path))
    monkeypatch.setenv("DIAG_CASES", str(tmp_path))
    assert where.rules_folder() == tmp_path
    assert where.cases_folder() == tmp_path


def test_wrong_environment_is_said(monkeypatch: pytest.MonkeyPatch) -> None:
    """A folder that is not there is refused by name instead of being skipped."""
    monkeypatch.setenv("DIAG_RULES", "/nowhere/at/all")
    with pytest.raises(StorageError, match="DIAG_RULES"):
        where.rules_folder()


def test_installed_package_comes_before_the_checkout(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Rules inside the package are used when they are there, the folder beside a project file otherwise."""
    monkeypatch.delenv("DIAG_RULES", raising=False)
    package = tmp_path / "diag"
    package.mkdir()
    (tmp_path / "rules").mkdir()
    monkeypatch.setattr(where, "_PACKAGE", package)
    with pytest.raises(StorageError, match="cannot be found"):
        where.rules_folder()  # a stray folder called rules, without a project file, is not ours
    (tmp_path / "pyproject.toml").write_text("", encoding="utf-8")
    assert where.rules_folder() == tmp_path / "rules"
    (package / "_rules").mkdir()
    assert where.rules_folder() == package / "_rules"
