"""Cells of a log as numbers, as forgiving as can be without guessing: what is no number is missing, never zero."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

_CLOCK = re.compile(
    r"(?:(\d{1,4})[-/.](\d{1,2})[-/.](\d{1,4})[T ]+)?(\d{1,3}):(\d{1,2})(?::(\d{1,2}))?"
    r"(?:[.,](\d+)|(?<=:\d\d):(\d{1,3}))?"
    r"\s*(?:Z|([AaPp])\.?[Mm]\.?)?$"
)
_LEADING = re.compile(r"[-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d{1,3})?")
_THOUSANDS = re.compile(r"[-+]?\d{1,3}(?:,\d{3})+(?:\.\d+)?$")
DAY = 86_400.0


def clock_seconds(text: str) -> float:
    """A time of day as seconds since midnight; NaN when it is none. ``3:25.5`` is minutes and seconds."""
    found = _CLOCK.match(text.strip())
    if not found:
        return math.nan
    first, second, third, half = found.group(4), found.group(5), found.group(6), found.group(9)
    part = found.group(7) or (found.group(8) if third is not None else None)
    fraction = float(f"0.{part}") if part else 0.0
    if third is None:
        whole = int(first) * 60.0 + int(second) if part else int(first) * 3600.0 + int(second) * 60.0
        return whole + fraction
    hours = int(first)
    if half:
        hours = hours % 12 + (12 if half in "Pp" else 0)
    return hours * 3600.0 + int(second) * 60.0 + int(third) + fraction


def is_value(text: str, comma: bool) -> bool:
    """Whether a cell is a number or a time of day."""
    cell = text.strip().strip('"')
    return not math.isnan(number(cell, comma)) or not math.isnan(clock_seconds(cell))


def number(text: str, comma: bool) -> float:
    """One cell as a number; a unit or a mark behind the figure is passed over; NaN for anything else."""
    cell = text.strip().strip("\"'")
    if _THOUSANDS.match(cell) and not comma:
        cell = cell.replace(",", "")
    elif comma:
        cell = cell.replace(".", "").replace(",", ".") if "," in cell else cell
    found = _LEADING.match(cell)
    if not found or len(cell) - found.end() > 12:
        return math.nan
    rest = cell[found.end() :].strip()
    if rest and (rest[0].isdigit() or rest[0] in ":/.,-+"):
        return math.nan
    value = float(found.group())
    return value if math.isfinite(value) else math.nan


def column(cells: Sequence[str], comma: bool) -> Floats:
    """A column of cells as numbers (rows,), NaN where there is none."""
    try:
        if comma:
            cells = [c.replace(",", ".") for c in cells]
        values = np.array([float(c) if c else math.nan for c in cells])
    except ValueError:
        values = np.array([_forgiving(c, comma) for c in cells])
    values[~np.isfinite(values)] = np.nan
    return values


def _forgiving(cell: str, comma: bool) -> float:
    try:
        return float(cell)
    except ValueError:
        return number(cell, comma)


def times(cells: Sequence[str], comma: bool) -> tuple[Floats, bool]:
    """A column of times: numbers as they stand, or seconds of the day (second value true)."""
    first = next((c.strip() for c in cells if c.strip()), "")
    if math.isnan(clock_seconds(first)):
        return column(cells, comma), False
    return np.array([clock_seconds(c) for c in cells]), True
