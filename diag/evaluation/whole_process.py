"""Time and memory of the program as a whole process, first screen included: what a person waits for."""

from __future__ import annotations

import contextlib
import math
import os
import select
import struct
import subprocess
import sys
import tempfile
import time
from pathlib import Path

from diag.evaluation.bench import Row

RUNS = 5
SCREEN_LIMIT = 30.0
COMMAND = (sys.executable, "-m", "diag")


def whole_process(case: Path | None) -> list[Row]:
    """Version, case file to JSON, and first screen; medians of ``RUNS`` runs, memory as the largest of them."""
    rows = _timed("diag --version, whole process", ["--version"])
    if case is not None:
        rows += _timed("case file to JSON, whole process", ["weigh", str(case), "--json"])
    if os.name == "posix":
        rows += _first_screen()
    return rows


# A small process between: the size that the system reports for a child counts what its parent held when it forked.
_MEASURE = """
import resource, subprocess, sys, time
start = time.perf_counter()
subprocess.run(sys.argv[1:], stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
print(time.perf_counter() - start, resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss)
"""


def _timed(name: str, arguments: list[str]) -> list[Row]:
    times, sizes = [], []
    for _ in range(RUNS + 1):
        told = subprocess.run(
            [sys.executable, "-S", "-c", _MEASURE, *COMMAND, *arguments], capture_output=True, text=True, check=True
        )
        spent, size = map(float, told.stdout.split())
        times.append(1e3 * spent)
        sizes.append(size / (1024.0 if sys.platform != "darwin" else 1024.0**2))
    return [
        Row(name, sorted(times[1:])[RUNS // 2], math.nan, "ms", f"median of {RUNS} runs after one more"),
        Row(f"{name}: memory", max(sizes), math.nan, "MB", "largest resident size"),
    ]


def _first_screen() -> list[Row]:
    """From starting the process to the first full paint of the first screen, on a pseudo-terminal of 80 by 24."""
    times = []
    for _ in range(RUNS + 1):
        spent = _paint_once()
        if spent is None:
            return [Row("first screen", math.nan, math.nan, "ms", "nothing was drawn")]
        times.append(spent)
    return [Row("first screen, 80x24", sorted(times[1:])[RUNS // 2], math.nan, "ms", f"median of {RUNS} runs")]


def _paint_once() -> float | None:
    """Milliseconds until the screen first shows a word of its own, or None."""
    # not on every system
    import fcntl
    import pty
    import termios

    with tempfile.TemporaryDirectory() as folder:
        start = time.perf_counter()
        pid, terminal = pty.fork()
        if pid == 0:
            env = {**os.environ, "TERM": "xterm-256color", "TEXTUAL_ANIMATIONS": "none"}
            os.execve(sys.executable, [*COMMAND, "work", "--cases", folder], env)
        fcntl.ioctl(terminal, termios.TIOCSWINSZ, struct.pack("HHHH", 24, 80, 0, 0))
        seen, spent = b"", None
        while time.perf_counter() - start < SCREEN_LIMIT:
            if not select.select([terminal], [], [], 0.5)[0]:
                continue
            try:
                seen += os.read(terminal, 65536)
            except OSError:
                break
            # The last row of the screen is drawn last; the cursor is only sent there with content behind it.
            if b"\x1b[24;" in seen or seen.count(b"\n") > 20 or len(seen) > 4000:
                spent = 1e3 * (time.perf_counter() - start)
                break
        with contextlib.suppress(ProcessLookupError):
            os.kill(pid, 9)
        os.waitpid(pid, 0)
        os.close(terminal)
        return spent
