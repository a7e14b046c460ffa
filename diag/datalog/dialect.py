"""How a log's text is laid out: encoding, separator, decimal sign, heading line, line of units, first line of data."""

from __future__ import annotations

import csv
import re
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from diag.datalog.channels import matched
from diag.datalog.heading import Heading, read_heading, read_unit
from diag.datalog.numbers import is_value
from diag.support.errors import UserError

SEPARATORS = (",", ";", "\t", "|")
MOST_COLUMNS = 2000
LONGEST_PREAMBLE = 200  # lines of remarks that a logger may write before its heading
_COMMA_NUMBER = re.compile(r"[-+]?\d+,\d+$")
_POINT_NUMBER = re.compile(r"[-+]?\d*\.\d+$")


@dataclass(frozen=True, slots=True)
class Dialect:
    """The layout of the text. ``first`` counts the lines before the data."""

    encoding: str
    separator: str
    decimal_comma: bool
    headings: tuple[Heading, ...]
    first: int


def encoding_of(head: bytes) -> str:
    """UTF-8 or UTF-16 by its mark; else UTF-8 when it can be that, else the Latin-1 of Western systems."""
    if head.startswith((b"\xff\xfe", b"\xfe\xff")):
        return "utf-16"
    if b"\0" in head[:4096]:
        raise UserError("This is not a text file.", "Export the log as CSV or as tab-separated text.")
    try:
        # The head may end inside a character.
        head[: max(len(head) - 4, 0)].decode("utf-8-sig")
    except UnicodeDecodeError:
        return "cp1252" if not re.search(rb"[\x81\x8d\x8f\x90\x9d]", head) else "latin-1"
    return "utf-8-sig"


def fields_of(lines: Sequence[str], separator: str) -> list[list[str]]:
    """Lines cut at a separator; a stray quote costs its own line only."""
    rows = []
    for line in lines:
        try:
            rows.append(next(csv.reader([line], delimiter=separator), []))
        except csv.Error:
            rows.append(line.replace('"', "").split(separator))
    return rows


def separator_of(lines: Sequence[str]) -> str:
    """The separator that cuts most lines into the same number of fields, more than one; the earlier one of two."""
    best, mark = "", 0.0
    for separator in SEPARATORS:
        counts = Counter(len(row) for row in fields_of(lines, separator))
        width, often = max(counts.items(), key=lambda item: (item[1] * (item[0] > 1), item[0]))
        share = often / max(len(lines), 1)
        # A decimal comma cuts lines evenly as well; the true separator leaves numbers whole.
        whole = _share_of_values(fields_of(lines[-30:], separator), separator)
        if width > 1 and share * (0.2 + whole) > mark + 1e-9:
            best, mark = separator, share * (0.2 + whole)
    if not best:
        raise UserError("No columns were found in this file.", "Export the log with commas, semicolons or tabs.")
    return best


def _share_of_values(rows: Sequence[Sequence[str]], separator: str) -> float:
    cells = [cell for row in rows for cell in row if cell.strip()]
    if not cells:
        return 0.0
    good = sum(is_value(cell, separator != ",") for cell in cells)
    return good / len(cells)


def dialect_of(head: bytes, whole: bool) -> Dialect:
    """The layout, from the first part of the file; ``whole`` when that is all of it.

    Raises:
        UserError: it is no table with a heading, in one sentence.
    """
    encoding = encoding_of(head)
    lines = head.decode(encoding, "replace").lstrip("\ufeff").splitlines()
    if not whole:
        lines = lines[:-1]
    told = [line for line in lines if line.strip()]
    if len(told) < 2:
        raise UserError("The file holds no readings.", "Export the log again.")
    separator = separator_of(told[:400])
    rows = fields_of(lines[: LONGEST_PREAMBLE + 200], separator)
    width = Counter(len(row) for row in rows if len(row) > 1).most_common(1)[0][0]
    if width > MOST_COLUMNS:
        raise UserError(f"{width} columns are too many.", "Export the channels that matter here.")
    first = _first_data(rows, width, separator)
    comma = _decimal_comma(rows[first : first + 100], separator)
    return Dialect(encoding, separator, comma, _headings(rows, first, width), first)


def _first_data(rows: Sequence[Sequence[str]], width: int, separator: str) -> int:
    """The first line from which on most cells are values."""
    for at, row in enumerate(rows):
        cells = [cell for cell in row if cell.strip()]
        if len(row) < max(width - 1, 2) or not cells:
            continue
        if sum(is_value(cell, separator != ",") for cell in cells) >= 0.6 * len(cells):
            if at == 0:
                raise UserError("The file has no line of headings.", "Export the log with its channel names.")
            return at
    raise UserError("No readings were found below the headings.", "Check that this is the log itself.")


def _headings(rows: Sequence[Sequence[str]], first: int, width: int) -> tuple[Heading, ...]:
    above = [row for row in rows[:first] if len([c for c in row if c.strip()]) >= max(0.5 * width, 2)]
    if not above:
        raise UserError("The file has no line of headings.", "Export the log with its channel names.")
    # The line that names most channels holds the headings; a line of units or of kinds of number may follow it.
    known = [len(matched([read_heading(cell) for cell in row])) for row in above]
    at = max(range(len(above)), key=lambda i: (known[i], not _is_units(above[i]), i))
    names = above[at]
    units = next((list(row) for row in above[at + 1 :] if _is_units(row)), [])
    names = [*names, *[""] * (width - len(names))][:width]
    units = [*units, *[""] * (width - len(units))][:width]
    return tuple(read_heading(name, unit) for name, unit in zip(names, units, strict=True))


def _is_units(row: Sequence[str]) -> bool:
    told = [cell.strip("[](){} ") for cell in row if cell.strip("[](){} -")]
    known = sum(bool(read_unit(cell)[1]) for cell in told)
    return bool(told) and known >= 0.5 * len(told)


def _decimal_comma(rows: Sequence[Sequence[str]], separator: str) -> bool:
    cells = [cell.strip() for row in rows for cell in row]
    commas = sum(bool(_COMMA_NUMBER.match(cell)) for cell in cells)
    points = sum(bool(_POINT_NUMBER.match(cell)) for cell in cells)
    if separator == "," and commas == 0:
        return False
    return commas > points
