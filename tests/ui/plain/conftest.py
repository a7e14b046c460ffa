"""The line mode runs away from this account's own folders."""

from __future__ import annotations

from pathlib import Path

import pytest


@pytest.fixture(autouse=True)
def _apart(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """Tables of jobs go into a folder of the test."""
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))
