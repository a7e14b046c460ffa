"""Lines of text to columns of numbers, piece by piece, thinned on the way so that any length of log fits.

A piece without oddities is read by the array library's own reader; one with gaps, words or broken lines is read cell
by cell. A log of more rows than are kept is averaged over groups of neighbouring rows; what the rail pressure
scatters inside a group is kept, so that ripple is not lost.
"""

from __future__ import annotations

import csv
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from diag.datalog.dialect import Dialect, fields_of
from diag.datalog.numbers import Floats, column, times

MOST_ROWS = 1_500_000  # rows kept; a longer log is averaged over groups


@dataclass(frozen=True, slots=True)
class Rows:
    """Columns as written, without units.

    ``values`` (rows, columns) with NaN where nothing could be read; ``scatter`` (rows,) is the standard deviation of
    the first column inside each group of ``group`` rows, 0 for single rows; ``read`` and ``lost`` count lines.
    """

    values: Floats
    scatter: Floats
    group: int
    read: int
    lost: int
    clock: bool  # the time column held times of day


def read_rows(pieces: Iterable[list[str]], dialect: Dialect, at: Sequence[int], time_at: int | None, size: int,
              ) -> Rows:  # fmt: skip
    """Read the columns ``at`` (the first is the one whose scatter matters) and the time column, which comes last.

    Args:
        size: bytes of the file, from which the number of rows is foreseen.
    """
    reader = _Reader(dialect, at, time_at)
    kept: list[Floats] = []
    scatters: list[Floats] = []
    group, read, skip = 0, 0, dialect.first
    left = np.empty((0, len(at) + 1))
    for lines in pieces:
        skipped = min(skip, len(lines))
        skip -= skipped
        lines = lines[skipped:]
        if not lines:
            continue
        if not group:
            letters = sum(map(len, lines[:200])) / len(lines[:200]) + 1.0
            group = max(1, int(np.ceil(size / letters / MOST_ROWS)))
        block = reader.block(lines)
        read += len(block)
        if group == 1:
            kept.append(block)
            continue
        block = np.concatenate([left, block])
        whole = len(block) // group * group
        left = block[whole:]
        mean, scatter = _grouped(block[:whole], group)
        kept.append(mean)
        scatters.append(scatter)
    values = np.concatenate(kept) if kept else np.empty((0, len(at) + 1))
    scatter = np.concatenate(scatters) if scatters else np.zeros(len(values))
    return Rows(values, scatter, max(group, 1), read, reader.lost, reader.clock)


def _grouped(block: Floats, group: int) -> tuple[Floats, Floats]:
    """Averages of groups of rows (rows / group, columns) and the scatter of the first column in each."""
    shaped = block.reshape(-1, group, block.shape[1])
    there = np.isfinite(shaped)
    count = there.sum(axis=1)
    total = np.where(there, shaped, 0.0).sum(axis=1)
    with np.errstate(invalid="ignore", divide="ignore"):
        mean = total / count
        first = np.where(there[:, :, 0], shaped[:, :, 0] - mean[:, None, 0], 0.0)
        scatter = np.sqrt((first**2).sum(axis=1) / np.maximum(count[:, 0] - 1, 1))
    return mean, scatter


def _with_blanks_named(lines: Sequence[str], separator: str) -> list[str]:
    """The lines with a word in every empty cell that the array library reads as missing."""
    text = "\n" + "\n".join(lines) + "\n"
    for _ in range(2):  # every second of a row of empty cells is found at a time
        text = text.replace(separator * 2, f"{separator}nan{separator}")
    text = text.replace(f"{separator}\n", f"{separator}nan\n").replace(f"\n{separator}", f"\nnan{separator}")
    return text[1:-1].split("\n")


class _Reader:
    """Lines to a block of numbers (rows, columns + time); counts what was lost."""

    def __init__(self, dialect: Dialect, at: Sequence[int], time_at: int | None) -> None:
        self.dialect = dialect
        self.at = [*at, *([time_at] if time_at is not None else [])]
        self.time_at = time_at
        self.clock = False
        self.lost = 0

    def block(self, lines: list[str]) -> Floats:
        """One piece: the quick way where it goes, else cell by cell."""
        found = self._read_quickly(lines)
        if found is None:
            # Most often only because slow channels leave cells empty.
            found = self._read_quickly(_with_blanks_named(lines, self.dialect.separator))
        return found if found is not None else self._read_cells(lines)

    def _read_quickly(self, lines: list[str]) -> Floats | None:
        d = self.dialect
        if d.decimal_comma:
            lines = [line.replace(",", ".") for line in lines]
        try:
            block = np.loadtxt(lines, delimiter=d.separator, usecols=self.at, quotechar='"', comments=None, ndmin=2)
        except (ValueError, IndexError):
            return None
        if not np.isfinite(block).all():
            block[~np.isfinite(block)] = np.nan
        return self._with_time(np.asarray(block, dtype=np.float64))

    def _with_time(self, block: Floats) -> Floats:
        if self.time_at is not None:
            return block
        return np.column_stack([block, np.full(len(block), np.nan)])

    def _read_cells(self, lines: list[str]) -> Floats:
        width = len(self.dialect.headings)
        rows = self._cut([line for line in lines if line.strip()])
        good = [row for row in rows if len(row) >= max(2, width // 2)]
        self.lost += len(rows) - len(good)
        empty = [""] * width
        columns = list(zip(*[row if len(row) >= width else [*row, *empty[len(row) :]] for row in good], strict=False))
        if not columns:
            return np.empty((0, len(self.at) + (self.time_at is None)))
        comma = self.dialect.decimal_comma
        parts = [column(columns[at], comma) for at in self.at[: len(self.at) - (self.time_at is not None)]]
        if self.time_at is not None:
            seconds, clock = times(columns[self.time_at], comma)
            self.clock = self.clock or clock
            parts.append(seconds)
        block = self._with_time(np.column_stack(parts))
        # A line that says nothing of any channel (a heading repeated, a remark) is no row.
        told = np.isfinite(block[:, : len(self.at)]).any(axis=1)
        self.lost += int((~told).sum())
        return block[told]

    def _cut(self, lines: list[str]) -> list[list[str]]:
        try:
            rows = list(csv.reader(lines, delimiter=self.dialect.separator))
        except csv.Error:
            return fields_of(lines, self.dialect.separator)
        # A stray quote joins lines; then each line is cut by itself.
        return rows if len(rows) == len(lines) else fields_of(lines, self.dialect.separator)
