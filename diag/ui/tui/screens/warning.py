"""Stop rules that answer to something just told: shown at once, on whatever screen it was told."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from textual.app import App

from diag.casework.entries import Acknowledged
from diag.presentation.stop_rules import to_be_told
from diag.session.job import Job
from diag.ui.tui.card import row
from diag.ui.tui.rows_stops import is_loud, stop_rows
from diag.ui.tui.screens.pages import NoticeScreen


def warn(app: App[Any], job: Job, then: Callable[[], None]) -> bool:
    """Show the rules in force that nobody has acknowledged; True when there were some. ``then`` follows the reading."""
    read = {e.rule for e in job.case.effective() if isinstance(e, Acknowledged)}
    fresh = [rule for rule in to_be_told(job.standing.stops) if is_loud(rule) and rule.id not in read]
    if not fresh:
        return False
    phone = job.standing.situation.by_phone
    say = [row("SAY", '"Stop, please. Do exactly this first:"', "strong")] if phone else []
    words = "I have said this, and they have done it" if phone else "I have read this and it is done"

    def read_it(done: bool | None) -> None:
        for rule in fresh if done else ():
            job.acknowledge(rule.id)
        then()

    app.push_screen(NoticeScreen("STOP. Read this first.", [*say, *stop_rows(fresh, full=True)], words), read_it)
    return True
