"""The way to the server: connections that are opened when needed, an end to waiting, and failures in plain words.

The library that speaks to the server is imported here, inside functions, and nowhere else: a folder of jobs needs none.
Everything that is run here may be run twice: the functions of the schema recognise what was stored already.
"""

from __future__ import annotations

import threading
import time
from collections.abc import Callable
from functools import cache
from typing import TYPE_CHECKING, Any, TypeVar

from diag.desk.address import checked, shown, without_secrets
from diag.support.errors import StorageError, UserError
from diag.support.text import one_line

if TYPE_CHECKING:
    from psycopg import Connection

    Line = Connection[tuple[Any, ...]]
    Work = Callable[[Line], "T"]

T = TypeVar("T")
PATIENCE = 5.0  # seconds for one answer to be taken; a person waits for it
LONG_PATIENCE = 600.0  # seconds for what goes through all jobs
REST = 2.0  # seconds after a failure in which nothing is tried that somebody waits for


class UnreachableError(StorageError):
    """The server does not answer, or the way to it is cut; what was told meanwhile is kept on this machine."""


def driver() -> Any:
    """The library; imported when a server is first spoken to.

    Raises:
        UserError: it is not installed.
    """
    try:
        # the driver is an extra, only for a team's server
        import psycopg
    except ImportError:
        raise UserError(
            "Jobs on a server need a package that is not installed here.", "Install it: pip install 'diag[desk]'"
        ) from None
    return psycopg


class Link:
    """Connections to one address; safe to use from several threads.

    Args:
        address: ``postgresql://...`` without a password.
        check: run once with the first connection; raises what forbids going on.
        patience: seconds until an answer counts as not coming.
    """

    def __init__(self, address: str, check: Callable[[Line], None] | None = None, patience: float = PATIENCE) -> None:
        self.address = checked(address)
        self.words = shown(address)
        self.patience = patience
        self._check = check
        self._checked = check is None
        self._idle: list[Line] = []
        self._lock = threading.Lock()
        self._rest_until = 0.0

    @property
    def resting(self) -> bool:
        """Whether the server failed a moment ago, so that nobody should be made to wait for it again."""
        return time.monotonic() < self._rest_until

    def run(self, work: Callable[[Line], T], patience: float | None = None) -> T:
        """Do something with a connection that commits by itself; tried again once when an idle one proves dead.

        Raises:
            UnreachableError: the server does not answer.
            UserError: it refuses, with the reason.
        """
        errors = driver().errors
        fresh = False
        while True:
            try:
                line, fresh = self._line()
            except errors.OperationalError as error:
                raise self._unreachable(error) from None
            line.patience = patience or self.patience  # type: ignore[attr-defined]
            try:
                found = work(line)
            except (errors.OperationalError, errors.InterfaceError) as error:
                silent = getattr(line, "went_silent", False)
                self._drop(line)
                if not fresh and not silent:
                    continue
                raise self._unreachable(error) from None
            except errors.Error as error:
                self._drop(line)
                raise refusal(error) from None
            except UserError:
                self._put_back(line)
                raise
            except BaseException:
                self._drop(line)
                raise
            self._rest_until = 0.0
            self._put_back(line)
            return found

    def close(self) -> None:
        """Close what is idle; a later use opens it anew."""
        with self._lock:
            idle, self._idle = self._idle, []
        for line in idle:
            line.close()

    def _line(self) -> tuple[Line, bool]:
        """An idle connection or a new one, and whether it is new."""
        with self._lock:
            if self._idle:
                return self._idle.pop(), False
        line = connect(self.address, self.patience)
        if not self._checked and self._check is not None:
            try:
                self._check(line)
            except BaseException:
                line.close()
                raise
            self._checked = True
        return line, True

    def _put_back(self, line: Line) -> None:
        with self._lock:
            self._idle.append(line)

    def _drop(self, line: Line) -> None:
        """One connection failed: the idle ones are as old, so they go as well."""
        line.close()
        self.close()

    def _unreachable(self, error: Exception) -> UnreachableError:
        self._rest_until = time.monotonic() + min(REST, self.patience)
        self.close()
        return UnreachableError(f"The server does not answer: {said(error)}.", "", self.words)


def connect(address: str, patience: float = PATIENCE) -> Line:
    """One connection that never waits longer than its ``patience`` (seconds, may be changed) for the server.

    Raises:
        psycopg.OperationalError: it cannot be had.
    """
    psycopg = driver()
    limit = max(2, round(patience))
    line: Line = _patient(psycopg).connect(
        address,
        autocommit=True,
        connect_timeout=limit,
        application_name="diag",
        keepalives_idle=10,
        keepalives_interval=5,
        tcp_user_timeout=int(1000 * patience),
    )
    line.patience = patience  # type: ignore[attr-defined]
    return line


@cache
def _patient(psycopg: Any) -> Any:
    """The library's connection, which gives up on a server that went silent; the system would wait for many minutes."""

    class PatientConnection(psycopg.Connection):  # type: ignore[misc]
        patience = PATIENCE
        went_silent = False

        def wait(self, gen: Any, *args: Any, timeout: float | None = None, **more: Any) -> Any:
            if timeout is not None:
                return super().wait(gen, *args, timeout=timeout, **more)
            try:
                return super().wait(gen, *args, timeout=self.patience, **more)
            except psycopg.errors._WaitTimeout:
                self.went_silent = True
                self.pgconn.finish()
                raise psycopg.OperationalError(f"no answer within {self.patience:g} seconds") from None

    return PatientConnection


def said(error: Exception) -> str:
    """What the library says, in one line and without secrets."""
    told = getattr(getattr(error, "diag", None), "message_primary", None) or str(error)
    words = without_secrets(told).strip().splitlines()
    return one_line(words[0] if words else type(error).__name__, 300).rstrip(".")


def refusal(error: Exception) -> UserError:
    """The server answered and said no: in plain words."""
    errors = driver().errors
    if isinstance(error, errors.InsufficientPrivilege):
        return UserError("Your account on the server may not do this.", "Ask whoever looks after the desk.")
    if isinstance(error, errors.UndefinedTable | errors.InvalidSchemaName | errors.UndefinedFunction):
        return UserError("This database holds no desk, or an older one.", "Set it up: diag server set-up --store ...")
    return StorageError(f"The server would not do it: {said(error)}.")
