"""``diag server``: set up a team's database server, and say who may do what there."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from diag.desk import people, schema
from diag.desk.address import is_address
from diag.desk.link import LONG_PATIENCE, Link
from diag.support.errors import ExitCode, UserError
from diag.ui.cli.arguments import Arguments
from diag.ui.cli.inputs import where_of
from diag.ui.cli.output import say, table

if TYPE_CHECKING:
    from diag.desk.link import Link

DEEDS = ("set-up", "people", "add", "remove")


def parser() -> Arguments:
    """The options."""
    found = Arguments(
        "server",
        "Set up a team's database server (PostgreSQL 15 or newer), and say who may do what there.",
        "set-up      make the tables, or bring them to this program's version\n"
        "people      who may do what\n"
        "add         let an account of the server read, work or approve, for a shop\n"
        "remove      the account sees and does nothing with the jobs any more",
    )
    found.add_argument("deed", choices=DEEDS, help="what to do")
    found.add_argument("login", nargs="?", default="", metavar="ACCOUNT", help="for add and remove")
    found.add_argument("--shop", default="main", metavar="NAME", help="whose jobs the account sees (default: main)")
    found.add_argument("--may", choices=("read", "work", "approve"), default="work", help="what it may do there")
    found.add_argument("--new", action="store_true", help="make the account; it gets no password")
    return found.with_store()


def run(arguments: list[str]) -> int:
    """Do it."""
    options = parser().parse_args(arguments)
    if (options.deed in ("add", "remove")) != bool(options.login):
        raise UserError("Name the account for add and remove, and only there.", "See: diag server --help")
    link = _link(options)
    try:
        _do(options, link)
    finally:
        link.close()
    return ExitCode.DONE


def _link(options: argparse.Namespace) -> Link:
    options.folder = None
    where = where_of(options, must_exist=False)
    if isinstance(where, Path) or not is_address(where):
        raise UserError("Name the server.", "--store postgresql://HOST/NAME, or set DIAG_STORE.")
    return Link(where)


def _do(options: argparse.Namespace, link: Link) -> None:
    if options.deed == "set-up":
        before, after = link.run(schema.migrate, LONG_PATIENCE)
        done = "made" if not before else "already" if before == after else f"brought from version {before}"
        say(f"The tables in {link.words} are {done} at version {after}." if before else
            f"The tables in {link.words} are made, version {after}.")  # fmt: skip
        return
    link.run(schema.check)
    if options.deed == "people":
        rows = [(p.login, p.may, ", ".join(p.shops)) for p in link.run(people.everybody)]
        say("\n".join(table(("account", "may", "shops"), rows)) if rows else "Nobody yet: diag server add ACCOUNT")
    elif options.deed == "add":
        link.run(lambda line: people.add(line, options.login, options.shop, options.may, options.new))
        say(f"{options.login} may {options.may} in {options.shop}.")
        if options.new:
            say("A new account has no password: set one in psql with \\password, or let the server trust it otherwise.")
    else:
        link.run(lambda line: people.remove(line, options.login))
        say(f"{options.login} sees nothing of the desk any more.")
