"""The tables: from each version to the next with jobs in them, many at once, and never below a newer program."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor

import pytest

from diag.casework.casefile import head_of, piece_of, write_case
from diag.casework.query import Query
from diag.support.errors import UserError
from tests.casework.cases import small_case
from tests.casework.test_store import noted
from tests.desk.postgres import Postgres

psycopg = pytest.importorskip("psycopg")

from diag.desk import schema  # noqa: E402
from diag.desk.link import connect  # noqa: E402
from diag.desk.server import ServerStore  # noqa: E402


@pytest.fixture
def bare(server: Postgres) -> str:
    """A database without anything in it."""
    server.sql("postgres", "drop database if exists bare with (force)", "create database bare template template0")
    return server.address("bare")


def test_steps_are_numbered_without_gaps() -> None:
    """Versions count from 1, so that what a database still needs is always known."""
    assert [number for number, _, _ in schema.steps()] == list(range(1, schema.newest() + 1))


def _jobs_of_version_one(line: psycopg.Connection) -> None:  # type: ignore[type-arg]
    """A job as the first version's tables held it."""
    case = small_case()
    line.execute(
        "insert into diag.jobs (id, made, head, entries, title, status, opened, changed) "
        "values (%s, gen_random_uuid(), %s, %s, %s, 'closed', %s, %s)",
        (case.id, head_of(case), len(case.entries), case.title, case.opened, case.opened),
    )
    for place, entry in enumerate(case.entries, 1):
        line.execute(
            "insert into diag.entries (job, place, number, kind, at, who, body, token) "
            "values (1, %s, %s, 'x', %s, %s, %s, gen_random_uuid())",
            (place, entry.number, entry.at, entry.who, piece_of(entry)),
        )


def test_jobs_come_along_from_version_to_version(bare: str, tmp_path: object) -> None:
    """Told under the first version, carried through each step alone, read, found and worked on under the last."""
    with connect(bare) as line:
        assert schema.migrate(line, upto=1) == (0, 1)
        _jobs_of_version_one(line)
        with pytest.raises(UserError, match=r"version 1.*set-up"):
            schema.check(line)
        for version in range(2, schema.newest() + 1):
            assert schema.migrate(line, upto=version) == (version - 1, version)
        assert schema.migrate(line) == (schema.newest(), schema.newest())
        schema.check(line)
    store = ServerStore(bare, "Mira", tmp_path)  # type: ignore[arg-type]
    case = small_case()
    assert store.text(case.id) == write_case(case)
    assert [found.id for found in store.search(Query(text="trembling", car="wren"))] == [case.id]
    assert [summary.id for summary in store.summaries()] == [case.id]
    with store.open(case.id) as held:
        held.save(noted(case))
    store.close()


def test_two_programs_may_set_up_at_once(bare: str) -> None:
    """One makes the tables, the other finds them made."""

    def set_up(_: int) -> tuple[int, int]:
        with connect(bare) as line:
            return schema.migrate(line)

    with ThreadPoolExecutor(4) as pool:
        found = sorted(pool.map(set_up, range(4)))
    assert found == [(0, schema.newest())] + 3 * [(schema.newest(), schema.newest())]


def test_a_step_that_fails_leaves_everything_as_it_was(bare: str) -> None:
    """All steps of a set-up are one transaction."""
    with connect(bare) as line:
        schema.migrate(line, upto=2)
        line.execute("create function diag.my_shops() returns int language sql as 'select 1'")  # in the way of step 3
        with pytest.raises(psycopg.Error):
            schema.migrate(line)
        assert schema.version_of(line) == 2
        assert line.execute("select to_regclass('diag.people') is null").fetchone() == (True,)


def test_tables_of_a_newer_program_are_left_alone(bare: str, tmp_path: object) -> None:
    """One clear line, in a set-up and when a job is asked for."""
    with connect(bare) as line:
        schema.migrate(line)
        line.execute("insert into diag.versions (version, name) values (99, 'of the future')")
        with pytest.raises(UserError, match=r"version 99.*newer program"):
            schema.migrate(line)
    with pytest.raises(UserError, match="newer program"):
        ServerStore(bare, "Mira", tmp_path).ids()  # type: ignore[arg-type]


def test_a_database_without_a_desk_says_how_to_make_one(bare: str, tmp_path: object) -> None:
    """And is not changed by being asked."""
    with pytest.raises(UserError, match=r"no desk yet.*set-up"):
        ServerStore(bare, "Mira", tmp_path).ids()  # type: ignore[arg-type]
    with connect(bare) as line:
        assert schema.version_of(line) == 0


@pytest.mark.parametrize(
    "statement",
    ["update diag.entries set body = 'x'", "delete from diag.entries", "truncate diag.entries cascade",
     "update diag.entries set who = 'x' where job = 1"],
)  # fmt: skip
def test_entries_are_never_rewritten(bare: str, statement: str) -> None:
    """Not even by the owner of the tables."""
    with connect(bare) as line:
        schema.migrate(line, upto=1)
        _jobs_of_version_one(line)
        schema.migrate(line)
        with pytest.raises(psycopg.Error, match="only ever added"):
            line.execute(statement.encode())
