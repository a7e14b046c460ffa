"""What commands write: clean text to standard output or, as a whole, to a file."""

from __future__ import annotations

import contextlib
import json
import sys
import textwrap
import time
from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import Any

from diag.support.disk.files import write_atomic
from diag.support.text import clean, one_line

WIDTH = 78
MOST_TEXT = 5_000_000


def say(text: str) -> None:
    """Finished text to standard output, cleaned; what its encoding lacks becomes a question mark."""
    with contextlib.suppress(AttributeError, ValueError):
        sys.stdout.reconfigure(errors="replace")  # type: ignore[union-attr]
    shown = clean(text, MOST_TEXT)
    sys.stdout.write(shown if shown.endswith("\n") else shown + "\n")


def remark(text: str) -> None:
    """One line to standard error, beside the result."""
    print(one_line(text, 1000), file=sys.stderr)


def deliver(text: str, to: Path | None) -> None:
    """A whole document: to the file when one is named, else to standard output."""
    if to is None:
        say(text)
        return
    write_atomic(to, text if text.endswith("\n") else text + "\n")
    remark(f"Written: {to}")


def json_text(data: Mapping[str, Any]) -> str:
    """JSON in documented key order, ASCII only, so that nothing in it can steer a terminal."""
    return json.dumps(data, indent=2, allow_nan=False) + "\n"


def fold(text: str, indent: str = "", hang: str | None = None, width: int = WIDTH) -> list[str]:
    """One paragraph as lines of a readable width; figures stay with their units as far as spaces allow."""
    later = indent if hang is None else hang
    shown = one_line(text, 4000)
    return textwrap.wrap(shown, width, initial_indent=indent, subsequent_indent=later, break_on_hyphens=False) or [""]


def table(headings: tuple[str, ...], rows: Iterable[tuple[str, ...]], gap: str = "  ") -> list[str]:
    """Columns of text, as wide as their widest member; the last one is not padded."""
    all_rows = [headings, *rows] if headings else list(rows)
    clean_rows = [tuple(one_line(cell, 200) for cell in row) for row in all_rows]
    if not clean_rows:
        return []
    widths = [max(len(row[at]) for row in clean_rows) for at in range(len(clean_rows[0]))]
    lines = [gap.join(cell.ljust(w) for cell, w in zip(row, widths, strict=True)).rstrip() for row in clean_rows]
    if headings:
        lines.insert(1, gap.join("-" * w for w in widths))
    return lines


def time_left(spent: float, done: int, total: int) -> str:
    """About how long the rest takes after ``spent`` seconds, in words; empty while too little is done to tell."""
    if done >= total or spent < 5.0 or done < 2:
        return ""
    left = spent * (total - done) / done
    return f", about {left / 60.0:.0f} min left" if left >= 90.0 else f", about {left:.0f} s left"


class Progress:
    """How far a long piece of work is, on one line of a terminal; nothing where standard error is none."""

    def __init__(self) -> None:
        self._start = time.monotonic()

    def __call__(self, done: int, total: int) -> None:
        """Say it, over what was said before."""
        if sys.stderr.isatty():
            line = f"{done} of {total}{time_left(time.monotonic() - self._start, done, total)}"
            print(f"\r{line:<40}", end="" if done < total else "\n", file=sys.stderr, flush=True)
