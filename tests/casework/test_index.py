"""Finding jobs again."""

from __future__ import annotations

import os
import sqlite3
import time
from dataclasses import replace
from pathlib import Path

import pytest

from diag.casework.casefile import write_case
from diag.casework.entries import Case, Note, StatusSet
from diag.casework.index import CaseIndex, default_cache, index_file
from diag.casework.query import Query
from diag.casework.summary import status_of, summary_of
from diag.support.errors import StorageError, UserError
from tests.casework.cases import T, small_case


def put(folder: Path, case: Case) -> Path:
    """Write a case file without ceremony."""
    folder.mkdir(parents=True, exist_ok=True)
    path = folder / f"{case.id}.yaml"
    path.write_text(write_case(case), encoding="utf-8")
    return path


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """Three jobs: one closed, one open, one waiting."""
    place = tmp_path / "cases"
    put(place, small_case("wren-1"))
    put(
        place,
        replace(
            small_case("otter-2"),
            title="Otter: dies hot",
            entries=(Note(1, "2026-11-20T08:00:00Z", "Tilda", "100% _odd_"),),
        ),
    )
    put(
        place,
        replace(
            small_case("plover-3"),
            title="Plover",
            entries=(StatusSet(1, "2026-11-26T08:00:00Z", "Tilda", "waiting for part"),),
        ),
    )
    return place  # fmt: skip


def ids(index: CaseIndex, **query: str) -> list[str]:
    """The names found."""
    return [found.id for found in index.search(Query(**query))]  # type: ignore[arg-type]


def test_jobs_are_found_by_status_car_cause_text_and_date(folder: Path) -> None:
    """Every filter of the list works alone and together; last changed first."""
    with CaseIndex(folder) as index:
        assert index.refresh() == 3
        assert ids(index) == ["plover-3", "wren-1", "otter-2"]
        assert ids(index, status="open") == ["otter-2"]
        assert ids(index, status="closed") == ["wren-1"]
        assert ids(index, cause="return-line-too-small") == ["wren-1"]
        assert ids(index, text="RUNS clean") == ["wren-1"]
        assert ids(index, text="hot dies") == ["otter-2"]
        assert ids(index, car="petrol") == ["wren-1"]
        assert ids(index, since="2026-11-25", until="2026-11-25") == ["wren-1"]
        assert ids(index, until="2026-11-20") == ["otter-2"]
        assert index.counts() == {"open": 1, "waiting for part": 1, "closed": 1}
        with pytest.raises(UserError, match="status"):
            Query(status="lost")


def test_what_people_type_is_never_sql_or_a_pattern(folder: Path) -> None:
    """Quotes, percent signs and underscores are looked for as they are."""
    with CaseIndex(folder) as index:
        index.refresh()
        assert ids(index, text="100%") == ["otter-2"]
        assert ids(index, text="_odd_") == ["otter-2"]
        assert ids(index, text="%") == ["otter-2"]
        assert ids(index, text="'; drop table cases; --") == []
        assert ids(index, cause='"]') == []
        assert len(ids(index)) == 3


def test_only_changed_files_are_read_again(folder: Path, tmp_path: Path) -> None:
    """A second look reads nothing; an edit, a new file and a deletion are seen."""
    old = time.time() - 3600
    for path in folder.iterdir():
        os.utime(path, (old, old))
    file = tmp_path / "cache" / "i.sqlite"
    with CaseIndex(folder, file) as index:
        assert index.refresh() == 3
    with CaseIndex(folder, file) as index:
        assert index.refresh() == 0
        put(folder, replace(small_case("wren-1"), title="Wren again"))
        put(folder, small_case("teasel-4"))
        (folder / "otter-2.yaml").unlink()
        assert index.refresh() == 2
        assert sorted(ids(index)) == ["plover-3", "teasel-4", "wren-1"]
        assert ids(index, text="again") == ["wren-1"]


def test_an_edit_within_the_same_tick_of_the_clock_is_seen(folder: Path) -> None:
    """Same time and same size do not hide a change made right after the look."""
    with CaseIndex(folder) as index:
        index.refresh()
        path = folder / "plover-3.yaml"
        stamp = path.stat().st_mtime_ns
        path.write_text(path.read_text(encoding="utf-8").replace("title: Plover", "title: Linnet"), encoding="utf-8")
        os.utime(path, ns=(stamp, stamp))
        assert index.refresh() == 1
        assert ids(index, text="linnet") == ["plover-3"]


@pytest.mark.parametrize("spoil", ["garbage", "old shape", "folder", "dropped"])
def test_the_table_is_never_the_only_copy(folder: Path, tmp_path: Path, spoil: str) -> None:
    """A spoilt, outdated or impossible table is made anew from the files without a word."""
    file = tmp_path / "i.sqlite"
    with CaseIndex(folder, file) as index:
        index.refresh()
    if spoil == "garbage":
        file.write_bytes(b"no database at all" * 500)
    elif spoil == "old shape":
        with sqlite3.connect(file) as db:
            db.execute("drop table cases")
            db.execute("create table cases (useless)")
            db.execute("pragma user_version = 1")
    elif spoil == "folder":
        file.unlink()
        file.mkdir()
    else:
        with sqlite3.connect(file) as db:
            db.execute("drop table cases")
            db.execute("create table cases (useless)")
    with CaseIndex(folder, file) as index:
        index.refresh()
        assert len(ids(index)) == 3


def test_a_damaged_file_is_listed_with_its_problem_and_teaches_nothing(folder: Path) -> None:
    """It must not vanish from the list, nor be learnt from."""
    path = folder / "wren-1.yaml"
    path.write_text(path.read_text(encoding="utf-8")[:800], encoding="utf-8")
    (folder / "bad.yaml").write_bytes(b"\xff\xfe\x00")
    (folder / "link.yaml").symlink_to(path)
    with CaseIndex(folder) as index:
        index.refresh()
        found = {item.id: item for item in index.search()}
        assert set(found) == {"wren-1", "bad", "otter-2", "plover-3"}
        assert "wren-1.yaml:" in found["wren-1"].problem
        assert found["bad"].problem
        assert sorted(job.id for job in index.summaries()) == ["otter-2", "plover-3"]


def test_a_missing_folder_holds_no_jobs_and_an_unreadable_one_says_so(tmp_path: Path) -> None:
    """The first start has no folder yet; a file in its place is an error."""
    with CaseIndex(tmp_path / "none") as index:
        assert index.refresh() == 0
    (tmp_path / "file").write_text("x", encoding="utf-8")
    with CaseIndex(tmp_path / "file") as index, pytest.raises(StorageError, match="Cannot list"):
        index.refresh()


def test_summaries_survive_the_table(folder: Path) -> None:
    """What learning reads back equals what was summed up."""
    with CaseIndex(folder) as index:
        index.refresh()
        assert next(job for job in index.summaries() if job.id == "wren-1") == summary_of(small_case("wren-1"))


def test_the_status_is_the_last_one_told() -> None:
    """An outcome closes a job unless a later status opens it again."""
    case = small_case()
    assert status_of(case) == "closed"
    assert status_of(replace(case, entries=case.entries[:7])) == "open"
    assert status_of(replace(case, entries=case.entries[:8])) == "closed"
    again = replace(case, entries=(*case.entries, StatusSet(12, T, "Mira", "open")))
    assert status_of(again) == "open"


def test_the_table_lies_in_the_cache_folder_of_the_open_standard(tmp_path: Path) -> None:
    """XDG Base Directory Specification 0.8: $XDG_CACHE_HOME, else ~/.cache; relative paths are ignored."""
    home = Path("/home/mira")
    assert default_cache({}, home) == home / ".cache"
    assert default_cache({"XDG_CACHE_HOME": "x"}, home) == home / ".cache"
    assert default_cache({"XDG_CACHE_HOME": "/c"}, home) == Path("/c")
    (tmp_path / "a").mkdir()
    (tmp_path / "b").symlink_to(tmp_path / "a")
    assert index_file(home, tmp_path / "a") == index_file(home, tmp_path / "b")


def test_thousands_of_jobs_are_listed_at_once(tmp_path: Path) -> None:
    """2,000 files: a look without changes and a search together take well under a second on a slow machine."""
    folder = tmp_path / "cases"
    folder.mkdir()
    text = write_case(replace(small_case("x"), entries=small_case().entries[:3]))
    old = time.time() - 3600
    for number in range(2000):
        path = folder / f"job-{number}.yaml"
        path.write_text(text.replace("title: 'Wren: runs rich'", f"title: car {number}"), encoding="utf-8")
        os.utime(path, (old, old))
    with CaseIndex(folder, tmp_path / "i.sqlite") as index:
        assert index.refresh(workers=2) == 2000
        listed = index.search(Query(limit=3000))
    with CaseIndex(folder) as index:
        assert index.refresh() == 2000
        assert index.search(Query(limit=3000)) == listed, "several processes read otherwise than one"
    with CaseIndex(folder, tmp_path / "i.sqlite") as index:
        start = time.process_time()  # what other programs do meanwhile does not count
        assert index.refresh() == 0
        assert ids(index, text="car 1234") == ["job-1234"]
        assert time.process_time() - start < 1.0
