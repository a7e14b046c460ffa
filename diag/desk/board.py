"""The board of the desk: who has which call, since when, waiting for what; kept up to date while it is looked at.

The server tells everybody who listens which job changed (LISTEN and NOTIFY), by its number alone; what it says of the
job is then asked for with the listener's own rights. All times are worked out by the server's clock.
"""

from __future__ import annotations

import time
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Literal

from diag.casework.record import handed_over
from diag.desk.link import Link, UnreachableError, connect, driver
from diag.desk.pieces import WHOEVER
from diag.desk.server import ServerStore
from diag.support.errors import HeldElsewhereError, UserError

if TYPE_CHECKING:
    from psycopg import Connection

    Line = Connection[tuple[Any, ...]]

State = Literal["handed over", "nobody has it", "worked on", "waiting"]
GATHER = 0.15  # seconds in which changes are gathered before the board is asked again
_ROWS = """
select job, id, title, shop, status, waits, passed_to, passed_by, extract(epoch from clock_timestamp() - passed_at),
       case when held then who else '' end, case when held then machine else '' end,
       case when held then extract(epoch from clock_timestamp() - since) end, changed
from diag.board
"""


@dataclass(frozen=True, slots=True)
class Call:
    """One job on the board. Times are ages in seconds by the server's clock; None where nothing of it happened.

    ``who`` has it now, empty for nobody; ``passed_to`` is a name or ``whoever is free``, empty when not handed over.
    """

    key: int
    id: str
    title: str
    shop: str
    status: str
    waits: str
    passed_to: str
    passed_by: str
    passed_for: float | None
    who: str
    machine: str
    held_for: float | None
    changed: str

    @property
    def state(self) -> State:
        """What it needs."""
        if self.who:
            return "worked on"
        if self.passed_to:
            return "handed over"
        return "waiting" if self.status == "waiting for part" else "nobody has it"

    def is_for(self, who: str) -> bool:
        """Whether this person may take it up: handed to them or to whoever is free."""
        return self.state == "handed over" and self.passed_to.casefold() in (who.casefold(), WHOEVER)


_RANK: Mapping[State, int] = {"handed over": 0, "nobody has it": 1, "worked on": 2, "waiting": 3}


def in_order(calls: Iterable[Call]) -> list[Call]:
    """What somebody must take up first, longest waiting first; then what is worked on, then what waits for parts."""
    return sorted(calls, key=lambda c: (_RANK[c.state], -(c.passed_for or 0.0), c.changed, c.id))


def calls_now(line: Line, keys: Iterable[int] | None = None) -> dict[int, Call]:
    """The board, or what it says of these jobs; a job that has left it is not among them."""
    sql, values = (_ROWS, ()) if keys is None else (f"{_ROWS} where job = any (%s)", (list(keys),))
    rows = line.execute(sql.encode(), values).fetchall()
    return {row[0]: _call(*row) for row in rows}


def _call(*row: Any) -> Call:
    whole: tuple[Any, ...] = (*row[:8], _seconds(row[8]), *row[9:11], _seconds(row[11]), *row[12:])
    return Call(*whole)


def _seconds(value: object) -> float | None:
    return float(value) if value is not None else None  # type: ignore[arg-type]


class Watch:
    """The board kept up to date. Not for several threads at once.

    ``calls`` is what it says now; ``away`` says why it cannot be asked, empty while it can.
    """

    def __init__(self, link: Link) -> None:
        self._link = link
        self._ear: Line | None = None
        self.calls: dict[int, Call] = {}
        self.away = ""

    def look(self) -> None:
        """Begin to listen, and read the whole board; in this order, so that no change falls between.

        Raises:
            UnreachableError, UserError: it cannot be had.
        """
        self.close()
        self.calls = self._link.run(calls_now)  # the link's own check comes first
        try:
            self._ear = connect(self._link.address, self._link.patience)
            self._ear.execute("listen diag_board")
        except driver().OperationalError as error:
            raise UnreachableError("The server does not answer.", "", self._link.words) from error
        self.calls = self._link.run(calls_now)
        self.away = ""

    def changes(self, wait: float) -> dict[int, tuple[Call | None, Call | None]]:
        """Wait for something to change; the jobs concerned with what was said of them before and what is now.

        Args:
            wait: at most this many seconds; an empty answer means that nothing changed.
        """
        if self._ear is None or self._ear.closed:
            return self._again(wait)
        try:
            keys = self._heard(self._ear, wait)
            now = self._link.run(lambda line: calls_now(line, keys)) if keys else {}
        except (driver().OperationalError, UnreachableError) as error:
            self.away = str(error).splitlines()[0]
            self.close()
            return {}
        return self._taken(keys, now)

    def _heard(self, ear: Line, wait: float) -> set[int]:
        keys = {int(told.payload) for told in ear.notifies(timeout=wait, stop_after=1)}
        if keys:
            keys |= {int(told.payload) for told in ear.notifies(timeout=GATHER)}
        return keys

    def _again(self, wait: float) -> dict[int, tuple[Call | None, Call | None]]:
        """The server was away: everything may have changed."""
        before = self.calls
        try:
            self.look()
        except UserError as error:
            self.away = error.what
            time.sleep(min(wait, 1.0))
            return {}
        now, self.calls = self.calls, before
        return self._taken({*before, *now}, now)

    def _taken(
        self, keys: Iterable[int], now: Mapping[int, Call]
    ) -> dict[int, tuple[Call | None, Call | None]]:  # fmt: skip
        changed = {key: (self.calls.get(key), now.get(key)) for key in keys}
        self.calls = {**{k: c for k, c in self.calls.items() if k not in changed}, **now}
        return changed

    def close(self) -> None:
        """Stop listening."""
        if self._ear is not None:
            self._ear.close()
            self._ear = None


def give(store: ServerStore, case_id: str, to: str, note: str, at: str) -> None:
    """Hand a job to a person or to whoever is free, without working on it.

    Args:
        at: the time now, ISO 8601, UTC.

    Raises:
        HeldElsewhereError: somebody is working on it; they can hand it over themselves.
        UserError: nobody is named, or there is no such job.
    """
    with store.open(case_id) as held:
        held.save(handed_over(held.case, to, at=at, who=store.who, text=note))


def take_next(store: ServerStore) -> str:
    """Take the job that waited longest for this person or for whoever is free; its name.

    The store holds it until it is opened by that name, so that no two people take up one job.

    Raises:
        UserError: there is none.
    """
    waiting = [call for call in in_order(store.link.run(calls_now).values()) if call.is_for(store.who)]
    for call in waiting:
        try:
            store.reserve(call.id)
        except HeldElsewhereError:
            continue
        return call.id
    raise UserError(f"Nothing is handed to {store.who} or to whoever is free.", "See the board: diag board")
