"""A desk answer as text: results, table, picture in letters, working, what it rests on."""

from __future__ import annotations

import math
import textwrap
from collections.abc import Sequence

from diag.design.answer import Answer, Curve, Table
from diag.fuelsystem.fields import FIELDS
from diag.quantities import units_of
from diag.quantities.showing import to_unit
from diag.support.text import one_line

WIDTH = 78
PLOT_WIDTH, PLOT_HEIGHT = 60, 16
VERDICTS = {"yes": "Yes.", "no": "No.", "marginal": "Only just: it may or may not."}


def answer_lines(answer: Answer, plot: bool = True, units: dict[str, str] | None = None, width: int = 0) -> list[str]:
    """The whole answer in lines.

    Args:
        plot: draw the curve with letters; without it the curve is told in a few points.
        units: kind of quantity -> unit for the curve.
        width: fold at this many characters; 0 leaves paragraphs whole.
    """
    lines = [one_line(answer.title)]
    if answer.verdict in VERDICTS:
        lines.append(VERDICTS[answer.verdict])
    lines += [one_line(text, 1000) for text in answer.results]
    if answer.table is not None:
        lines += ["", *table_lines(answer.table)]
    if answer.curve is not None:
        lines += ["", *(plot_lines(answer.curve, units) if plot else spoken_curve(answer.curve, units))]
    if answer.working:
        lines += ["", "Working:"]
        for at, step in enumerate(answer.working, 1):
            lines.append(f"{at}. {one_line(step.what, 300)}: {one_line(step.equation, 300)}")
            lines.append(f"   With {one_line(step.values, 600)}. From: {one_line(step.source, 300)}")
    if answer.uncertainty:
        lines += ["", "What it rests on:", *(f"- {one_line(text, 1000)}" for text in answer.uncertainty)]
    if answer.sharpen:
        names = [FIELDS[name].title.lower() if name in FIELDS else name for name in answer.sharpen]
        lines.append(f"- Would narrow it most, the first most: {', '.join(names)}.")
    lines += [f"Caution: {one_line(text, 600)}" for text in answer.cautions]
    return [folded for line in lines for folded in _fold(line, width)]


def _fold(line: str, width: int) -> list[str]:
    if not width or len(line) <= width or "|" in line:
        return [line]
    hang = " " * 3 if line[:1].isdigit() or line.startswith("   ") else "  " if line.startswith("- ") else ""
    return textwrap.wrap(line, width, subsequent_indent=hang, break_on_hyphens=False)


def table_lines(table: Table) -> list[str]:
    """A table in columns, closed by bars."""
    rows = [[one_line(cell, 60) for cell in row] for row in (table.headings, *table.rows)]
    widths = [max(len(row[at]) for row in rows) for at in range(len(table.headings))]
    lines = ["| " + " | ".join(cell.ljust(w) for cell, w in zip(row, widths, strict=True)) + " |" for row in rows]
    return [lines[0], "|-" + "-|-".join("-" * w for w in widths) + "-|", *lines[1:]]


# ------------------------------------------------------------------ the curve


def unit_for(kind: str, units: dict[str, str] | None) -> str:
    """The unit a curve of this kind is drawn in; empty for shares and counts."""
    if units and kind in units:
        return units[kind]
    known = units_of(kind)
    return known[0] if known else ""


def in_units(curve: Curve, units: dict[str, str] | None = None) -> Curve:
    """The same curve with its figures in the units of the axes."""
    ux, uy = unit_for(curve.x_kind, units), unit_for(curve.y_kind, units)

    def x(value: float) -> float:
        return to_unit(value, curve.x_kind, ux)

    def y(value: float) -> float:
        return to_unit(value, curve.y_kind, uy)

    return Curve(
        curve.title, f"{curve.x_title}, {ux}" if ux else curve.x_title, curve.x_kind,
        f"{curve.y_title}, {uy}" if uy else curve.y_title, curve.y_kind,
        tuple(map(x, curve.x)), tuple(map(y, curve.middle)), tuple(map(y, curve.low)), tuple(map(y, curve.high)),
        tuple((name, y(value)) for name, value in curve.levels),
        tuple((name, x(at), y(value)) for name, at, value in curve.marks),
    )  # fmt: skip


def limits(curve: Curve) -> tuple[float, float, float, float]:
    """Smallest and largest x, smallest and largest y of everything in the picture."""
    xs = [*curve.x, *(x for _, x, _ in curve.marks)]
    ys = [*curve.middle, *curve.low, *curve.high, *(v for _, v in curve.levels), *(v for _, _, v in curve.marks)]
    xs, ys = [v for v in xs if math.isfinite(v)], [v for v in ys if math.isfinite(v)]
    return min(xs), max(xs), min(ys), max(ys)


def plot_lines(curve: Curve, units: dict[str, str] | None = None) -> list[str]:
    """The curve with letters: * the middle, . the span of nine in ten, - levels, capital letters the marks."""
    shown = in_units(curve, units)
    x0, x1, y0, y1 = limits(shown)
    spread_x, spread_y = (x1 - x0) or 1.0, (y1 - y0) or 1.0
    grid = [[" "] * PLOT_WIDTH for _ in range(PLOT_HEIGHT)]

    def put(x: float, y: float, mark: str) -> None:
        if math.isfinite(x) and math.isfinite(y):
            column = round((x - x0) / spread_x * (PLOT_WIDTH - 1))
            grid[PLOT_HEIGHT - 1 - round((y - y0) / spread_y * (PLOT_HEIGHT - 1))][column] = mark

    for _, level in shown.levels:
        for column in range(PLOT_WIDTH):
            put(x0 + spread_x * column / (PLOT_WIDTH - 1), level, "-")
    for line, mark in ((shown.low, "."), (shown.high, "."), (shown.middle, "*")):
        for column in range(PLOT_WIDTH):
            x = x0 + spread_x * column / (PLOT_WIDTH - 1)
            put(x, _between(shown.x, line, x), mark)
    letters = [chr(ord("A") + at % 26) for at in range(len(shown.marks))]
    for letter, (_, x, y) in zip(letters, shown.marks, strict=True):
        put(x, y, letter)
    ends = (f"{y1:.4g}", f"{y0:.4g}")
    margin = max(map(len, ends))
    lines = [f"{one_line(shown.title)} ({one_line(shown.y_title)})"]
    for at, row in enumerate(grid):
        label = ends[0] if at == 0 else ends[1] if at == PLOT_HEIGHT - 1 else ""
        lines.append(f"{label:>{margin}} |{''.join(row).rstrip()}")
    lines.append(f"{'':>{margin}} +{'-' * PLOT_WIDTH}")
    left, right = f"{x0:.4g}", f"{x1:.4g}"
    lines.append(
        f"{'':>{margin}}  {left}{one_line(shown.x_title):^{max(0, PLOT_WIDTH - len(left) - len(right))}}{right}"
    )
    lines.append(
        "* most likely, . nine cars of ten lie between" if any(shown.low) or any(shown.high) else "* the curve"
    )
    lines += [f"- {one_line(name)}: {value:.4g}" for name, value in shown.levels]
    lines += [
        f"{letter} {one_line(name)}: {y:.4g} at {x:.4g}"
        for letter, (name, x, y) in zip(letters, shown.marks, strict=True)
    ]
    return lines


def _between(xs: Sequence[float], ys: Sequence[float], x: float) -> float:
    """Straight-line interpolation; not a number outside the curve."""
    if not xs or len(xs) != len(ys) or not min(xs) <= x <= max(xs):
        return math.nan
    for (xa, ya), (xb, yb) in zip(zip(xs, ys, strict=True), zip(xs[1:], ys[1:], strict=True), strict=False):
        if min(xa, xb) <= x <= max(xa, xb):
            return ya if xa == xb else ya + (yb - ya) * (x - xa) / (xb - xa)
    return ys[0]


def spoken_curve(curve: Curve, units: dict[str, str] | None = None, points: int = 5) -> list[str]:
    """The curve in a few sentences, for those who listen."""
    shown = in_units(curve, units)
    count = len(shown.x)
    chosen = sorted({round(at * (count - 1) / max(points - 1, 1)) for at in range(min(points, count))})
    lines = [f"{one_line(shown.title)}: {one_line(shown.y_title)} over {one_line(shown.x_title)}."]
    for at in chosen:
        span = f" ({shown.low[at]:.4g} to {shown.high[at]:.4g})" if len(shown.low) == count == len(shown.high) else ""
        lines.append(f"At {shown.x[at]:.4g}: {shown.middle[at]:.4g}{span}.")
    lines += [f"{one_line(name)}: {value:.4g}." for name, value in shown.levels]
    lines += [f"{one_line(name)}: {y:.4g} at {x:.4g}." for name, x, y in shown.marks]
    return lines
