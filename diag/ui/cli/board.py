"""``diag board``: who of a team has which call, since when, waiting for what."""

from __future__ import annotations

import argparse
import os
import sys
import time

from diag.desk.board import Call, Watch, give, in_order
from diag.desk.pieces import receiver
from diag.desk.server import ServerStore
from diag.presentation.board_words import HEADINGS, change_words, count_words, row_words
from diag.session.clock import stamp, system_clock
from diag.support.errors import ExitCode, UserError
from diag.support.text import one_line
from diag.ui.cli.arguments import Arguments
from diag.ui.cli.inputs import store_of
from diag.ui.cli.output import json_text, remark, say, table

SCHEMA_VERSION = 1


def parser() -> Arguments:
    """The options."""
    found = Arguments(
        "board",
        "The board of a team's desk: who has which call, since when, waiting for what.",
        "Take up the call that waits longest for you: diag work --next",
    )
    found.add_argument("words", nargs="*", metavar="WORD", help="only jobs with all of these words in name or title")
    found.add_argument("--live", action="store_true", help="keep it up to date until you leave (Ctrl+C)")
    found.add_argument("--plain", action="store_true", help="with --live: a line for each change, nothing redrawn")
    found.add_argument(
        "--mine", action="store_true", help="only what you have or what is handed to you or to whoever is free"
    )
    found.add_argument("--most", type=int, default=50, metavar="N", help="at most this many (default 50)")
    found.add_argument("--give", default="", metavar="JOB", help="hand this job over, with --to")
    found.add_argument("--to", default="anybody", metavar="NAME", help="to whom (default: whoever is free)")
    found.add_argument("--note", default="", metavar="TEXT", help="what the next person should know")
    found.add_argument("--who", default="", metavar="NAME", help="your name as the others see it")
    found.add_argument("--json", action="store_true", help="as JSON")
    return found.with_store()


def run(arguments: list[str]) -> int:
    """Show it, keep it up to date, or hand a job over."""
    options = parser().parse_args(arguments)
    store = server_of(options)
    try:
        if options.give:
            return _give(options, store)
        if options.live and not options.plain and sys.stdout.isatty() and sys.stdin.isatty():
            # the screen library, only on a terminal
            from diag.ui.tui.team_board import show_board

            return show_board(store)
        return _lines(options, store)
    finally:
        store.close()


def server_of(options: argparse.Namespace) -> ServerStore:
    """The team's server.

    Raises:
        UserError: a folder is named, or nothing.
    """
    options.folder = None
    who = str(options.who or os.environ.get("DIAG_WHO", "") or os.environ.get("USER", ""))
    store = store_of(options, who, must_exist=False)
    if store.place != "server":
        raise UserError("Only a team's server has a board.", "--store postgresql://HOST/NAME, or set DIAG_STORE.")
    return store  # type: ignore[return-value]


def _give(options: argparse.Namespace, store: ServerStore) -> int:
    name = store.find(options.give)
    at = stamp(system_clock())
    give(store, name, options.to, options.note, at)
    remark(f"{name} is handed over to {receiver(options.to)}.")
    return ExitCode.DONE


def _lines(options: argparse.Namespace, store: ServerStore) -> int:
    watch = Watch(store.link)
    watch.look()
    try:
        calls = [call for call in in_order(watch.calls.values()) if _wanted(options, call, store.who)]
        if options.json:
            say(json_text({"schema": SCHEMA_VERSION, "kind": "board", "jobs": [_plain(call) for call in calls]}))
            return ExitCode.DONE
        if calls:
            say("\n".join(table(HEADINGS, [row_words(call) for call in calls[: options.most]])))
        say(count_words(watch.calls.values()))
        away = ""
        while options.live:
            for before, now in watch.changes(5.0).values():
                said = change_words(before, now)
                if said and any(_wanted(options, call, store.who) for call in (before, now) if call is not None):
                    say(f"{time.strftime('%H:%M')} {said}")
            if watch.away != away:
                away = watch.away
                say(f"{time.strftime('%H:%M')} {one_line(away, 300) if away else 'The server answers again.'}")
            sys.stdout.flush()
    finally:
        watch.close()
    return ExitCode.DONE


def _wanted(options: argparse.Namespace, call: Call, who: str) -> bool:
    told = f"{call.id} {call.title}".casefold()
    mine = call.who.casefold() == who.casefold() or call.is_for(who)
    return all(word.casefold() in told for word in options.words) and (mine or not options.mine)


def _plain(call: Call) -> dict[str, object]:
    return {
        "id": call.id, "title": one_line(call.title), "shop": call.shop, "status": call.status, "state": call.state,
        "who": one_line(call.who), "held_for_seconds": call.held_for, "waits_for": one_line(call.waits),
        "handed_to": one_line(call.passed_to), "handed_by": one_line(call.passed_by),
        "handed_for_seconds": call.passed_for,
    }  # fmt: skip
