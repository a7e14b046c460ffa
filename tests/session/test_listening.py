"""One listener a rule book, however many ask for it at once."""

from __future__ import annotations

import threading
from dataclasses import replace

from diag.session.listening import listener_of, make_listener_ready
from tests.ui.plain.person import the_book


def test_whoever_asks_while_it_is_being_made_gets_the_same_listener() -> None:
    """Made in the background and asked for by four at once: one listener, which hears."""
    book = replace(the_book())  # a copy keeps nothing of the old one's
    make_listener_ready(book)
    found = []
    askers = [threading.Thread(target=lambda: found.append(listener_of(book))) for _ in range(4)]
    for asker in askers:
        asker.start()
    for asker in askers:
        asker.join()
    assert len(found) == 4
    assert len({id(one) for one in found}) == 1
    assert found[0].hear("it won't start").ticked
