"""The listener of a rule book: made once, in the background while somebody still types, and shared by all jobs."""

from __future__ import annotations

import threading

from diag.hearing.listen import Listener
from diag.rulebook.derived import derived
from diag.rulebook.model import RuleBook

_ONE_AT_A_TIME = threading.Lock()  # whoever speaks while it is being made waits for it, and does not make another


def listener_of(book: RuleBook) -> Listener:
    """What understands people's words in this book; the first call takes some tenths of a second."""
    with _ONE_AT_A_TIME:
        return derived(book, Listener)


def make_listener_ready(book: RuleBook) -> None:
    """Begin to make it, so that the first sentence is answered at once."""
    threading.Thread(target=listener_of, args=(book,), name="listener", daemon=True).start()
