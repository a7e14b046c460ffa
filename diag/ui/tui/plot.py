"""Pictures made of characters: rail pressure over manifold pressure, and any curve of the desk. Pure."""

from __future__ import annotations

from collections.abc import Sequence

from diag.presentation.pictures import ticks
from diag.presentation.report.sheet import Chart, Dot
from diag.quantities import to_unit
from diag.ui.tui.glyphs import Glyphs

BAND = 0.05  # half width of the healthy band as a share of the target; judgement: gauge and regulator tolerance


class Canvas:
    """A field of characters with axes. x grows to the right, y upwards."""

    def __init__(self, x: Sequence[float], y: Sequence[float], width: int, height: int, glyphs: Glyphs) -> None:
        self.x, self.y = (x[0], x[-1]), (y[0], y[-1])
        self.marks_x, self.marks_y = list(x), list(y)
        self.edge = max(len(f"{v:g}") for v in y) + 1
        self.width, self.height = max(width - self.edge - 1, 10), max(height - 2, 4)
        self.glyphs = glyphs
        self.cells = [[" "] * self.width for _ in range(self.height)]

    def column(self, value: float) -> int:
        """The column of an x value."""
        return round((value - self.x[0]) / ((self.x[1] - self.x[0]) or 1.0) * (self.width - 1))

    def line(self, value: float) -> int:
        """The line of a y value, counted from the top."""
        return self.height - 1 - round((value - self.y[0]) / ((self.y[1] - self.y[0]) or 1.0) * (self.height - 1))

    def put(self, x: float, y: float, text: str, over: bool = True) -> None:
        """Write a text at a spot; outside the field it is left out."""
        column, line = self.column(x), self.line(y)
        for at, character in enumerate(text):
            inside = 0 <= line < self.height and 0 <= column + at < self.width
            if inside and (over or self.cells[line][column + at] == " "):
                self.cells[line][column + at] = character

    def mark(self, x: float, y: float, sign: str, label: str) -> None:
        """A sign at a spot with its label to the right, to the left at the right edge."""
        column, line = self.column(x), self.line(y)
        if not (0 <= line < self.height and 0 <= column < self.width):
            return
        start = column + 1 if column + len(label) < self.width else max(column - len(label), 0)
        for at, character in enumerate(label):
            self.cells[line][start + at] = character
        self.cells[line][column] = sign

    def value_at(self, column: int) -> float:
        """The x value of a column."""
        return self.x[0] + (self.x[1] - self.x[0]) * column / max(self.width - 1, 1)

    def lines(self) -> list[str]:
        """The picture with its axes."""
        left = {self.line(v): f"{v:g}" for v in self.marks_y}
        rows = [f"{left.get(at, ''):>{self.edge - 1}} {self.glyphs.upright}{''.join(cells)}"
                for at, cells in enumerate(self.cells)]  # fmt: skip
        rows.append(" " * self.edge + "+" + self.glyphs.rule * self.width)
        scale = [" "] * (self.width + 8)
        for value in self.marks_x:
            text, at = f"{value:g}", self.column(value)
            start = min(max(at - len(text) // 2, 0), len(scale) - len(text))
            if all(scale[i] == " " for i in range(max(start - 1, 0), start + len(text))):
                scale[start : start + len(text)] = list(text)
        rows.append(" " * (self.edge + 1) + "".join(scale).rstrip())
        return rows


def pressure_plot(chart: Chart, width: int, height: int, glyphs: Glyphs) -> list[str]:
    """Readings over manifold pressure, the healthy band, and a key below; empty without readings and target."""
    unit = chart.unit

    def to(value: float) -> float:
        return to_unit(value, "pressure", unit)

    target = to(chart.target) if chart.target is not None else None
    if not chart.dots and target is None:
        return []
    xs = [to(dot.manifold) for dot in chart.dots] + [0.0, to(-61_000.0)]
    ys = [to(dot.rail) for dot in chart.dots]
    if target is not None:
        ys += [target + min(xs), target + max(xs), target * (1.0 + BAND)]
    room = 0.08 * ((max(ys) - min(ys)) or max(ys) or 1.0)
    canvas = Canvas(
        ticks(min(xs), max(xs), 5), ticks(max(min(ys) - room, 0.0), max(ys) + room, 5), width, height, glyphs
    )
    if target is not None:
        _band(canvas, target)
    for dot in chart.dots:
        canvas.mark(to(dot.manifold), to(dot.rail), _sign(dot, glyphs), str(dot.number))
    return canvas.lines()


def _band(canvas: Canvas, target: float) -> None:
    half = BAND * target
    step = (canvas.y[1] - canvas.y[0]) / max(canvas.height - 1, 1)
    for column in range(canvas.width):
        x = canvas.value_at(column)
        y = target + x - half
        while y <= target + x + half:
            canvas.put(x, y, canvas.glyphs.band)
            y += step / 2.0
        canvas.put(x, target + x, canvas.glyphs.line)


def _sign(dot: Dot, glyphs: Glyphs) -> str:
    return {"above": glyphs.up, "below": glyphs.down}.get(dot.bound, glyphs.dot)
