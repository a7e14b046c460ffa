"""A file whose YAML is broken, taken apart so that every readable piece can still be read by itself."""

from __future__ import annotations

import re
import textwrap
from collections.abc import Iterator
from itertools import islice

from diag.casework.problems import Problems
from diag.support.errors import Place, SourceError
from diag.support.yaml.reader import Map, Node, Scalar, Seq, read_yaml

_TOP_KEY = re.compile(r"[A-Za-z_][A-Za-z0-9_ -]*:(?:\s|\Z)")
_DASH = re.compile(r"( *)- ")
_CONFLICT = re.compile(r"(<{7}|={7}|>{7}|\|{7})(\s|\Z)")  # what version control leaves where two versions clash
_ENDS = ("...", "..", ".")  # the end mark, perhaps cut off
MOST_PIECES = 5_000
MOST_HEADER_PIECES = 200
MOST_LETTERS = 1_000_000


def pieces(text: str, problems: Problems) -> tuple[dict[str, Node], list[Node]]:
    """Header fields by name and entry nodes, each read alone; what cannot be read is noted."""
    header: dict[str, Node] = {}
    entries: list[Node] = []
    if len(text) > MOST_LETTERS:
        return header, entries
    lines = _without_conflicts(text.split("\n"), problems)
    start = next((i for i, line in enumerate(lines) if line.startswith("entries:")), len(lines))
    for first, block in islice(_blocks(lines, 0, start, _TOP_KEY), MOST_HEADER_PIECES):
        node = _read(block, first, problems)
        if isinstance(node, Map):
            for key, value in node.items.items():
                header.setdefault(key, value)
    for first, block in _entry_blocks(lines, start + 1):
        depth = len(block) - len(block.lstrip(" "))
        node = _read(textwrap.dedent(block), first, problems, depth)
        if isinstance(node, Seq):
            entries.extend(node.items)
    return header, entries


def _without_conflicts(lines: list[str], problems: Problems) -> list[str]:
    """Both sides of a clash are kept: entries of the second side get new numbers later."""
    marks = [at for at, line in enumerate(lines) if _CONFLICT.match(line)]
    if marks:
        problems.say(
            "Version control has left both versions of a clash here.",
            "The readable part holds the entries of both; look them through and save.",
            Place(problems.file, marks[0] + 1, 1),
        )
    return ["" if _CONFLICT.match(line) else line for line in lines] if marks else lines


def _blocks(lines: list[str], start: int, stop: int, begins: re.Pattern[str]) -> Iterator[tuple[int, str]]:
    """Runs of lines, each beginning where the pattern matches; what comes before the first is skipped."""
    first: int | None = None
    for i in range(start, stop):
        if begins.match(lines[i]):
            if first is not None:
                yield first, "\n".join(lines[first:i])
            first = i
    if first is not None:
        yield first, "\n".join(lines[first:stop])


def _entry_blocks(lines: list[str], start: int) -> Iterator[tuple[int, str]]:
    """One block for each dash at the depth of the first dash, up to the end mark."""
    stop = next((i for i in range(start, len(lines)) if lines[i].rstrip() in _ENDS), len(lines))
    dash = next((found for i in range(start, stop) if (found := _DASH.match(lines[i]))), None)
    if dash is None:
        return
    begins = re.compile(f" {{{len(dash[1])}}}- ")
    yield from islice(_blocks(lines, start, stop, begins), MOST_PIECES)


def _read(block: str, first: int, problems: Problems, depth: int = 0) -> Node | None:
    """One block as a node with the places of the whole file, or None with the problem noted."""
    try:
        node = read_yaml(block + "\n", problems.file)
    except SourceError as error:
        place = _moved(error.place or Place(problems.file, 1, 1), first, depth)
        if (place.line, error.what) not in {(p.place.line, p.what) for p in problems.found if p.place}:
            problems.say(error.what, error.hint or "This piece is left out of the readable part.", place)
        return None
    _move(node, first, depth)
    return node


def _moved(place: Place, down: int, right: int) -> Place:
    return Place(place.file, max(place.line, 1) + down, max(place.column, 1) + right)


def _move(node: Node, down: int, right: int) -> None:
    """Give a freshly read node, and all below it, its place in the whole file."""
    node.place = _moved(node.place, down, right)
    if isinstance(node, Scalar):
        return
    if isinstance(node, Map):
        node.places = {key: _moved(place, down, right) for key, place in node.places.items()}
    for part in node.items.values() if isinstance(node, Map) else node.items:
        _move(part, down, right)
