"""The browser extra: loopback only, quoted command, clear words when it cannot start."""

from __future__ import annotations

import importlib.util
import shlex
import sys
import types
from pathlib import Path

import pytest

from diag.cli import web
from diag.trust.errors import UserError


def test_the_command_survives_the_shell(tmp_path: Path) -> None:
    """Folder and name reach the program as single words, whatever they hold."""
    folder, who = tmp_path / "my jobs; rm -rf", "Mira $(id)"
    words = shlex.split(web.command_line(folder, who))
    assert words == [sys.executable, "-m", "diag", "work", "--folder", str(folder.resolve()), "--who", who]


def test_it_serves_on_loopback_only(monkeypatch: pytest.MonkeyPatch) -> None:
    """The server is told the loopback address and starts nothing but the program's own screens."""
    told: dict[str, object] = {}

    class Server:
        def __init__(self, command: str, **options: object) -> None:
            told.update(options, command=command)

        def serve(self) -> None:
            told["served"] = True

    module = types.ModuleType("textual_serve.server")
    module.Server = Server  # type: ignore[attr-defined]
    monkeypatch.setitem(sys.modules, "textual_serve", types.ModuleType("textual_serve"))
    monkeypatch.setitem(sys.modules, "textual_serve.server", module)
    monkeypatch.setattr(importlib.util, "find_spec", lambda name: object())
    assert web.run(["--port", "8801"]) == 0
    assert told["host"] == "127.0.0.1"
    assert told["port"] == 8801
    assert told["served"] is True
    assert "diag work" in str(told["command"])


def test_what_cannot_be_is_one_clear_line(monkeypatch: pytest.MonkeyPatch) -> None:
    """A port out of range and a missing extra name the cure."""
    with pytest.raises(UserError, match="1024 to 65535"):
        web.run(["--port", "80"])
    monkeypatch.setattr(importlib.util, "find_spec", lambda name: None)
    with pytest.raises(UserError, match="pip install"):
        web.run([])
