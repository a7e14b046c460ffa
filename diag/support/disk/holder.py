"""Who holds a lock: which computer, which process, since when, and whether that process is proven dead."""

from __future__ import annotations

import hashlib
import os
import platform
import re
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from diag.support.text import one_line

_MACHINE_ID = Path("/etc/machine-id")
_BOOT_ID = Path("/proc/sys/kernel/random/boot_id")


@cache
def host_name() -> str:
    """This computer's name, fit for a file name, with a mark that two computers of one name do not share."""
    name = re.sub(r"[^A-Za-z0-9_]", "_", platform.node())[:40] or "computer"
    try:
        # Hashed, since machine-id(5) asks not to show the number itself.
        mark = hashlib.sha256(b"diag" + _MACHINE_ID.read_bytes().strip()).hexdigest()[:6]
    except OSError:
        return name
    return f"{name}_{mark}"


def boot_id() -> str:
    """Changes with every start of this computer; empty where the system does not tell."""
    try:
        return _BOOT_ID.read_text(encoding="ascii").strip()[:40]
    except OSError:
        return ""


def process_start(pid: int) -> str:
    """When a process began, in a form that only equals itself; empty where the system does not tell.

    A process number is used again some day; number and start together are not.
    """
    try:
        words = Path(f"/proc/{pid}/stat").read_text(encoding="utf-8", errors="replace").rpartition(")")[2].split()
        return words[19]  # field 22, starttime; proc(5)
    except (OSError, IndexError):
        return ""


def process_lives(pid: int) -> bool | None:
    """Whether a process of this computer runs; None when the system cannot say."""
    if os.name == "nt" or pid <= 0:
        return None  # signal 0 would end the process there
    try:
        os.kill(pid, 0)
    except ProcessLookupError:
        return False
    except PermissionError:
        return True
    except (OSError, OverflowError):
        return None
    return True


@dataclass(frozen=True, slots=True)
class Holder:
    """What a lock file says about its holder. ``since`` is an ISO 8601 time, UTC; ``who`` may be empty."""

    host: str
    pid: int
    start: str
    boot: str
    since: str
    who: str = ""

    def as_line(self) -> str:
        """One line for the lock file."""
        fields = (self.host, str(self.pid), self.start, self.boot, self.since, one_line(self.who, 60))
        return "\t".join(field.replace("\t", " ") for field in fields) + "\n"

    def words(self) -> str:
        """For a message: ``Mira (computer larkhill, process 4711, since 2026-11-25 09:10)``."""
        since = self.since.replace("T", " ")[:16]
        inside = f"computer {one_line(self.host, 40)}, process {self.pid}, since {one_line(since, 20)} UTC"
        return f"{one_line(self.who, 60)} ({inside})" if self.who else inside

    def dead(self) -> bool:
        """True only on proof: a process of this computer that ended, or began before the last start of it."""
        if self.host != host_name():
            return False
        here = boot_id()
        if self.boot and here and self.boot != here:
            return True
        lives = process_lives(self.pid)
        if lives is None:
            return False
        if not lives:
            return True
        start = process_start(self.pid)
        return bool(self.start and start and start != self.start)


def me(since: str, who: str = "") -> Holder:
    """This process as a holder."""
    pid = os.getpid()
    return Holder(host_name(), pid, process_start(pid), boot_id(), since, who)


def from_line(text: str) -> Holder | None:
    """The holder a lock file names, None when it is empty or cannot be understood."""
    fields = text.rstrip("\n").split("\t")
    if len(fields) != 6 or not fields[1].isdigit() or len(fields[1]) > 10:
        return None
    host, pid, start, boot, since, who = (one_line(field, 80) for field in fields)
    return Holder(host, int(pid), start, boot, since, who)
