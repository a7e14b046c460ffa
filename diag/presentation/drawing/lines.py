"""The drawing as SVG for reports: the same boxes as in letters, everything in words and strokes, never by colour."""

from __future__ import annotations

from diag.presentation.drawing.layout import BOXES, DROPS, FLOW, HEIGHT, WIDTH, Box, words_in
from diag.presentation.drawing.parts import Mark, SystemDrawing
from diag.presentation.pictures import escaped, svg

COLUMN, LINE = 9, 17  # picture points of one column and one line of text
MARGIN = 6


def _x(column: float) -> float:
    return MARGIN + COLUMN * column


def _y(line: float) -> float:
    return MARGIN + LINE * line


def system_picture(drawing: SystemDrawing) -> str:
    """The whole picture; its description says the same for someone who cannot see it."""
    parts = [part for box in BOXES.values() for part in _box(box, drawing.marks[box.place])]
    parts += _pipes()
    told = "; ".join(_told(mark) for mark in drawing.marks.values() if mark.wet or mark.suspected or mark.readings)
    size = (2 * MARGIN + COLUMN * WIDTH, 2 * MARGIN + LINE * HEIGHT)
    return svg("The fuel system of this car", told or "Nothing is read or suspected yet.", parts, size)


def _told(mark: Mark) -> str:
    words = [part for part in words_in(mark) if part]
    return f"{mark.title}: {', '.join(words)}"


def _box(box: Box, mark: Mark) -> list[str]:
    width, height = COLUMN * box.columns, LINE * box.lines
    thick = "3" if mark.here else "1.6"
    dash = ' stroke-dasharray="5 3"' if mark.suspected else ""
    frame = f"M{_x(box.left)} {_y(box.top)}h{width}v{height - 6}h{-width}Z"
    parts = [
        f'<path class="m" style="stroke-width:{thick}"{dash} d="{frame}"/>',
        f'<text x="{_x(box.left + 0.7)}" y="{_y(box.top + 1)}">{escaped(mark.title)}</text>',
    ]
    for at, text in enumerate(words_in(mark)):
        if text:
            parts.append(f'<text class="s" x="{_x(box.left + 0.7)}" y="{_y(box.top + 2 + at)}">{escaped(text)}</text>')
    return parts


def _pipes() -> list[str]:
    parts = []
    for start, end in FLOW:
        y = _y(BOXES[start].top + 2)
        tip = _x(BOXES[end].left)
        parts.append(f'<path class="l" d="M{_x(BOXES[start].left + BOXES[start].columns)} {y}H{tip}m-6 -4l6 4l-6 4"/>')
    for upper, lower in DROPS:
        x = _x(BOXES[upper].middle + 0.5)
        path = f"M{x} {_y(BOXES[upper].top + BOXES[upper].lines) - 6}V{_y(BOXES[lower].top)}"
        parts.append(f'<path class="l" stroke-dasharray="3 3" d="{path}"/>')
    back, regulator, tank = BOXES["return"], BOXES["regulator"], BOXES["tank"]
    height = _y(back.top + 2.3)
    outlet, entry = _x(regulator.middle + 0.5), _x(tank.middle + 0.5)
    below = _y(regulator.top + regulator.lines) - 6
    parts.append(f'<path class="l" d="M{outlet} {below}V{height}H{_x(back.left + back.columns)}"/>')
    parts.append(f'<path class="l" d="M{_x(back.left)} {height}H{entry}V{below}m-4 6l4 -6l4 6"/>')
    return parts
