"""``diag work``: the screens, or question and answer line by line when there is no terminal for screens."""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Sequence
from pathlib import Path
from threading import Thread
from typing import TYPE_CHECKING

from diag.support.errors import ExitCode, UserError
from diag.ui.cli.arguments import Arguments

if TYPE_CHECKING:
    from diag.casework.keeping import JobStore


def run(arguments: Sequence[str]) -> int:
    """Work a job; the exit code is documented in ``diag --help``."""
    told = _parser().parse_args(list(arguments))
    prepare(os.environ)
    if told.browser is not None:
        return _browser(told)
    if told.plain or not screen_possible(os.environ, sys.stdin.isatty(), sys.stderr.isatty()):
        return _plain(told)
    return _screens(told)


def _parser() -> Arguments:
    found = Arguments("work", "Work a job: tell what is seen, do the next safe check, mend, prove the cure.")
    found.add_argument("--case", default="", metavar="NAME|FILE", help="go on with this job")
    found.add_argument("--new", default=None, metavar="TITLE", help="begin a job with this title")
    found.add_argument(
        "--next", action="store_true", help="take up the call that waits longest for you (a team's desk)"
    )
    found.add_argument("--phone", action="store_true", help="the job is a call: steps are worded to be read aloud")
    found.add_argument("--plain", action="store_true", help="line by line, for screen readers, slow links and pipes")
    where = found.add_mutually_exclusive_group()
    where.add_argument(
        "--folder",
        "--cases",
        type=Path,
        metavar="FOLDER",
        help="folder of jobs (default: DIAG_FOLDER, or the usual one)",
    )
    found.with_store(where)
    found.add_argument("--rules", default="", metavar="FOLDER", help="another rule book")
    found.add_argument("--who", default="", metavar="NAME", help="name or initials written beside every answer")
    found.add_argument("--no-color", action="store_true", help="no colour codes at all")
    found.add_argument("--no-mouse", action="store_true", help="leave the mouse to the terminal")
    found.add_argument("--ascii", action="store_true", help="draw with plain ASCII only")
    found.add_argument(
        "--browser",
        type=int,
        default=None,
        metavar="PORT",
        help="the same screens in a browser, on this machine only (extra package: diag[web])",
    )
    return found


def prepare(environment: os._Environ[str] | dict[str, str]) -> None:
    """NO_COLOR counts only when it is not empty (no-color.org); Textual takes an empty one for set."""
    if environment.get("NO_COLOR") == "":
        del environment["NO_COLOR"]


def screen_possible(environment: os._Environ[str] | dict[str, str], stdin: bool, stderr: bool) -> bool:
    """Whether screens can be drawn: a keyboard and a terminal that can move its cursor, or a browser."""
    if environment.get("TEXTUAL_DRIVER") == "textual.drivers.web_driver:WebDriver":
        return True
    return stdin and stderr and environment.get("TERM", "") not in ("", "dumb", "unknown")


def wants_ascii(environment: os._Environ[str] | dict[str, str], encoding: str) -> bool:
    """Whether the terminal shows ASCII only, as far as its language setting tells."""
    told = environment.get("LC_ALL") or environment.get("LC_CTYPE") or environment.get("LANG") or ""
    if told:
        return "utf" not in told.lower()
    return "utf" not in encoding.lower()


def _cases(told: argparse.Namespace) -> str | Path:
    """Where the jobs are; a folder that is named is made with its first job."""
    # YAML, for which the screens do not wait
    from diag.ui.cli.inputs import where_of

    return where_of(told, must_exist=False)


def _who(told: argparse.Namespace) -> str:
    return str(told.who or os.environ.get("DIAG_WHO", "") or os.environ.get("USER", ""))


def _plain(told: argparse.Namespace) -> int:
    # all that the line mode works with; the screens load theirs behind the first one
    from diag.rulebook.cached import load_quickly
    from diag.rulebook.where import rules_folder
    from diag.session.listening import make_listener_ready
    from diag.ui.cli.inputs import cache_folder, store_at, team_book
    from diag.ui.cli.kept_cars import keep_work, take_work
    from diag.ui.plain.conversation import Conversation
    from diag.ui.plain.talk import Talk

    cases, case = _case(told)
    folder = Path(told.rules).expanduser() if told.rules else rules_folder()
    plain_book = load_quickly(folder, cache_folder())
    store = store_at(cases, _who(told))
    book = team_book(plain_book, store)
    make_listener_ready(book)  # while the first line is being typed
    Thread(target=take_work, args=(plain_book, folder, cache_folder()), daemon=True).start()
    case_id = _next(store) if told.next else store.find(case) if case else ""
    room = Conversation(store, book, Talk.standard(), who=_who(told), phone=told.phone)
    try:
        return room.run(case_id, told.new or "")
    finally:
        keep_work(plain_book, folder, cache_folder())


def _next(store: JobStore) -> str:
    """The call that waits longest for this person, held from now on."""
    if store.place != "server":
        raise UserError("Only a team's server hands calls over.", "--store postgresql://HOST/NAME, or set DIAG_STORE.")
    # only with a team's server
    from diag.desk.board import take_next

    return take_next(store)  # type: ignore[arg-type]


def _case(told: argparse.Namespace) -> tuple[str | Path, str]:
    """Where the jobs are and the case wanted, whether it was named or given as a file."""
    if told.case and (os.sep in told.case or told.case.endswith(".yaml")):
        path = Path(told.case).expanduser()
        if not path.is_file():
            raise UserError(f"There is no file {told.case!r}.", "Check the path, or list the jobs: diag jobs")
        return path.resolve().parent, path.stem
    return _cases(told), told.case


def _browser(told: argparse.Namespace) -> int:
    # only with --browser
    from diag.ui.tui.browser import serve

    # No file is opened by name from a page; everything else is as on the command line.
    more = ["--store", str(_cases(told)), *(["--rules", told.rules] if told.rules else []), "--who", _who(told)]
    serve(more, told.browser)
    return ExitCode.DONE


def _screens(told: argparse.Namespace) -> int:
    # the screen library, which looks at the environment when it is loaded
    from diag.ui.tui.app import DiagApp, Options

    color = not (told.no_color or os.environ.get("NO_COLOR") or os.environ.get("DIAG_NO_COLOR"))
    if not color:
        os.environ["NO_COLOR"] = "1"
    cases, case = _case(told)
    store = None
    if told.next:
        # only with --next
        from diag.ui.cli.inputs import store_at

        store = store_at(cases, _who(told))
        case = _next(store)
    rules = Path(told.rules).expanduser() if told.rules else None
    ascii_only = told.ascii or wants_ascii(os.environ, sys.stderr.encoding or "")
    options = Options(cases, rules, case, told.new or "", told.phone, not color, ascii_only, _who(told))
    return DiagApp(options, store=store).work(mouse=not told.no_mouse)
