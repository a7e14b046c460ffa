"""Who works from a folder never waits for what a server needs, nor has to have it."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

from diag.desk.opening import store_at
from diag.support.errors import UserError
from tests.test_architecture import loaded_by


def test_a_folder_loads_nothing_of_the_server(tmp_path: Path) -> None:
    """Lists of a folder, and a whole conversation about one, import neither driver nor the rooms behind it."""
    loaded = loaded_by(["jobs", "--store", str(tmp_path)])
    assert not {name for name in loaded if name.startswith("psycopg") or name == "diag.desk.server"}
    code = (
        "import sys, io\nsys.stdin = io.StringIO('Wren no start\\nquit\\n')\nfrom diag.ui.cli.main import main\n"
        f"main(['work', '--plain', '--store', {str(tmp_path)!r}])\n"
        "sys.exit(any(n.startswith('psycopg') or n == 'diag.desk.server' for n in sys.modules))"
    )
    assert subprocess.run([sys.executable, "-c", code], capture_output=True, check=False).returncode == 0


def test_a_missing_package_is_one_clear_line(monkeypatch: pytest.MonkeyPatch) -> None:
    """What to install, before anything else is tried."""
    monkeypatch.setitem(sys.modules, "psycopg", None)
    with pytest.raises(UserError, match=r"pip install 'diag\[desk\]'"):
        store_at("postgresql://desk.example/larkhill", "Mira")
