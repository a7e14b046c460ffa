"""The board of a team's desk in words: lines of a table, and what just changed."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable

from diag.desk.board import Call
from diag.support.text import one_line

HEADINGS = ("job", "since", "who", "waits for", "title")


def age_words(seconds: float | None) -> str:
    """``under a minute``, ``12 min``, ``3 h 05 min``, ``2 days``; empty for None."""
    if seconds is None:
        return ""
    minutes = int(max(seconds, 0.0) // 60)
    if minutes < 1:
        return "under a minute"
    if minutes < 60:
        return f"{minutes} min"
    if minutes < 48 * 60:
        return f"{minutes // 60} h {minutes % 60:02} min"
    return f"{minutes // (24 * 60)} days"


def who_words(call: Call) -> str:
    """Who has it, or whom it waits for."""
    if call.who:
        on = f", then {one_line(call.passed_to, 30)}" if call.passed_to else ""
        return f"{one_line(call.who, 30)} has it{on}"
    if call.passed_to:
        return f"for {one_line(call.passed_to, 30)}, from {one_line(call.passed_by, 30)}"
    return "nobody has it"


def waits_words(call: Call) -> str:
    """What it waits for."""
    if call.status == "waiting for part":
        return one_line(call.waits, 60) or "a part"
    return "" if call.who else "somebody"


def row_words(call: Call) -> tuple[str, str, str, str, str]:
    """One line of the table, in the order of ``HEADINGS``."""
    since = age_words(call.held_for if call.who else call.passed_for)
    since = since or one_line(call.changed, 30).replace("T", " ")[:16]
    return call.id, since, who_words(call), waits_words(call), one_line(call.title, 60)


def count_words(calls: Iterable[Call]) -> str:
    """``7 on the board: 2 handed over, 1 nobody has, 4 worked on, 0 waiting.``"""
    found = Counter(call.state for call in calls)
    return (
        f"{sum(found.values())} on the board: {found['handed over']} handed over, {found['nobody has it']} nobody has, "
        f"{found['worked on']} worked on, {found['waiting']} waiting."
    )


def change_words(before: Call | None, now: Call | None) -> str:
    """What happened to a job, one sentence; empty when nothing that the board shows."""
    call = now or before
    if call is None:
        return ""
    return f"{one_line(call.title, 60)} ({call.id}): {said}." if (said := _change(before, now)) else ""


def _change(before: Call | None, now: Call | None) -> str:
    if now is None:
        return "closed"
    if before is None:
        return f"new on the board, {who_words(now)}"
    if now.who != before.who:
        return (
            f"{one_line(now.who, 30)} took it" if now.who else f"{one_line(before.who, 30)} let go of it" + _left(now)
        )
    if (now.passed_to, now.passed_by) != (before.passed_to, before.passed_by) and now.passed_to:
        return f"handed over to {one_line(now.passed_to, 30)} by {one_line(now.passed_by, 30)}"
    if (now.status, now.waits) != (before.status, before.waits):
        return f"waits for {waits_words(now)}" if now.status == "waiting for part" else f"now {now.status}"
    return "renamed" if now.title != before.title else ""


def _left(now: Call) -> str:
    return f", {who_words(now)}" if now.passed_to else ""
