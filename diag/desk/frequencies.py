"""The team's frequencies: proposed by whoever counted, looked at by the others, approved by who may; nothing is lost.

A version is the text of an overlay file and never changes. What is in use is what was decided last: a version, or the
rule book alone. Both lists only grow, so that it can always be said who approved what, and when.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING, Any

from diag.support.errors import UserError

if TYPE_CHECKING:
    from psycopg import Connection

    Line = Connection[tuple[Any, ...]]


@dataclass(frozen=True, slots=True)
class Version:
    """One proposal; times are the server's. ``in_use`` is set for the one that counts now."""

    number: int
    proposed_by: str
    proposed_at: datetime
    approved_by: str
    in_use: bool


def propose(line: Line, overlay: str, by: str) -> int:
    """Keep a proposal; its number."""
    row = line.execute(
        "insert into diag.frequencies (overlay, proposed_by) values (%s, %s) returning version", (overlay, by)
    ).fetchone()
    assert row is not None
    return int(row[0])


def decide(line: Line, version: int | None, by: str, why: str = "") -> None:
    """Put a version into use, or the rule book alone.

    Raises:
        UserError: there is no such version, or the account may not approve.
    """
    if version is not None:
        overlay_of(line, version)
    line.execute("insert into diag.decisions (version, decided_by, why) values (%s, %s, %s)", (version, by, why))


def in_use(line: Line) -> int | None:
    """The version that counts now; None for the rule book alone."""
    row = line.execute("select version from diag.decisions order by decision desc limit 1").fetchone()
    return int(row[0]) if row and row[0] is not None else None


def before(line: Line) -> int | None:
    """The version that counted before the one in use; None for the rule book alone.

    Raises:
        UserError: nothing was ever decided.
    """
    rows = line.execute("select version from diag.decisions order by decision desc").fetchall()
    if not rows:
        raise UserError("There is nothing to go back to.", "Nothing was approved yet.")
    now = rows[0][0]
    found = next((row[0] for row in rows if row[0] != now), None)
    return int(found) if found is not None else None


def overlay_of(line: Line, version: int) -> str:
    """The text of a version.

    Raises:
        UserError: there is no such version.
    """
    row = line.execute("select overlay from diag.frequencies where version = %s", (version,)).fetchone()
    if row is None:
        raise UserError(f"There is no version {version} of the frequencies.", "List them: diag learn --versions")
    return str(row[0])


def newest(line: Line) -> int | None:
    """The version proposed last."""
    row = line.execute("select max(version) from diag.frequencies").fetchone()
    return int(row[0]) if row and row[0] is not None else None


def versions(line: Line) -> list[Version]:
    """All versions, newest first."""
    now = in_use(line)
    rows = line.execute(
        "select f.version, f.proposed_by, f.proposed_at, coalesce((select d.decided_by from diag.decisions d "
        "where d.version = f.version order by d.decision desc limit 1), '') from diag.frequencies f "
        "order by f.version desc"
    ).fetchall()
    return [Version(number, by, at, approved, number == now) for number, by, at, approved in rows]
