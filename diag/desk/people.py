"""Who may do what on a team's server, and whose jobs they see. The server's own roles and row rights hold it.

read       look at the jobs of one's shops
work       the same, and work on them
approve    the same, and approve the team's frequencies
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Literal, get_args

from diag.support.errors import UserError
from diag.support.text import one_line

if TYPE_CHECKING:
    from psycopg import Connection

    Line = Connection[tuple[Any, ...]]

May = Literal["read", "work", "approve"]
MAY: tuple[May, ...] = get_args(May)


@dataclass(frozen=True, slots=True)
class Person:
    """An account of the server with what it may do and the shops it sees; its own shop first."""

    login: str
    may: str
    shops: tuple[str, ...]


def add(line: Line, login: str, shop: str, may: May, new: bool = False) -> None:
    """Let an account work with the jobs of a shop; further shops are added by doing it again.

    Args:
        new: make the account; it gets no password here.

    Raises:
        UserError: there is no such account.
    """
    # the driver is an extra, only for a team's server
    from psycopg import sql

    name = sql.Identifier(login)
    with line.transaction():
        there = line.execute("select from pg_roles where rolname = %s", (login,)).fetchone() is not None
        if not there and not new:
            raise UserError(f"The server knows no account {one_line(login, 60)!r}.", "Add --new to make it.")
        if not there:
            line.execute(sql.SQL("create role {} login").format(name))
        for other in MAY:
            role = sql.Identifier(f"diag_{other}")
            deed = sql.SQL("grant {} to {}") if other == may else sql.SQL("revoke {} from {}")
            line.execute(deed.format(role, name))
        line.execute(
            "insert into diag.people (login, shop, home) "
            "values (%s, %s, not exists (select from diag.people where login = %s)) on conflict do nothing",
            (login, shop, login),
        )


def remove(line: Line, login: str) -> None:
    """The account stays on the server, but sees and does nothing with the desk's jobs any more.

    Raises:
        UserError: it was none of the desk's.
    """
    # the driver is an extra, only for a team's server
    from psycopg import sql

    with line.transaction():
        if not line.execute("delete from diag.people where login = %s", (login,)).rowcount:
            raise UserError(f"{one_line(login, 60)!r} is nobody of this desk.", "List them: diag server people")
        for may in MAY:
            role, name = sql.Identifier(f"diag_{may}"), sql.Identifier(login)
            line.execute(sql.SQL("revoke {} from {}").format(role, name))


def everybody(line: Line) -> list[Person]:
    """All people of the desk, by account."""
    rows = line.execute(
        "select p.login, coalesce((select substring(max(g.rolname) from 6) from pg_auth_members m "
        "join pg_roles g on g.oid = m.roleid join pg_roles r on r.oid = m.member "
        "where r.rolname = p.login and g.rolname in ('diag_read', 'diag_work', 'diag_approve')), 'nothing'), "
        "array_agg(p.shop order by p.home desc, p.shop) from diag.people p group by p.login order by p.login"
    ).fetchall()
    return [Person(str(login), may, tuple(shops)) for login, may, shops in rows]
