"""Two pictures as SVG text: rail pressure over manifold pressure, and the course of belief over the job.

They read without colour: every reading has its number, every course its own dash and its name at the end.
All text that goes in is escaped here; numbers are written by this module only.
"""

from __future__ import annotations

import html
import math
from collections.abc import Sequence

from diag.presentation.report.sheet import Chart, CourseStep, Dot
from diag.quantities import to_unit
from diag.support.text import one_line

WIDTH, HEIGHT = 640, 300
LEFT, RIGHT, TOP, BOTTOM = 58, 16, 16, 44
DASHES = ("", "7 3", "2 3", "9 3 2 3", "4 4", "1 2")
MOST_COURSES = 5
_STYLE = (
    "<style>text{font:12px sans-serif;fill:#111}.a{stroke:#111;fill:none}.g{stroke:#ccc;fill:none}"
    ".m{stroke:#111;fill:#fff;stroke-width:1.6}.l{stroke:#111;fill:none;stroke-width:1.6}.s{font-size:11px}</style>"
)


def escaped(text: str) -> str:
    """A label, clean and escaped."""
    return html.escape(one_line(text, 120), quote=True)


def ticks(low: float, high: float, wanted: int = 6) -> list[float]:
    """Round numbers that cover low to high: steps of 1, 2 or 5 times a power of ten."""
    if not (math.isfinite(low) and math.isfinite(high)) or high <= low:
        return [low]
    rough = (high - low) / max(wanted, 1)
    power = 10.0 ** math.floor(math.log10(rough))
    step = next(power * factor for factor in (1, 2, 5, 10) if power * factor >= rough * 0.999)
    first = math.floor(low / step)
    last = math.ceil(high / step)
    return [round(index * step, 10) for index in range(first, last + 1)]


class Frame:
    """Axes, grid and the way from values to picture points."""

    def __init__(self, x: Sequence[float], y: Sequence[float], right: float = RIGHT) -> None:
        self.x, self.y = x, y
        self.right = right

    def px(self, value: float) -> float:
        """From a value to a picture point, across."""
        share = (value - self.x[0]) / ((self.x[-1] - self.x[0]) or 1.0)
        return round(LEFT + share * (WIDTH - LEFT - self.right), 1)

    def py(self, value: float) -> float:
        """From a value to a picture point, down."""
        share = (value - self.y[0]) / ((self.y[-1] - self.y[0]) or 1.0)
        return round(HEIGHT - BOTTOM - share * (HEIGHT - BOTTOM - TOP), 1)

    def drawn(self, x_label: str, y_label: str, percent: bool = False) -> list[str]:
        """Grid, axes and their labels."""
        left, bottom = self.px(self.x[0]), self.py(self.y[0])
        right, top = self.px(self.x[-1]), self.py(self.y[-1])
        parts = []
        for value in self.x:
            at = self.px(value)
            parts.append(f'<path class="g" d="M{at} {top}V{bottom}"/>')
            parts.append(f'<text x="{at}" y="{bottom + 16}" text-anchor="middle">{value:g}</text>')
        for value in self.y:
            at = self.py(value)
            shown = f"{100 * value:.0f} %" if percent else f"{value:g}"
            parts.append(f'<path class="g" d="M{left} {at}H{right}"/>')
            parts.append(f'<text x="{left - 6}" y="{at + 4}" text-anchor="end">{shown}</text>')
        parts.append(f'<path class="a" d="M{left} {top}V{bottom}H{right}"/>')
        middle = (left + right) / 2
        parts.append(f'<text x="{middle:.0f}" y="{HEIGHT - 8}" text-anchor="middle">{escaped(x_label)}</text>')
        turn = f'transform="rotate(-90 14 {(top + bottom) / 2:.0f})"'
        parts.append(f'<text x="14" y="{(top + bottom) / 2:.0f}" text-anchor="middle" {turn}>{escaped(y_label)}</text>')
        return parts


def svg(title: str, words: str, parts: Sequence[str], size: tuple[float, float] = (WIDTH, HEIGHT)) -> str:
    """The whole picture; ``words`` say the same for someone who cannot see it."""
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {size[0]:g} {size[1]:g}" role="img">'
        f"<title>{escaped(title)}</title><desc>{html.escape(one_line(words, 2000), quote=True)}</desc>{_STYLE}"
        + "".join(parts)
        + "</svg>"
    )


def pressure_picture(chart: Chart) -> str:
    """Readings over manifold pressure, with the line that a healthy 1:1 regulator follows; empty without readings."""
    dots = [dot for dot in chart.dots if math.isfinite(dot.manifold) and math.isfinite(dot.rail)]
    if not dots:
        return ""
    unit = chart.unit

    def to(value: float) -> float:
        return to_unit(value, "pressure", unit)

    xs = [to(dot.manifold) for dot in dots] + [0.0]
    ys = [to(v) for dot in dots for v in (dot.rail, dot.low, dot.high)]
    if chart.target is not None:
        ys += [to(chart.target) + min(xs), to(chart.target) + max(xs)]
    band = [tuple(map(to, row)) for row in chart.band]
    ys += [end for _, bottom, top in band for end in (bottom, top)]
    pad_x, pad_y = 0.06 * (max(xs) - min(xs)) or 1.0, 0.08 * (max(ys) - min(ys)) or 1.0
    frame = Frame(ticks(min(xs) - pad_x, max(xs) + pad_x), ticks(max(0.0, min(ys) - pad_y), max(ys) + pad_y))
    parts = _band(frame, band) + frame.drawn(f"manifold pressure, {unit} (below 0: vacuum)", f"rail pressure, {unit}")
    if chart.target is not None:
        parts += _wanted(frame, to(chart.target))
    for index, dot in enumerate(dots):
        parts += _dot(frame, dot, to(dot.manifold), to(dot.rail), to(dot.low), to(dot.high), index)
    words = "; ".join(
        f"{dot.number}: {to(dot.rail):.1f} {unit} at {to(dot.manifold):.1f} ({dot.label})" for dot in dots
    )
    if band:
        ends = (band[0], band[-1])
        words += "; nine sound cars in ten: " + ", ".join(f"{lo:.1f} to {hi:.1f} at {x:.1f}" for x, lo, hi in ends)
    return svg("Rail pressure over manifold pressure", words, parts)


def _band(frame: Frame, band: Sequence[tuple[float, ...]]) -> list[str]:
    """The shaded span of sound cars, drawn before anything else."""
    if len(band) < 2:
        return []
    there = [f"{frame.px(x)} {frame.py(high)}" for x, _, high in band]
    back = [f"{frame.px(x)} {frame.py(low)}" for x, low, _ in reversed(band)]
    return [f'<path fill="#ddd" stroke="none" d="M{"L".join([*there, *back])}Z"/>']


def _wanted(frame: Frame, base: float) -> list[str]:
    """The wanted line, cut where it leaves the frame: base plus manifold pressure, one to one."""
    low = max(frame.x[0], frame.y[0] - base)
    high = min(frame.x[-1], frame.y[-1] - base)
    if high <= low:
        return []
    x1, y1, x2, y2 = frame.px(low), frame.py(base + low), frame.px(high), frame.py(base + high)
    label = f'<text class="s" x="{x2 - 4}" y="{max(y2 - 6, TOP + 10)}" text-anchor="end">wanted: base + manifold</text>'
    return [f'<path class="l" stroke-dasharray="6 4" d="M{x1} {y1}L{x2} {y2}"/>', label]


def _dot(frame: Frame, dot: Dot, x: float, y: float, low: float, high: float, index: int) -> list[str]:
    """A marker with its number: bar for an interval, arrow for a limit, dashed if assumed, filled after a change."""
    px, py = frame.px(x), frame.py(y)
    parts = []
    if high > low:
        parts.append(f'<path class="l" d="M{px} {frame.py(low)}V{frame.py(high)}"/>')
    if dot.bound:
        way = -18 if dot.bound == "above" else 18
        tip = 5 if dot.bound == "above" else -5
        parts.append(f'<path class="l" d="M{px} {py}v{way}m-4 {tip}l4 {-tip}l4 {tip}"/>')
    dash = ' stroke-dasharray="2 2"' if dot.assumed else ""
    fill = ' style="fill:#111"' if dot.after else ""
    parts.append(f'<circle class="m" cx="{px}" cy="{py}" r="5"{dash}{fill}/>')
    parts.append(f'<text x="{px + 8}" y="{py - 7 + 12 * (index % 2)}">{dot.number}</text>')
    return parts


def course_picture(course: Sequence[CourseStep]) -> str:
    """How the chances of the leading causes went from entry to entry; empty with fewer than two entries."""
    if len(course) < 2:
        return ""
    names = leading(course)
    titles = {name: title for step in course for name, title in step.titles.items()}
    frame = Frame([float(i) for i in range(len(course))], [0.0, 0.25, 0.5, 0.75, 1.0], 215)
    parts = _course_axes(frame, course)
    taken: list[float] = []
    for index, name in enumerate(names):
        spots = [(frame.px(i), frame.py(step.chances.get(name, 0.0))) for i, step in enumerate(course)]
        path = "M" + "L".join(f"{x} {y}" for x, y in spots)
        dash = f' stroke-dasharray="{DASHES[index]}"' if DASHES[index] else ""
        parts.append(f'<path class="l"{dash} d="{path}"/>')
        at = spots[-1][1] + 4
        while any(abs(at - other) < 13 for other in taken):
            at -= 13
        taken.append(at)
        title = one_line(titles.get(name, name), 28)
        parts.append(f'<path class="l"{dash} d="M{spots[-1][0] + 4} {at - 4:.1f}h18"/>')
        parts.append(f'<text class="s" x="{spots[-1][0] + 26}" y="{at:.1f}">{escaped(title)}</text>')
    last = course[-1]
    words = "; ".join(f"{titles.get(name, name)}: {100 * last.chances.get(name, 0.0):.0f} percent" for name in names)
    return svg("How likely each cause was after each entry", words, parts)


def _course_axes(frame: Frame, course: Sequence[CourseStep]) -> list[str]:
    """Axes whose x labels are entry numbers, thinned out when there are many."""
    every = max(1, math.ceil(len(course) / 12))
    left, right = frame.px(0), frame.px(len(course) - 1)
    top, bottom = frame.py(1.0), frame.py(0.0)
    parts = []
    for value in frame.y:
        at = frame.py(value)
        parts.append(f'<path class="g" d="M{left} {at}H{right}"/>')
        parts.append(f'<text x="{left - 6}" y="{at + 4}" text-anchor="end">{100 * value:.0f} %</text>')
    for i in range(0, len(course), every):
        label = escaped(course[i].label)
        parts.append(f'<text x="{frame.px(i)}" y="{bottom + 16}" text-anchor="middle">{label}</text>')
    parts.append(f'<path class="a" d="M{left} {top}V{bottom}H{right}"/>')
    parts.append(f'<text x="{(left + right) / 2:.0f}" y="{HEIGHT - 8}" text-anchor="middle">after entry number</text>')
    return parts


def leading(course: Sequence[CourseStep]) -> list[str]:
    """The causes that led at the end or stood out on the way, most likely last ranking first."""
    last = course[-1].chances
    best: dict[str, float] = {}
    for step in course:
        for name, chance in step.chances.items():
            best[name] = max(best.get(name, 0.0), chance)
    ranked = sorted(best, key=lambda name: (-last.get(name, 0.0), -best[name], name))
    return [name for name in ranked if best[name] >= 0.05][:MOST_COURSES]
