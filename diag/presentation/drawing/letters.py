"""The drawing in letters: box-drawing characters, or plain ASCII for terminals that have no others."""

from __future__ import annotations

from dataclasses import dataclass

from diag.presentation.drawing.layout import BOXES, DROPS, FLOW, HEIGHT, WIDTH, Box, words_in
from diag.presentation.drawing.parts import SystemDrawing


@dataclass(frozen=True, slots=True)
class Strokes:
    """The characters of frames and lines."""

    across: str
    down: str
    corners: str  # top left, top right, bottom left, bottom right
    right: str
    up: str
    thin: str  # the reference hose and the wires


LINES = Strokes("─", "│", "┌┐└┘", "▸", "▴", "┊")
ASCII = Strokes("-", "|", "++++", ">", "^", ":")


def letters(drawing: SystemDrawing, ascii_only: bool = False) -> list[str]:
    """The drawing as lines of at most 76 columns; the key is not part of it."""
    strokes = ASCII if ascii_only else LINES
    cells = [[" "] * WIDTH for _ in range(HEIGHT)]
    for box in BOXES.values():
        _frame(cells, box, strokes)
        mark = drawing.marks[box.place]
        _write(cells, box.left + 2, box.top, mark.title, box.columns - 4)
        for at, text in enumerate(words_in(mark)):
            _write(cells, box.left + 1, box.top + 1 + at, text, box.columns - 2)
    _pipes(cells, strokes)
    rows = ["".join(row).rstrip() for row in cells]
    return [_plain(row) for row in rows] if ascii_only else rows


def _plain(row: str) -> str:
    return row if row.isascii() else row.encode("ascii", "replace").decode()


def _write(cells: list[list[str]], column: int, line: int, text: str, most: int) -> None:
    """Text into a line of a box; what does not fit is cut, with a sign that it was."""
    shown = text if len(text) <= most else f"{text[: most - 1]}~"
    for at, character in enumerate(shown):
        cells[line][column + at] = character


def _frame(cells: list[list[str]], box: Box, strokes: Strokes) -> None:
    for column in range(box.left + 1, box.right):
        cells[box.top][column] = cells[box.bottom][column] = strokes.across
    for line in range(box.top + 1, box.bottom):
        cells[line][box.left] = cells[line][box.right] = strokes.down
    spots = ((box.top, box.left), (box.top, box.right), (box.bottom, box.left), (box.bottom, box.right))
    for (line, column), corner in zip(spots, strokes.corners, strict=True):
        cells[line][column] = corner


def _pipes(cells: list[list[str]], strokes: Strokes) -> None:
    for start, end in FLOW:
        line = BOXES[start].top + 2
        for column in range(BOXES[start].right + 1, BOXES[end].left):
            cells[line][column] = strokes.across
        cells[line][BOXES[end].left - 1] = strokes.right
    for upper, lower in DROPS:
        for line in range(BOXES[upper].bottom + 1, BOXES[lower].top):
            cells[line][BOXES[upper].middle] = strokes.thin
    back = BOXES["return"]
    line = back.top + 2
    from_regulator, to_tank = BOXES["regulator"], BOXES["tank"]
    for column in range(back.right + 1, from_regulator.middle):
        cells[line][column] = strokes.across
    for column in range(to_tank.middle + 1, back.left):
        cells[line][column] = strokes.across
    for at in range(from_regulator.bottom + 1, line):
        cells[at][from_regulator.middle] = strokes.down
    for at in range(to_tank.bottom + 1, line):
        cells[at][to_tank.middle] = strokes.down
    cells[line][from_regulator.middle] = strokes.corners[3]
    cells[line][to_tank.middle] = strokes.corners[2]
    cells[to_tank.bottom + 1][to_tank.middle] = strokes.up
