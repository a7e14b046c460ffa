"""A new entry to fill in, beside its neighbour: its fields with what each is for, and how the neighbour fills them.

Made from the field tables, so that it can never ask for what the loader does not know. Every field stands as a comment;
filling one in is taking its '#' away, and ``diag lint`` names what is still missing.
"""

from __future__ import annotations

import re
import textwrap
from collections.abc import Collection

from diag.rulebook.desk import ID_PATTERN
from diag.rulebook.tables import SECTIONS
from diag.support.errors import UnknownNameError, UserError

KINDS: dict[str, str] = {key: section for section, (key, _) in SECTIONS.items()}
"""Kind of entry, as it is written in the files -> the section of the file it stands in."""

WIDTH = 116


def skeleton(kind: str, name: str, neighbour: str = "", usual: Collection[str] = ()) -> list[str]:
    """The lines of a new entry.

    Args:
        neighbour: the text of the entry it stands beside, as it is written in its file; each of its fields becomes the
            example of the new one's.
        usual: fields that need not be said where the book's usual value is meant.

    Raises:
        UnknownNameError: there is no such kind of entry.
        UserError: the name is no name for an entry.
    """
    if kind not in KINDS:
        raise UnknownNameError("kind of entry", kind, KINDS)
    if not re.fullmatch(ID_PATTERN, name):
        hint = "Small letters, digits and hyphens, such as return-hose-swollen."
        raise UserError(f"{name!r} is no name for an entry.", hint)
    examples = _fields_of(neighbour)
    lines = [f"  - {kind}: {name}"]
    for field in SECTIONS[KINDS[kind]][1][1:]:
        needed = "Only where it is not as usual. " if field.name in usual else "NEEDED. " if field.need else ""
        lines += textwrap.wrap(f"{needed}{field.about}", WIDTH, initial_indent="    # ", subsequent_indent="    # ")
        example = examples.get(field.name, [])
        lines += [f"    #{line.removeprefix('    ')}" for line in example] or [f"    #{field.name}:"]
    return lines


def _fields_of(entry: str) -> dict[str, list[str]]:
    """The lines of each field of an entry as written."""
    found: dict[str, list[str]] = {}
    name = ""
    for line in entry.split("\n"):
        start = re.match(r"    (\w+):", line)
        if start:
            name = start[1]
        if name and line.strip() and not line.lstrip().startswith("#"):
            found.setdefault(name, []).append(line)
    return found


def entry_span(text: str, kind: str, name: str) -> tuple[int, int]:
    """First line of an entry in a file and the line after its last, counted from 0; blank lines after it are not its.

    Raises:
        UnknownNameError: the file has no such entry.
    """
    lines = text.split("\n")
    starts = {m[1]: at for at, line in enumerate(lines) if (m := re.match(rf"  - {kind}: ([\w -]+?)\s*$", line))}
    if name not in starts:
        raise UnknownNameError(kind, name, starts)
    begin = starts[name]
    end = next((at for at in range(begin + 1, len(lines)) if re.match(r"(?:  - |\S)", lines[at])), len(lines))
    while end > begin + 1 and not lines[end - 1].strip():
        end -= 1
    return begin, end


def beside(text: str, kind: str, name: str, neighbour: str, usual: Collection[str] = ()) -> tuple[str, int]:
    """The file's text with the new entry behind its neighbour, and the line (from 1) on which it begins.

    Raises:
        UnknownNameError: as ``skeleton`` and ``entry_span``.
        UserError: an entry of that name is there already, or the name is none.
    """
    lines = text.split("\n")
    if re.search(rf"^  - {kind}: {re.escape(name)}\s*$", text, re.MULTILINE):
        raise UserError(f"There is a {kind} called {name!r} already.", "Choose another name.")
    begin, end = entry_span(text, kind, neighbour)
    gap = [""] if end < len(lines) and not lines[end].strip() else []
    new = skeleton(kind, name, "\n".join(lines[begin:end]), usual)
    return "\n".join([*lines[:end], *gap, *new, *lines[end:]]), end + len(gap) + 1
