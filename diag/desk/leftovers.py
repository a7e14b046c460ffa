"""What a program left in the outbox when it ended: sent by the next one on the same machine.

The hold it was told under counts on as long as nobody else took the job. Where somebody did, the whole job with these
answers becomes a copy beside it, made once however often this is tried.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Protocol

from diag.casework.casefile import put_together, read_case
from diag.casework.ids import SUFFIX
from diag.desk import finding
from diag.desk.link import UnreachableError
from diag.desk.outbox import Unsent
from diag.desk.pieces import named
from diag.desk.sending import LostError, Sender, copy_name, copy_token
from diag.support.errors import UserError

if TYPE_CHECKING:
    from contextlib import AbstractContextManager

    from diag.casework.entries import Case
    from diag.desk.link import Link
    from diag.desk.outbox import Outbox


class Sends(Protocol):
    """Where left answers go: the way to the server, the outbox they lie in, and what is told of them."""

    told: list[str]

    @property
    def link(self) -> Link:
        """The line to the server."""

    @property
    def outbox(self) -> Outbox:
        """Where programs leave what they could not send."""

    def sender(self, case_id: str, token: str, unsent: Unsent | None = None) -> Sender:
        """The way of one hold."""

    def begin(self, case: Case, token: str) -> AbstractContextManager[object]:
        """A new job, under a mark that was chosen before."""


def send_leftovers(store: Sends) -> bool:
    """Send everything that ended programs left; True when nothing is left behind. What happened goes to ``store.told``.

    A server that cannot be reached is no error here: everything stays where it is.
    """
    all_sent = True
    for unsent in store.outbox.left_behind():
        answers = "1 answer" if unsent.answers == 1 else f"{unsent.answers} answers"
        try:
            copy = _send(store, unsent)
        except UnreachableError:
            return False
        except UserError as error:
            all_sent = False
            store.told.append(f"{answers} of {unsent.id} could not be sent: {error.one_line()}")
            continue
        where = f" into the copy {copy}, since the job was taken over" if copy else ""
        store.told.append(f"{answers} of {unsent.id} that had not been sent went to the server{where}.")
    return all_sent


def _send(store: Sends, unsent: Unsent) -> str:
    """Send one file; the name of the copy where one had to be made, else empty."""
    whole = replace(unsent, batches=list(unsent.batches))
    sender = store.sender(unsent.id, unsent.token, unsent)
    try:
        _through(sender)
    except LostError:
        copy = _copied(store, whole)
        store.outbox.forget(whole)
        return copy
    sender.let_go()
    return ""


def _through(sender: Sender) -> None:
    if not sender.try_again():
        raise UnreachableError(sender.why)


def _copied(store: Sends, unsent: Unsent) -> str:
    """The job as that program saw it, under the copy's name."""
    first = unsent.batches[0]
    kept = store.link.run(lambda line: finding.kept(line, unsent.id))
    bodies = (kept.bodies if kept is not None else ())[: first.base]
    added = [item["body"] for batch in unsent.batches for item in batch.items]
    text = put_together(unsent.batches[-1].head, [*bodies, *added])
    name = copy_name(unsent.id, unsent.token)
    case = named(read_case(text, f"{unsent.id}{SUFFIX}"), name).whole()
    with store.begin(replace(case, title=f"{case.title} (copy)"), copy_token(unsent.token)):
        return name
