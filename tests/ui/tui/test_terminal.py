"""A real pseudo-terminal: start, resize, interrupt, signals, a crash; the terminal is as before in every case."""

from __future__ import annotations

import contextlib
import fcntl
import os
import pty
import re
import select
import signal
import struct
import subprocess
import sys
import termios
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.ui.forked import Forked

pytestmark = pytest.mark.slow  # several seconds: whole jobs, screens or processes

PATIENCE = 40.0
INTO_SCREEN, OUT_OF_SCREEN = "\x1b[?1049h", "\x1b[?1049l"
MOUSE_ON, MOUSE_OFF = "\x1b[?1000h", "\x1b[?1000l"
CRASHING = """
import sys
from pathlib import Path
from diag.ui.tui.app import DiagApp, Options
from diag.ui.tui.screens.start import StartScreen
def break_down(self):
    secret_answer = "the caller's own words"
    raise RuntimeError(secret_answer)
StartScreen.do_search = break_down
app = DiagApp(Options(Path(sys.argv[1])))
app.run()
sys.exit(app.return_code)
"""


class Terminal:
    """A program on a pseudo-terminal of its own; ``forked`` from this process, or started anew."""

    def __init__(
        self, arguments: list[str], size: tuple[int, int] = (24, 80), forked: bool = False, **more: str
    ) -> None:
        self.master, slave = pty.openpty()
        self.resize(size)
        self.before = termios.tcgetattr(slave)
        environment = {k: v for k, v in os.environ.items() if k not in ("NO_COLOR", "COLORTERM", "TEXTUAL")}
        environment.update({"TERM": "xterm-256color", "LANG": "C.UTF-8", "LC_ALL": "C.UTF-8", **more})
        self.process: subprocess.Popen[bytes] | Forked = (
            Forked(arguments[3:], (slave, slave, slave), environment)
            if forked
            else subprocess.Popen(
                arguments, stdin=slave, stdout=slave, stderr=slave, env=environment, start_new_session=True
            )
        )
        self.slave = slave
        self.seen = ""

    def resize(self, size: tuple[int, int]) -> None:
        """Lines and columns."""
        fcntl.ioctl(self.master, termios.TIOCSWINSZ, struct.pack("HHHH", *size, 0, 0))

    def until(self, holds: Callable[[str], bool], what: str) -> None:
        """Read until something was written."""
        end = time.monotonic() + PATIENCE
        while not holds(self.seen):
            assert time.monotonic() < end, f"never came: {what}; seen {self.seen[-2000:]!r}"
            self._read(0.1)

    def _read(self, seconds: float) -> None:
        if select.select([self.master], [], [], seconds)[0]:
            with contextlib.suppress(OSError):
                self.seen += os.read(self.master, 65536).decode("utf-8", "replace")

    def send(self, keys: str) -> None:
        """Type."""
        os.write(self.master, keys.encode())

    def end(self) -> int:
        """Wait for the end and return the exit code."""
        end = time.monotonic() + PATIENCE
        while self.process.poll() is None:
            assert time.monotonic() < end, "did not end"
            self._read(0.05)
        self._read(0.2)
        return self.process.returncode

    def restored(self) -> bool:
        """Screen, mouse and line settings are as before."""
        back = self.seen.rfind(OUT_OF_SCREEN) > self.seen.rfind(INTO_SCREEN)
        mouse = self.seen.rfind(MOUSE_OFF) >= self.seen.rfind(MOUSE_ON)
        return back and mouse and termios.tcgetattr(self.slave)[:4] == self.before[:4]

    def close(self) -> None:
        """Let go."""
        if self.process.poll() is None:
            self.process.kill()
            self.process.wait()
        os.close(self.master)
        os.close(self.slave)


@pytest.fixture
def opened():
    """Terminals that are closed whatever happens."""
    made: list[Terminal] = []

    def open_one(arguments: list[str], size: tuple[int, int] = (24, 80), **more: str) -> Terminal:
        made.append(Terminal(arguments, size, **more))
        return made[-1]

    yield open_one
    for terminal in made:
        terminal.close()


def work(folder: Path, *more: str) -> list[str]:
    """The command."""
    return [sys.executable, "-m", "diag", "work", "--cases", str(folder), "--who", "ES", *more]


def test_start_resize_work_and_leave_with_an_interrupt(opened, tmp_path: Path) -> None:
    """The first screen comes, a resize repaints, a job is begun, Ctrl+C ends it with everything on disk."""
    terminal = opened(work(tmp_path))
    terminal.until(lambda s: "new job in the workshop" in s, "the first screen")
    terminal.resize((40, 120))
    os.killpg(terminal.process.pid, signal.SIGWINCH)
    time.sleep(0.5)
    terminal.send("n")
    terminal.until(lambda s: "What is this job called" in s, "the name")
    terminal.send("Plover\r")
    terminal.until(lambda s: "that is all" in s, "the complaint")
    terminal.send("\x03")
    assert terminal.end() == 130
    assert terminal.restored()
    (case,) = tmp_path.glob("*.yaml")
    assert "Plover" in case.read_text()


ENDED_BY = (
    "SIGTERM", "SIGHUP", "SIGINT", "SIGQUIT", "SIGUSR1", "SIGUSR2", "SIGALRM", "SIGVTALRM", "SIGPROF", "SIGXCPU",
    "SIGPOLL", "SIGPWR", "SIGABRT", "SIGTRAP", "SIGSYS", "SIGILL", "SIGFPE", "SIGSEGV", "SIGBUS", "SIGRTMIN",
)  # fmt: skip


def caught() -> list[signal.Signals]:
    """Every signal of this system that would end a program and can be caught (signal(7))."""
    return [getattr(signal, name) for name in ENDED_BY if hasattr(signal, name)]


@pytest.mark.parametrize("number", caught(), ids=lambda n: n.name)
def test_a_signal_restores_the_terminal(opened, tmp_path: Path, number: signal.Signals) -> None:
    """Ended from outside: the terminal is as before and the exit code says which signal it was."""
    terminal = opened(work(tmp_path, "--new", "Wren"))
    terminal.until(lambda s: "that is all" in s, "the complaint")
    os.kill(terminal.process.pid, number)
    assert terminal.end() == 128 + number
    assert terminal.restored()
    assert list(tmp_path.glob("*.yaml"))


@pytest.mark.parametrize("end", ["key", "signal"])
@pytest.mark.parametrize("stop", [signal.SIGSTOP, signal.SIGTSTP], ids=lambda n: n.name)
def test_stopped_and_continued_it_still_restores_the_terminal(
    opened, tmp_path: Path, stop: signal.Signals, end: str
) -> None:
    """Stopped, continued twice, worked on, ended by a key or a signal: the line settings are those of before."""
    terminal = opened(work(tmp_path))
    terminal.until(lambda s: "new job in the workshop" in s, "the first screen")
    for _ in range(2):
        at = len(terminal.seen)
        os.kill(terminal.process.pid, stop)
        terminal.until(lambda _: bool(os.waitpid(terminal.process.pid, os.WUNTRACED | os.WNOHANG)[0]), "the stop")
        os.kill(terminal.process.pid, signal.SIGCONT)
        terminal.until(lambda s, at=at: "new job in the workshop" in s[at:], "the first screen again")
    if end == "key":
        terminal.send("q")
    else:
        os.kill(terminal.process.pid, signal.SIGTERM)
    assert terminal.end() == (0 if end == "key" else 143)
    assert terminal.restored()


def test_a_crash_restores_the_terminal_and_tells_no_secrets(opened, tmp_path: Path) -> None:
    """A fault in the program: one line, no traceback with what was typed, exit code 1."""
    terminal = opened([sys.executable, "-c", CRASHING, str(tmp_path)])
    terminal.until(lambda s: "new job in the workshop" in s, "the first screen")
    terminal.send("s")
    assert terminal.end() == 1
    assert terminal.restored()
    assert "caller's own words" not in terminal.seen
    assert "Traceback" not in terminal.seen
    assert "Fault in the program (RuntimeError)" in terminal.seen


def test_without_colour_no_colour_code_is_written(opened, tmp_path: Path) -> None:
    """NO_COLOR: reverse, bold and underline carry everything; an empty NO_COLOR does not count (no-color.org)."""
    terminal = opened(work(tmp_path, "--ascii"), NO_COLOR="1")
    terminal.until(lambda s: "new job in the workshop" in s, "the first screen")
    terminal.send("q")
    assert terminal.end() == 0
    codes = [code for found in re.findall("\x1b\\[([0-9;]*)m", terminal.seen) for code in found.split(";")]
    coloured = {code for code in codes if code and (30 <= int(code) <= 49 or 90 <= int(code) <= 107)} - {"39", "49"}
    assert not coloured
    painted = re.sub("\x1b\\[[0-9;?<>=]*[A-Za-z]", "", terminal.seen)
    assert painted.isascii(), sorted({c for c in painted if not c.isascii()})


@pytest.mark.parametrize("how", ["dumb", "pipe"])
def test_where_no_screen_can_be_drawn_none_is_drawn(tmp_path: Path, how: str) -> None:
    """TERM=dumb or no terminal: line by line, without a single escape."""
    environment = {**os.environ, "TERM": "dumb" if how == "dumb" else "xterm-256color"}
    done = subprocess.run(
        work(tmp_path), stdin=subprocess.DEVNULL, capture_output=True, text=True, env=environment, timeout=PATIENCE,
        check=False,
    )  # fmt: skip
    assert "\x1b" not in done.stdout + done.stderr
    assert "Traceback" not in done.stderr
