"""Short cuts for tests of data logs: made logs on disk, read and analysed."""

from __future__ import annotations

from pathlib import Path

from diag.datalog.analysis import Analysis, analysed
from diag.datalog.log import Log, Wishes, read_log
from tests.datalog.simulated import Made, MadeLog, as_text, made_log

PSI = 6894.757


def write(folder: Path, text: str, encoding: str = "utf-8") -> Path:
    """A file of this text."""
    path = folder / "run.csv"
    path.write_bytes(text.encode(encoding))
    return path


def read(folder: Path, text: str, encoding: str = "utf-8", **columns: str) -> Log:
    """The log of this text; channels with blanks are told with underscores."""
    told = {name.replace("_", " "): column for name, column in columns.items()}
    return read_log(write(folder, text, encoding), {}, Wishes(told))


def made(folder: Path, what: Made) -> tuple[MadeLog, Analysis]:
    """A made log and its analysis."""
    log = made_log(what)
    return log, analysed(read(folder, as_text(log.columns)), what.base * PSI)
