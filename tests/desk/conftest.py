"""One server a run with one database, emptied after each test: as good as a fresh one, at a tenth of the price."""

from __future__ import annotations

import shutil
import tempfile
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from diag.casework.keeping import JobStore
from diag.casework.store import CaseStore

DATABASE = "larkhill"
_EMPTY = """
do $$
begin
    perform pg_terminate_backend(pid) from pg_stat_activity
        where datname = current_database() and pid <> pg_backend_pid();
    set local session_replication_role = replica;  -- so that even what is only ever added can be cleared away
    execute (select 'truncate ' || string_agg('diag.' || tablename, ', ') || ' restart identity' from pg_tables
             where schemaname = 'diag' and tablename <> 'versions');
end $$
"""


@pytest.fixture(scope="session")
def server() -> Iterator[object]:
    """A running server with a database to copy from; tests are left out where there is none to be had."""
    pytest.importorskip("psycopg", reason="the package for the server is not installed: pip install 'diag[desk]'")
    from diag.desk import schema
    from diag.desk.link import connect
    from tests.desk.postgres import Postgres, programs

    if programs() is None:
        pytest.skip("no PostgreSQL server on this machine")
    folder = Path(tempfile.mkdtemp(prefix="desk-"))
    found = Postgres(folder)
    try:
        found.sql("postgres", f"create database {DATABASE}")
        with connect(found.address(DATABASE)) as line:
            schema.migrate(line)
        yield found
    finally:
        found.stop()
        shutil.rmtree(folder, ignore_errors=True)


@pytest.fixture
def database(server: object) -> Iterator[str]:
    """The name of a database with the tables in it and nothing else."""
    yield DATABASE
    server.sql(DATABASE, _EMPTY)  # type: ignore[attr-defined]


@pytest.fixture
def address(server: object, database: str) -> str:
    """The address of that database."""
    return str(server.address(database))  # type: ignore[attr-defined]


@pytest.fixture
def desk(address: str, tmp_path: Path) -> Iterator[Callable[..., JobStore]]:
    """Makes programs of the team: ``desk("Mira")`` is a store of its own on the same database."""
    from diag.desk.server import ServerStore

    made: list[ServerStore] = []

    def program(who: str = "Mira", **more: object) -> ServerStore:
        told = {"address": address, "who": who, "state": tmp_path / "state", "patience": 5.0, **more}
        made.append(ServerStore(**told))  # type: ignore[arg-type]
        return made[-1]

    yield program
    for store in made:
        store.close()


@pytest.fixture(params=["folder", "server"])
def team(request: pytest.FixtureRequest, tmp_path: Path) -> Callable[..., JobStore]:
    """Makes programs that share one store of jobs, of either kind."""
    if request.param == "server":
        found: Callable[..., JobStore] = request.getfixturevalue("desk")
        return found
    return lambda who="Mira": CaseStore(tmp_path / "cases", who)


@pytest.fixture
def cable(server: object) -> Iterator[object]:
    """A way to the server that can be cut."""
    from tests.desk.postgres import Cable

    found = Cable(server.port)  # type: ignore[attr-defined]
    yield found
    found.close()


@pytest.fixture
def far(desk: Callable[..., JobStore], server: object, database: str, cable: object) -> Callable[..., JobStore]:
    """Programs that reach the server by the cable only, and are not patient."""
    address = server.address(database, port=cable.port)  # type: ignore[attr-defined]
    return lambda who="Mira", **more: desk(who, **{"address": address, "patience": 0.6, "lease": 1.8, **more})
