"""The terminal's driver, with what the library's own leaves out: a stop that no handler hears of, and its end.

SIGSTOP cannot be caught, so the library's driver is still drawing when SIGCONT comes, starts to draw a second time, and
takes the raw terminal for the one to go back to. Here the first drawing is ended before the second begins.
"""

from __future__ import annotations

import contextlib
import os
import sys
from collections.abc import Iterator
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from textual.driver import Driver


def driver_class() -> type[Driver] | None:
    """Our driver for a terminal of this system; None where the library is to choose (Windows, a browser)."""
    if sys.platform == "win32" or os.environ.get("TEXTUAL_DRIVER"):
        return None
    from textual.drivers.linux_driver import LinuxDriver  # not to be had on every system

    class TerminalDriver(LinuxDriver):
        """Draws once at a time; stops and goes on between two events, never inside a signal's handler.

        A handler may come at any instruction, also while an earlier one is waiting for the thread that reads the keys.
        """

        _drawing = False

        def _sigtstp_application(self, *_: object) -> None:
            self._loop.call_soon_threadsafe(self._stop_here)

        def _stop_here(self) -> None:
            super()._sigtstp_application()

        def _sigcont_application(self, *_: object) -> None:
            self._loop.call_soon_threadsafe(self._go_on)

        def _go_on(self) -> None:
            super()._sigcont_application()

        def start_application_mode(self) -> None:
            """Take the terminal; one that is already taken is given back first, with its settings of before."""
            if self._drawing:
                self.suspend_application_mode()
            self._drawing = True
            super().start_application_mode()  # type: ignore[no-untyped-call,unused-ignore]

        def stop_application_mode(self) -> None:
            """Give it back."""
            self._drawing = False
            super().stop_application_mode()  # type: ignore[no-untyped-call,unused-ignore]

    return TerminalDriver


@contextlib.contextmanager
def settings_kept() -> Iterator[None]:
    """The terminal's line settings afterwards as before, whatever happens between."""
    try:
        # not on every system
        import termios
    except ImportError:  # another system: it has no such settings
        yield
        return
    before = None
    with contextlib.suppress(OSError, ValueError, termios.error):
        before = (sys.__stdin__.fileno(), termios.tcgetattr(sys.__stdin__.fileno())) if sys.__stdin__ else None
    try:
        yield
    finally:
        if before is not None:
            with contextlib.suppress(OSError, termios.error):
                termios.tcsetattr(before[0], termios.TCSADRAIN, before[1])
