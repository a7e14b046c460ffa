"""The signals that end a program unless it catches them (signal(7), POSIX.1-2017)."""

from __future__ import annotations

import signal
import threading
from collections.abc import Callable

_NAMES = (
    "SIGTERM", "SIGHUP", "SIGQUIT", "SIGUSR1", "SIGUSR2", "SIGALRM", "SIGVTALRM", "SIGPROF", "SIGXCPU", "SIGPOLL",
    "SIGPWR", "SIGSTKFLT", "SIGBREAK", "SIGABRT", "SIGTRAP", "SIGSYS",
)  # fmt: skip
_REAL_TIME = tuple(range(int(signal.SIGRTMIN), int(signal.SIGRTMAX) + 1)) if hasattr(signal, "SIGRTMIN") else ()
ENDING: tuple[int, ...] = tuple(
    dict.fromkeys([*(int(number) for name in _NAMES if (number := getattr(signal, name, None))), *_REAL_TIME])
)
"""Those that a handler may answer. Interrupts are not among them: they have a way of their own."""

FAULTS = frozenset(
    int(number) for name in ("SIGILL", "SIGFPE", "SIGSEGV", "SIGBUS") if (number := getattr(signal, name, None))
)
"""Those of a faulty instruction: after a handler the same instruction would run again, for ever."""


def watch_faults(end: Callable[[int], None]) -> None:
    """Have ``end`` told of a fault signal that somebody sends; a real fault still ends the process at once.

    The signals are blocked and waited for in a thread: one that is sent stays pending and is found there, one that the
    process's own instruction raises while blocked kills it (POSIX.1-2017, 2.4.1). ``end`` runs in that thread.
    """
    if not hasattr(signal, "pthread_sigmask") or threading.current_thread() is not threading.main_thread():
        return
    signal.pthread_sigmask(signal.SIG_BLOCK, FAULTS)
    threading.Thread(target=lambda: end(int(signal.sigwait(FAULTS))), name="faults", daemon=True).start()
