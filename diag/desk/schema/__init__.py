"""The tables on the server, and how they come from one version to the next."""

from __future__ import annotations

from functools import cache
from importlib.resources import files
from typing import TYPE_CHECKING, Any

from diag.support.errors import UserError

if TYPE_CHECKING:
    from psycopg import Connection

_LOCK = 0x64696167  # one set-up at a time in a database; the number is ours and says "diag"
_BOOKKEEPING = """
create schema if not exists diag;
create table if not exists diag.versions (
    version    integer primary key,
    name       text not null,
    applied_at timestamptz not null default clock_timestamp()
);
"""


@cache
def steps() -> tuple[tuple[int, str, str], ...]:
    """Every step: its version, its name and its SQL, oldest first."""
    found = []
    for item in files(__package__).iterdir():
        stem, _, ending = item.name.rpartition(".")
        number, _, name = stem.partition("_")
        if ending == "sql" and number.isdecimal():
            found.append((int(number), name, item.read_bytes().decode()))
    return tuple(sorted(found))


def newest() -> int:
    """The version this program works with."""
    return steps()[-1][0]


def version_of(line: Connection[Any]) -> int:
    """The version in this database; 0 when there is no desk in it."""
    there = line.execute("select to_regclass('diag.versions') is not null").fetchone()
    if not (there and there[0]):
        return 0
    row = line.execute("select coalesce(max(version), 0) from diag.versions").fetchone()
    return int(row[0]) if row else 0


def migrate(line: Connection[Any], upto: int | None = None) -> tuple[int, int]:
    """Bring the tables to this program's version, in one transaction; the versions before and after.

    Args:
        upto: stop at this version (for tests of the steps one by one).

    Raises:
        UserError: the tables are of a newer program.
    """
    goal = newest() if upto is None else upto
    with line.transaction():
        line.execute("select pg_advisory_xact_lock(%s)", (_LOCK,))
        line.execute("set local client_min_messages = warning")
        line.execute(_BOOKKEEPING)
        before = version_of(line)
        _not_newer(before)
        for number, name, sql in steps():
            if before < number <= goal:
                line.execute(sql.encode())
                line.execute("insert into diag.versions (version, name) values (%s, %s)", (number, name))
        if goal == newest():
            line.execute(files(__package__).joinpath("functions.sql").read_bytes())
    return before, max(before, goal)


def check(line: Connection[Any]) -> None:
    """Look whether this program can work with the tables.

    Raises:
        UserError: there are none, or they are older or newer.
    """
    have = version_of(line)
    _not_newer(have)
    if have < newest():
        what = "This database holds no desk yet." if not have else f"The desk's tables are of version {have}."
        raise UserError(what, f"Bring them to version {newest()}: diag server set-up --store ADDRESS")


def _not_newer(have: int) -> None:
    if have > newest():
        raise UserError(
            f"The desk's tables are of version {have}; this program knows them up to {newest()}.",
            "Install the newer program on this machine.",
        )
