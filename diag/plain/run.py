"""Starting the line-by-line mode."""

from __future__ import annotations

from diag.casework.store import CaseStore
from diag.plain.talk import Talk
from diag.rulebook.model import RuleBook
from diag.session.job import Job


def run_plain(
    source: Job | CaseStore,
    book: RuleBook,
    *,
    who: str = "",
    case_id: str = "",
    title: str = "",
    phone: bool = False,
    take_over: bool = False,
    talk: Talk | None = None,
) -> int:
    """Work jobs in question and answer until the person quits or the input ends; every answer is on disk by then.

    Args:
        source: a folder of cases to choose from, or one job that is already open (it is closed at the end).
        book: the rule book in use.
        who: name or initials for the entries; empty asks once.
        case_id: go straight to this case of the folder.
        title: start a new job of this title without asking for one.
        phone: begin as the phone desk: who is at the other end, wording to read aloud.
        take_over: take a case that another program holds.
        talk: where lines come from and go to; None means this process's standard input and output.

    Returns:
        The exit code: 0 when the person ended it.

    Raises:
        UserError: the folder or the case named cannot be used.
    """
    from diag.plain.conversation import Conversation

    return Conversation(source, book, talk or Talk.standard(), who=who, phone=phone).run(case_id, title, take_over)
