"""What commands read: the rule book in use, the folder of jobs, and one case from wherever it was named."""

from __future__ import annotations

import argparse
import os
import sys
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from diag.casework.casefile import MAX_TEXT, ReadResult, read_case
from diag.casework.entries import Case
from diag.desk.address import is_address
from diag.desk.opening import store_at as opened
from diag.rulebook.cached import load_quickly
from diag.rulebook.model import RuleBook
from diag.rulebook.where import cases_folder, rules_folder
from diag.support.disk.files import read_text
from diag.support.errors import StorageError, UnknownNameError, UserError
from diag.support.text import decode_utf8, one_line
from diag.ui.cli.kept_cars import keep_work, take_work

if TYPE_CHECKING:
    from diag.casework.keeping import JobStore

MOST_BYTES = 4 * MAX_TEXT


def cache_folder() -> Path | None:
    """Where copies may be kept that can be made anew; None when DIAG_NO_CACHE is set."""
    if os.environ.get("DIAG_NO_CACHE"):
        return None
    told = os.environ.get("XDG_CACHE_HOME", "")
    return Path(told) if told and os.path.isabs(told) else Path.home() / ".cache"


def take_over_numbers(options: argparse.Namespace, book: RuleBook) -> None:
    """What earlier runs worked out of the plain book; with frequencies on top nothing is kept."""
    if options.learnt is None and not _on_server(options):
        take_work(book, options.rules or rules_folder(), cache_folder())


def leave_numbers(options: argparse.Namespace, book: RuleBook) -> None:
    """Keep what this run worked out of the plain book for the next one."""
    if options.learnt is None and not _on_server(options):
        keep_work(book, options.rules or rules_folder(), cache_folder())


def book_of(options: argparse.Namespace) -> RuleBook:
    """The rule book in use, with learnt frequencies on top where the options name some.

    Raises:
        RuleBookError, StorageError, SourceError: it cannot be used.
    """
    book = load_quickly(options.rules or rules_folder(), cache_folder())
    learnt: Path | None = options.learnt
    if learnt is None:
        return team_book(book, store_of(options, must_exist=False)) if _on_server(options) else book
    # only with --learnt
    from diag.evaluation.learning import apply_overlay
    from diag.evaluation.overlay_file import read_overlay

    return apply_overlay(book, read_overlay(read_text(learnt), str(learnt)))


def team_book(book: RuleBook, store: JobStore) -> RuleBook:
    """The book with what a team has approved on its server; a folder of jobs leaves it as it is."""
    if store.place != "server":
        return book
    # only with a team's server
    from diag.evaluation.team_frequencies import with_team_frequencies

    book, said = with_team_frequencies(book, store)
    if said:
        print(one_line(said, 1000), file=sys.stderr)
    return book


def _on_server(options: argparse.Namespace) -> bool:
    """Whether the case comes from a team's server, and from no file."""
    told = getattr(options, "case", "") or getattr(options, "add_to", "") or ""
    a_file = told == "-" or Path(told).suffix or os.sep in told
    if not hasattr(options, "store"):  # a command that looks at written cases and keeps no jobs
        return False
    named = options.store or ("" if options.folder else os.environ.get("DIAG_STORE", ""))
    return bool(told and not a_file and is_address(named))


def where_of(options: argparse.Namespace, must_exist: bool = True) -> str | Path:
    """Where the jobs are: the option, DIAG_STORE or DIAG_FOLDER, or the usual folder of this account.

    Raises:
        StorageError: a folder that was named does not exist, and has to.
    """
    told: Path | str | None = options.folder or options.store or None
    if told is None:
        told = os.environ.get("DIAG_STORE", "")
        return told if is_address(told) else Path(told).expanduser() if told else usual_folder()
    if is_address(str(told)):
        return str(told)
    folder = Path(told).expanduser()
    if must_exist and not folder.is_dir():
        raise StorageError(f"There is no folder {one_line(str(told), 200)!r}.", "Give a folder that exists.")
    return folder


def usual_folder() -> Path:
    """The folder of jobs when no option names one: DIAG_FOLDER, or that of this account."""
    # the store, for which a case named by its file does not wait
    from diag.casework.store import default_folder

    chosen = os.environ.get("DIAG_FOLDER", "")
    return Path(chosen).expanduser() if chosen else default_folder(os.environ, Path.home())


def store_of(options: argparse.Namespace, who: str = "", must_exist: bool = True) -> JobStore:
    """The jobs kept there, for a command that answers once."""
    return on_all_cores(store_at(where_of(options, must_exist), who))


def on_all_cores(store: JobStore) -> JobStore:
    """The same, with a first look over thousands of files on every core; for commands without threads."""
    # only for who looks at jobs
    from diag.casework.store import CaseStore

    if isinstance(store, CaseStore):
        store.readers = os.cpu_count() or 1
    return store


def store_at(where: str | Path, who: str = "") -> JobStore:
    """The jobs kept there, with the usual place for what can be made anew."""
    # SQLite, for which a case named by its file does not wait
    from diag.casework.index import default_cache

    return opened(where, who, default_cache(os.environ, Path.home()))


def demo_path(name: str) -> Path:
    """The file of a case that comes with the program.

    Raises:
        UnknownNameError: there is none of this name.
    """
    known = {path.stem: path for path in sorted(cases_folder().glob("*.yaml"))}
    if name not in known:
        error = UnknownNameError("demo case", one_line(name, 80), known)
        error.hint = error.hint or "List them: diag demo"
        raise error
    return known[name]


@dataclass(frozen=True, slots=True)
class Given:
    """A case as given: its name for messages, what reading it said, and the part to work with."""

    name: str
    result: ReadResult
    case: Case

    def remarks(self, book: RuleBook) -> tuple[str, ...]:
        """What there is to say about the file beside this rule book, one line each."""
        # arrays, for which a list of jobs does not wait
        from diag.casework.names import remarks_on

        return remarks_on(self.result, book, self.name)


def case_of(options: argparse.Namespace) -> Given:
    """The case that the options name.

    Raises:
        UserError: none or several are named, or the job is not known.
        CaseFileError: the file is damaged and ``--readable-part`` was not asked for.
        StorageError: it cannot be read.
    """
    if bool(options.case) == bool(options.demo):
        raise UserError("Name one case.", "Give a case file, '-' for standard input, a job's name, or --demo NAME.")
    name, text = _named_text(options)
    result = read_case(text, name)
    case = result.best() if options.readable_part else result.case
    if case is None:
        for problem in result.problems[1:]:
            print(one_line(problem.one_line(), 1000), file=sys.stderr)
        first = result.problems[0]
        if result.best() is not None:
            first.hint = f"{first.hint} The rest can be read: add --readable-part.".strip()
        raise first
    return Given(name, result, case)


def _named_text(options: argparse.Namespace) -> tuple[str, str]:
    if options.demo:
        path = demo_path(options.demo)
        return path.name, read_text(path, MOST_BYTES)
    if options.case == "-":
        data = sys.stdin.buffer.read(MOST_BYTES + 1)
        if len(data) > MOST_BYTES:
            raise UserError(f"More than {MAX_TEXT:,} characters came in.", "Give one case at a time.", "standard input")
        return "standard input", decode_utf8(data, "standard input")
    path = Path(options.case)
    if path.exists() or path.suffix or len(path.parts) > 1:
        return one_line(str(path), 300), read_text(path, MOST_BYTES)
    store = store_of(options)
    found = store.find(options.case)
    return f"{found}.yaml", store.text(found)
