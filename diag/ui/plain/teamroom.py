"""A team's board beside a job, line by line."""

from __future__ import annotations

from diag.support.errors import UserError
from diag.support.text import one_line
from diag.ui.plain.room import Room

MOST = 20


def board(room: Room, rest: str) -> None:
    """What somebody must take up first, then what is worked on, then what waits for parts."""
    if room.store is None or room.store.place != "server":
        raise UserError("Only a team's server has a board.", "Say jobs for the list.")
    from diag.desk.board import calls_now, in_order  # nobody who works from a folder waits for it
    from diag.desk.server import ServerStore
    from diag.presentation.board_words import age_words, count_words, waits_words, who_words

    assert isinstance(room.store, ServerStore)
    words = rest.casefold().split()
    calls = in_order(room.store.link.run(calls_now).values())
    for call in [c for c in calls if all(word in f"{c.id} {c.title}".casefold() for word in words)][:MOST]:
        since = age_words(call.held_for if call.who else call.passed_for)
        waits = waits_words(call) if call.status == "waiting for part" else ""
        facts = [who_words(call), *([since] if since else []), *([f"waits for {waits}"] if waits else [])]
        room.talk.say(f"- {one_line(call.title, 60)}, {call.id}: {', '.join(facts)}")
    room.talk.say(count_words(calls))
