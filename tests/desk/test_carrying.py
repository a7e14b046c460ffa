"""A folder into a server and back: the same bytes, also of what is damaged, remarked or newer."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from diag.casework.casefile import write_case
from diag.casework.entries import Note
from diag.casework.store import CaseStore
from diag.desk.carrying import carry
from diag.rulebook.where import cases_folder
from diag.ui.cli.main import main
from tests.casework.cases import T, small_case
from tests.casework.test_store import noted

pytest.importorskip("psycopg")

from dataclasses import replace

from diag.desk.server import ServerStore


def fill(folder: Path) -> dict[str, bytes]:
    """Some of the worked cases, and files that no program of ours would write."""
    folder.mkdir()
    plain = write_case(small_case())
    found = {path.name: path.read_bytes() for path in sorted(cases_folder().glob("*.yaml"))[:12]}
    found["remarked.yaml"] = ("# kept by Tilda\n" + plain).encode()
    found["damaged.yaml"] = plain[:-200].encode()
    found["windows.yaml"] = plain.replace("\n", "\r\n").encode()
    found["newer.yaml"] = plain.replace("format: 1", "format: 12", 1).encode()
    found["bytes.yaml"] = bytes(range(256))
    found["empty.yaml"] = b""
    found["remarked.yaml.found-1"] = b"as it was \xff"
    for name, data in found.items():
        (folder / name).write_bytes(data)
    return found


def test_there_and_back_byte_for_byte(tmp_path: Path, address: str, capsys: pytest.CaptureFixture[str]) -> None:
    """By the command, twice: the second time everything is there already."""
    files = fill(tmp_path / "jobs")
    assert main(["move", str(tmp_path / "jobs"), address]) == 0
    assert main(["move", str(tmp_path / "jobs"), address]) == 0
    assert f"{len(files) - 1} were there already" in capsys.readouterr().out
    assert main(["move", address, str(tmp_path / "back")]) == 0
    back = {path.name: path.read_bytes() for path in (tmp_path / "back").iterdir() if path.is_file()}
    assert back == files
    assert {path.name: path.read_bytes() for path in (tmp_path / "jobs").iterdir()} == files


def test_what_was_added_on_the_server_comes_back_too(tmp_path: Path, desk: Callable[..., ServerStore]) -> None:
    """Told on the server to a job that was carried there: in the folder it is the file with the answer behind it."""
    there = CaseStore(tmp_path / "jobs")
    there.create(small_case("wren")).close()
    store = desk()
    assert [done.outcome for done in carry(there, store, there.ids())] == ["carried"]
    with store.open("wren") as held:
        held.save(noted(held.case))
    back = CaseStore(tmp_path / "back")
    assert [done.outcome for done in carry(store, back, store.ids())] == ["carried"]
    told = replace(small_case("wren"), entries=(*small_case().entries, Note(12, T, "Mira", "said 12")))
    assert (tmp_path / "back" / "wren.yaml").read_text(encoding="utf-8") == write_case(told)


def test_another_job_of_the_name_is_left_alone(tmp_path: Path, address: str, desk: Callable[..., ServerStore]) -> None:
    """Both stay as they are, and the command says so with its exit code."""
    (tmp_path / "jobs").mkdir()
    (tmp_path / "jobs" / "wren.yaml").write_text(write_case(small_case("wren")), encoding="utf-8")
    desk().create(replace(small_case("wren"), title="Another Wren")).close()
    assert main(["move", str(tmp_path / "jobs"), address]) == 4
    assert desk().read("wren").whole().title == "Another Wren"
    assert main(["move", address, address]) == 2
    assert main(["move", str(tmp_path / "gone"), address]) == 4
