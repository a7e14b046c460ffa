"""The job card: rows with a word at the left edge and text beside it, wrapped to any width. Pure.

Looks are names, not colours: "" plain, "strong", "quiet", "alarm" (stop), "care" (caution), "key" (something to press),
"good", "mark". Every look differs from plain text in weight, reverse video or by the words it stands on, so that
nothing is told by colour alone.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from rich.cells import cell_len, set_cell_size

from diag.support.text import clean, one_line
from diag.ui.tui.glyphs import UNICODE, Glyphs

MARGIN = 8  # cells of the left edge


class Part(NamedTuple):
    """Some text in one look; ``action`` names what a click on it does, empty for nothing."""

    text: str
    look: str = ""
    action: str = ""


@dataclass(frozen=True, slots=True)
class Row:
    """One paragraph. ``label`` stands at the left edge in its look; ``hang`` indents the lines after the first."""

    label: str = ""
    parts: tuple[Part, ...] = ()
    label_look: str = "strong"
    hang: int = 0
    fill: str = ""  # look of the rest of each line, so that a stop is one solid block
    clip: bool = False  # one line only, cut at the edge


Line = list[Part]
_BREAKS = re.compile("([ \n])")
_FLAT = {ord(c): " " for c in "\n\t\xa0"}


def row(label: str, text: str | Sequence[Part], look: str = "", hang: int = 0, **more: str) -> Row:
    """A row from plain text or parts."""
    parts = (Part(text, look),) if isinstance(text, str) else tuple(text)
    return Row(label, parts, more.get("label_look", "strong"), hang, more.get("fill", ""))


def key_click(key: str) -> str:
    """What a click on something carries that a key does as well."""
    return f"key:{key}"


def keys(choices: Iterable[tuple[str, str]], gap: str = "   ") -> tuple[Part, ...]:
    """Parts for things to press: key and words; a click on one does what its key does."""
    parts: list[Part] = []
    for key, words in choices:
        action = key_click(key)
        if parts:
            parts.append(Part(gap))
        told = one_line(words, 60).replace(" ", "\xa0")
        parts += [Part(f"[{key}]", "key", action), Part(f"\xa0{told}", "", action)]
    return tuple(parts)


def lay_out(rows: Iterable[Row], width: int, glyphs: Glyphs = UNICODE, margin: int = MARGIN) -> list[Line]:
    """Rows as lines no wider than ``width`` cells. Words too long for a line are cut into pieces."""
    lines: list[Line] = []
    for item in rows:
        lines += _one_row(item, max(width, margin + 8), glyphs, margin)
    return lines


def plain_text(lines: Iterable[Line]) -> str:
    """The lines as text, for tests and files."""
    return "\n".join("".join(part.text for part in line).rstrip() for line in lines)


def _one_row(item: Row, width: int, glyphs: Glyphs, margin: int) -> list[Line]:
    room = width - margin
    lines: list[Line] = []
    for words in [_clipped(item, room, glyphs)] if item.clip else _wrapped(item, room, glyphs):
        label = _label(item.label, margin, glyphs) if margin and not lines else ""
        edge = [Part(label, item.label_look)] if label else []
        line: Line = [*edge, Part(" " * (margin - cell_len(label)), item.fill), *_joined(words)]
        if item.fill:
            line.append(Part(" " * max(width - sum(cell_len(p.text) for p in line), 0), item.fill))
        lines.append(line)
    return lines


def _joined(words: Line) -> Line:
    """Neighbours of one look as one part: fewer pieces to paint, and words stay whole on the line to the terminal."""
    line: Line = []
    for part in words:
        if line and (line[-1].look, line[-1].action) == (part.look, part.action):
            line[-1] = Part(line[-1].text + part.text, part.look, part.action)
        else:
            line.append(part)
    return line


def _label(text: str, margin: int, glyphs: Glyphs) -> str:
    told = glyphs.text(one_line(text, margin - 1))
    return told if cell_len(told) < margin else set_cell_size(told, margin - 1)


def _clipped(item: Row, room: int, glyphs: Glyphs) -> Line:
    """One line, cut with an ellipsis where it is too long."""
    line: Line = []
    used = 0
    for part in item.parts:
        text = glyphs.text(clean(part.text, 400)).translate(_FLAT)
        size = cell_len(text)
        if used + size > room:
            end = glyphs.text("…")
            return [*line, Part(set_cell_size(text, max(room - used - len(end), 0)) + end, part.look, part.action)]
        line.append(Part(text, part.look, part.action))
        used += size
    return line


def _wrapped(item: Row, room: int, glyphs: Glyphs) -> list[Line]:
    lines: list[Line] = [[]]
    used = 0
    hang = min(item.hang, room // 2)
    for unit in _units(item, room - hang, glyphs):
        if unit[0].text == "\n":
            lines.append([])
            used = 0
            continue
        blank = unit[0].text == " "
        size = sum(cell_len(part.text) for part in unit)
        if used + size > room and used > 0:
            lines.append([Part(" " * hang, item.fill)] if hang else [])
            used = hang
        if blank and used == hang and len(lines) > 1:
            continue
        lines[-1] += [Part(part.text, part.look or item.fill, part.action) for part in unit]
        used += size
    return [[Part(p.text.replace("\xa0", " "), p.look, p.action) for p in line] for line in lines]


def _units(item: Row, room: int, glyphs: Glyphs) -> Iterable[list[Part]]:
    """What must stay on one line: a word with everything that sticks to it, a blank, or a line end."""
    unit: list[Part] = []
    for piece in _pieces(item.parts, glyphs):
        if piece.text in (" ", "\n"):
            if unit:
                yield unit
            yield [piece]
            unit = []
            continue
        for at, text in enumerate(_cut(piece.text, room)):
            cut = Part(text, piece.look, piece.action)
            if unit and (at or sum(cell_len(p.text) for p in unit) + cell_len(text) > room):
                yield unit
                unit = []
            unit.append(cut)
    if unit:
        yield unit


def _pieces(parts: Sequence[Part], glyphs: Glyphs) -> Iterable[Part]:
    """Words and blanks; a non-breaking blank belongs to its word."""
    for part in parts:
        text = glyphs.text(clean(part.text, 4000).replace("\t", "    "))
        for piece in _BREAKS.split(text):
            if piece:
                yield Part(piece, part.look, part.action)


def _cut(text: str, room: int) -> list[str]:
    if len(text) <= room and cell_len(text) <= room:
        return [text]
    pieces, piece, used = [], "", 0
    for character in text:
        size = cell_len(character)
        if piece and used + size > room:
            pieces.append(piece)
            piece, used = "", 0
        piece += character
        used += size
    return [*pieces, piece]
