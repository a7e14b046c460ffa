"""What is asked of a store of jobs, and one line of its answer."""

from __future__ import annotations

from dataclasses import dataclass

from diag.casework.entries import STATUSES
from diag.support.errors import UserError
from diag.support.text import one_line


@dataclass(frozen=True, slots=True)
class Query:
    """What to look for; empty fields do not restrict. ``text`` holds words that must all occur, in any order."""

    status: str = ""
    car: str = ""
    cause: str = ""
    text: str = ""
    since: str = ""  # date or time; last entry at or after
    until: str = ""  # date or time; last entry before or on that day
    limit: int = 200

    def __post_init__(self) -> None:
        if self.status and self.status not in STATUSES:
            raise UserError(f"There is no status {one_line(self.status, 30)!r}.", f"Use one of: {', '.join(STATUSES)}.")


@dataclass(frozen=True, slots=True)
class Found:
    """One line of a list. ``problem`` says why the file could not be read whole; then the rest is what could be."""

    id: str
    status: str
    opened: str
    changed: str
    title: str
    result: str
    proven: bool
    causes: tuple[str, ...]
    problem: str = ""
