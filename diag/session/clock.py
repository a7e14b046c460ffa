"""The time of a job: now, as cases store it, and back."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime

Clock = Callable[[], datetime]


def system_clock() -> datetime:
    """The time now, in UTC."""
    return datetime.now(UTC)


def stamp(now: datetime) -> str:
    """A time as cases store it: ISO 8601, UTC, whole seconds."""
    return now.astimezone(UTC).replace(microsecond=0).isoformat().replace("+00:00", "Z")


def moment(text: str) -> datetime:
    """The time that a case stores; one written by hand without its zone counts as UTC."""
    found = datetime.fromisoformat(text)
    return found if found.tzinfo else found.replace(tzinfo=UTC)
