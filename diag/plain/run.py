"""Starting the line-by-line mode."""

from __future__ import annotations

import os
from pathlib import Path

from diag.casework.store import CaseStore, default_folder
from diag.plain.talk import Talk
from diag.rulebook.model import RuleBook
from diag.session.job import Job
from diag.trust.errors import UserError


def run_plain(
    source: Job | CaseStore | None = None,
    book: RuleBook | None = None,
    *,
    cases: Path | None = None,
    rules: Path | None = None,
    case_id: str = "",
    title: str | None = None,
    who: str = "",
    phone: bool = False,
    take_over: bool = False,
    talk: Talk | None = None,
) -> int:
    """Work jobs in question and answer until the person quits or the input ends; every answer is on disk by then.

    Args:
        source: a folder of cases to choose from, or one job that is already open (it is closed at the end); None
            means the folder ``cases``, or the usual one.
        book: the rule book in use; None loads the one of ``rules``, or the usual one.
        case_id: go straight to this case of the folder, or to this case file.
        title: begin a new job of this title without asking for one.
        who: name or initials for the entries; empty asks once.
        phone: begin as the phone desk: who is at the other end, wording to read aloud.
        take_over: take a case that another program holds.
        talk: where lines come from and go to; None means this process's standard input and output.

    Returns:
        The exit code: 0 when the person ended it, 4 when answers could not be put on disk.

    Raises:
        UserError: the folder, the case or the rule book named cannot be used.
    """
    if source is None:
        source, case_id = _folder(cases, case_id, who)
    if book is None:
        from diag.rulebook.load import load_book
        from diag.rulebook.where import rules_folder

        book = load_book(rules or rules_folder())
    from diag.plain.conversation import Conversation

    return Conversation(source, book, talk or Talk.standard(), who=who, phone=phone).run(
        case_id, title or "", take_over
    )


def _folder(cases: Path | None, case: str, who: str) -> tuple[CaseStore, str]:
    """The folder of jobs and the job's name in it; a case file's folder is its folder."""
    if case and (os.sep in case or case.endswith(".yaml")):
        path = Path(case).expanduser()
        if not path.is_file():
            raise UserError(f"There is no file {case!r}.", "Check the path, or list the jobs: diag jobs")
        return CaseStore(path.resolve().parent, who), path.stem
    return CaseStore(cases or default_folder(os.environ, Path.home()), who), case
