"""Time and memory of the program as a whole process, first screen included: what a person waits for."""

from __future__ import annotations

import contextlib
import math
import os
import select
import shutil
import struct
import subprocess
import sys
import tempfile
import time
from dataclasses import replace
from pathlib import Path

from diag.evaluation.bench import Row

RUNS = 5
VERSION, JSON, HTML = (50.0, math.nan), (500.0, 150.0), (1000.0, 200.0)  # ms and MB
FIRST_SCREEN = 300.0  # ms
SCREEN_LIMIT = 30.0
COMMAND = (sys.executable, "-m", "diag")


def whole_process(case: Path | None, runs: int = RUNS) -> list[Row]:
    """Version, case file to JSON and to a report, and first screen; medians of some runs, memory as the largest.

    A case is weighed as one whose car an earlier run met, and as one met for the first time.
    """
    with tempfile.TemporaryDirectory() as folder:
        environment = _environment(folder)
        rows = _timed("diag --version, whole process", ["--version"], runs, environment, VERSION)
        if case is not None:
            weigh, report = ["weigh", str(case), "--json"], ["report", str(case), "--as", "html"]
            for car, anew in (("", False), (", a new car", True)):
                rows += _timed(f"case file to JSON{car}, whole process", weigh, runs, environment, JSON, anew)
                rows += _timed(f"case file to HTML report{car}, whole process", report, runs, environment, HTML, anew)
            rows = [replace(row, note=f"{row.note}; {case.stem}") if "case" in row.name else row for row in rows]
        if os.name == "posix":
            rows += _first_screen(runs, environment)
        return rows


def _environment(folder: str) -> dict[str, str]:
    """As somebody starts it who has installed it: compiled modules and what is kept of rules and cars, here in a folder
    of our own."""
    found = {**os.environ, "PYTHONPYCACHEPREFIX": os.path.join(folder, "compiled"), "XDG_CACHE_HOME": folder}
    found.pop("DIAG_NO_CACHE", None)
    found.pop("PYTHONDONTWRITEBYTECODE", None)
    return found


# A small process between: the size that the system reports for a child counts what its parent held when it forked.
_MEASURE = """
import resource, subprocess, sys, time
start = time.perf_counter()
subprocess.run(sys.argv[1:], stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
spent = time.perf_counter() - start
used = resource.getrusage(resource.RUSAGE_CHILDREN)
print(spent, used.ru_maxrss, used.ru_utime + used.ru_stime)
"""


def _timed(
    name: str,
    arguments: list[str],
    runs: int,
    environment: dict[str, str],
    bars: tuple[float, float],
    anew: bool = False,
) -> list[Row]:
    """Time, processor time and memory of one command; ``bars`` of time and memory. ``anew`` forgets all cars before."""
    times, sizes, worked = [], [], []
    for _ in range(runs + 1):
        if anew:
            shutil.rmtree(Path(environment["XDG_CACHE_HOME"], "diag", "cars"), ignore_errors=True)
        command = [sys.executable, "-S", "-c", _MEASURE, *COMMAND, *arguments]
        told = subprocess.run(command, capture_output=True, text=True, check=True, env=environment)
        spent, size, used = map(float, told.stdout.split())
        times.append(1e3 * spent)
        worked.append(1e3 * used)
        sizes.append(size / (1024.0 if sys.platform != "darwin" else 1024.0**2))
    note = f"median of {runs} after one more"
    return [
        Row(name, sorted(times[1:])[runs // 2], math.nan, "ms", note, bars[0]),
        Row(f"{name}: processor time", sorted(worked[1:])[runs // 2], math.nan, "ms", note),
        Row(f"{name}: memory", max(sizes), math.nan, "MB", "largest resident size", bars[1]),
    ]


def _first_screen(runs: int, environment: dict[str, str]) -> list[Row]:
    """From starting the process to the first full paint of the first screen, on a pseudo-terminal of 80 by 24."""
    times = []
    for _ in range(runs + 1):
        spent = _paint_once(environment)
        if spent is None:
            return [Row("first screen", math.nan, math.nan, "ms", "nothing was drawn")]
        times.append(spent)
    middle = sorted(times[1:])[runs // 2]
    return [Row("first screen, 80x24", middle, math.nan, "ms", f"median of {runs} after one more", FIRST_SCREEN)]


def _paint_once(environment: dict[str, str]) -> float | None:
    """Milliseconds until the screen first shows a word of its own, or None."""
    # not on every system
    import fcntl
    import pty
    import termios

    with tempfile.TemporaryDirectory() as folder:
        start = time.perf_counter()
        pid, terminal = pty.fork()
        if pid == 0:
            env = {**environment, "TERM": "xterm-256color", "TEXTUAL_ANIMATIONS": "none"}
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
