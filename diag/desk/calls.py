"""The functions of the schema as Python calls, one each; what they promise stands beside them in ``functions.sql``."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING, Any

from diag.desk.link import driver
from diag.desk.pieces import Plain
from diag.support.errors import UserError

if TYPE_CHECKING:
    from psycopg import Connection

    Line = Connection[tuple[Any, ...]]

LEASE = 45.0  # seconds by the server's clock after which a program that went silent no longer has its jobs


@dataclass(frozen=True, slots=True)
class Hold:
    """What a program shows the server: which hold, by whom, where, and for how many seconds without a sign of life."""

    token: str
    who: str
    machine: str
    lease: float = LEASE


@dataclass(frozen=True, slots=True)
class Taken:
    """The answer to taking a job: ``answer`` is taken, held or gone; the rest speaks of who had it before."""

    answer: str
    key: int | None
    by_whom: str | None
    since: datetime | None
    lives: bool


@dataclass(frozen=True, slots=True)
class Batch:
    """Entries saved at once; ``base`` entries of the job stand before them."""

    id: str
    base: int
    head: str
    items: list[Plain]
    digest: Plain
    aside: bool = False
    creates: bool = False


def _json(value: object) -> Any:
    # the driver is an extra, only for a team's server
    from psycopg.types.json import Jsonb

    return Jsonb(value)


def begin_job(line: Line, batch: Batch, hold: Hold) -> int:
    """A new job, held; its key.

    Raises:
        UserError: the name is taken.
    """
    try:
        row = line.execute(
            "select diag.begin_job(%s, %s, %s, %s, %s, %s, %s, %s)",
            (batch.id, batch.head, _json(batch.items), _json(batch.digest), hold.token, hold.who, hold.machine,
             hold.lease),
        ).fetchone()  # fmt: skip
    except driver().errors.UniqueViolation:
        raise UserError(f"There is a case {batch.id} already.", "Open it, or use another name.") from None
    assert row is not None
    return int(row[0])


def take(line: Line, case_id: str, hold: Hold, force: bool) -> Taken:
    """Hold an existing job."""
    row = line.execute(
        "select * from diag.take(%s, %s, %s, %s, %s, %s)",
        (case_id, hold.token, hold.who, hold.machine, hold.lease, force),
    ).fetchone()
    assert row is not None
    return Taken(*row)


def append(line: Line, key: int, batch: Batch, hold: Hold) -> tuple[str, str]:
    """Add entries; (stored | again | lost | gone, who has the job now)."""
    row = line.execute(
        "select * from diag.append(%s, %s, %s, %s, %s, %s, %s, %s, %s, %s)",
        (key, hold.token, batch.base, batch.head, _json(batch.items), _json(batch.digest), batch.aside,
         hold.lease, hold.who, hold.machine),
    ).fetchone()  # fmt: skip
    assert row is not None
    return row[0], row[1] or ""


def let_go(line: Line, key: int, token: str) -> bool:
    """Let go; False when it was not ours any more."""
    row = line.execute("select diag.let_go(%s, %s)", (key, token)).fetchone()
    return bool(row and row[0])


def still_here(line: Line, tokens: Sequence[str], lease: float) -> set[str]:
    """Renew holds; those that are still ours."""
    rows = line.execute("select diag.still_here(%s::uuid[], %s)", (list(tokens), lease)).fetchall()
    return {str(row[0]) for row in rows}


def key_of(line: Line, case_id: str) -> int | None:
    """The key of a job."""
    row = line.execute("select job from diag.jobs where id = %s", (case_id,)).fetchone()
    return int(row[0]) if row else None


def holder_of(line: Line, key: int) -> str:
    """Who has the job now, empty for nobody."""
    row = line.execute("select who, machine from diag.claims where job = %s and until > clock_timestamp()", (key,))
    found = row.fetchone()
    return with_machine(*found) if found else ""


def with_machine(who: str, machine: str) -> str:
    """``Oskar (computer desk-3)``."""
    return f"{who} (computer {machine})" if machine else who


def bring_in(line: Line, batch: Batch, found: bytes | None, problem: str, asides: Sequence[bytes]) -> None:
    """Keep a job that was carried here.

    Raises:
        UserError: the name is taken.
    """
    try:
        line.execute(
            "select diag.bring_in(%s, %s, %s, %s, %s, %s, %s::bytea[])",
            (batch.id, batch.head, _json(batch.items), _json(batch.digest), found, problem, list(asides)),
        )
    except driver().errors.UniqueViolation:
        raise UserError("There is a job of this name already.", "Work on that one.", batch.id) from None
