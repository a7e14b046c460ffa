"""The program in a process forked from this one: as real as one started anew, and there in a tenth of the time."""

from __future__ import annotations

import contextlib
import fcntl
import os
import signal
import sys
import termios
from collections.abc import Mapping, Sequence

from diag.ui.cli.main import entry


class Forked:
    """What the tests of killed programs ask of a process, beside ``subprocess.Popen``.

    Args:
        arguments: what follows the name of the program.
        streams: descriptors for its input, output and errors.
        environment: all of it.
    """

    def __init__(self, arguments: Sequence[str], streams: tuple[int, int, int], environment: Mapping[str, str]) -> None:
        self.returncode: int | None = None
        self.pid = os.fork()
        if self.pid == 0:
            _become(arguments, streams, environment)

    def poll(self) -> int | None:
        """The exit code, once it has ended."""
        if self.returncode is None:
            pid, status = os.waitpid(self.pid, os.WNOHANG)
            if pid:
                self.returncode = os.waitstatus_to_exitcode(status)
        return self.returncode

    def wait(self) -> int:
        """Wait for its end."""
        if self.returncode is None:
            self.returncode = os.waitstatus_to_exitcode(os.waitpid(self.pid, 0)[1])
        return self.returncode

    def send_signal(self, number: int) -> None:
        """Nothing when it has ended."""
        if self.poll() is None:
            os.kill(self.pid, number)

    def kill(self) -> None:
        """At once."""
        self.send_signal(signal.SIGKILL)


def _become(arguments: Sequence[str], streams: tuple[int, int, int], environment: Mapping[str, str]) -> None:
    """In the child: another session, other streams, and then the program as installed; never comes back."""
    code = 1
    try:
        os.setsid()
        with contextlib.suppress(OSError):
            fcntl.ioctl(streams[0], termios.TIOCSCTTY, 0)
        for number, stream in enumerate(streams):
            os.dup2(stream, number)
        os.closerange(3, 256)
        os.environ.clear()
        os.environ.update(environment)
        sys.stdin = sys.__stdin__ = os.fdopen(0, "r", closefd=False)
        sys.stdout = sys.__stdout__ = os.fdopen(1, "w", closefd=False)
        sys.stderr = sys.__stderr__ = os.fdopen(2, "w", closefd=False)
        sys.argv = ["diag", *arguments]
        signal.signal(signal.SIGINT, signal.default_int_handler)
        entry()
    except SystemExit as ended:
        code = ended.code if isinstance(ended.code, int) else 0
    finally:
        os._exit(code)
