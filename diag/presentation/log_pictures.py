"""Pictures of a data log: traces with phases, rail over manifold with the 1:1 line and the fit, loss over fuel flow.

As SVG for reports and files, and with letters for the terminal. Both are drawn from the same thinned figures, in the
unit asked for, and say the same in words for someone who cannot see them.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from diag.datalog import channels as c
from diag.datalog.analysis import Analysis
from diag.datalog.numbers import Floats
from diag.datalog.phases import BOOST, CRANK, CRUISE, HELD, IDLE, LOAD, OVERRUN, PHASES, PRIME, REST, without_spikes
from diag.presentation.log_text import plain_interval, pressure
from diag.presentation.pictures import TOP, Frame, escaped, svg, ticks
from diag.quantities import to_unit

MOST_DOTS = 350
MOST_TRACE = 700  # places across a trace; each shows its lowest and highest reading
LETTERS = {REST: "r", PRIME: "p", CRANK: "k", IDLE: "i", CRUISE: "c", LOAD: "o", BOOST: "b", OVERRUN: "v", HELD: "s"}
KEY = "p prime, k cranking, i idle, c cruise, o open throttle, b boost, v overrun, s switched off, r at rest"
PLOT_WIDTH, PLOT_HEIGHT = 66, 14


@dataclass(frozen=True, slots=True)
class Scatter:
    """Dots with lines through them: a line is its name, its dash and two points."""

    title: str
    x_title: str
    y_title: str
    x: Floats
    y: Floats
    lines: tuple[tuple[str, str, float, float, float, float], ...]
    words: str


def rail_over_manifold(found: Analysis, unit: str, target: float | None = None) -> Scatter | None:
    """Condensed readings, the fit, and what a sound 1:1 regulator would follow from the target or the base on."""
    follow = found.follow
    if follow is None:
        return None
    x, y = _thin(_to(follow.points.x, unit), _to(follow.points.y, unit))
    low, high = float(x.min()), float(x.max())
    base = to_unit(follow.line.at_zero.value, "pressure", unit)
    slope = follow.line.slope.value
    start = base if target is None else to_unit(target, "pressure", unit)
    lines = (
        ("1:1", "6 4", low, start + low, high, start + high),
        (f"fit, slope {slope:.2f}", "", low, base + slope * low, high, base + slope * high),
    )
    words = f"slope {plain_interval(follow.line.slope, 3)}, base {pressure(follow.line.at_zero.value, unit)}"
    return Scatter("Rail pressure over manifold pressure", f"manifold pressure, {unit} (below 0: vacuum)",
                   f"rail pressure, {unit}", x, y, lines, words)  # fmt: skip


def loss_over_flow(found: Analysis, unit: str) -> Scatter | None:
    """Pressure across the injectors over the best measure of fuel flow."""
    loss = found.loss
    if loss is None:
        return None
    name, factor = {
        "m3/s": ("fuel flow, L/h", 3.6e6),
        "duty": ("injector duty, %", 100.0),
        "air": ("fuel flow, % of the highest (estimated)", 100.0),
    }[loss.unit]
    x, y = _thin(loss.points.x * factor, _to(loss.points.y, unit))
    low, high = float(x.min()), float(x.max())
    at = [to_unit(float(loss.line.at(np.array(v / factor))), "pressure", unit) for v in (low, high)]
    words = f"falls by {pressure(loss.fall.value, unit)} from small to highest flow"
    return Scatter("Pressure across the injectors over fuel flow", name, f"rail less manifold, {unit}", x, y,
                   (("fit", "", low, at[0], high, at[1]),), words)  # fmt: skip


def _to(values: Floats, unit: str) -> Floats:
    one = to_unit(1.0, "pressure", unit) - to_unit(0.0, "pressure", unit)
    return values * one


def _thin(x: Floats, y: Floats) -> tuple[Floats, Floats]:
    pick = np.linspace(0, len(x) - 1, min(len(x), MOST_DOTS)).astype(int)
    return x[pick], y[pick]


def scatter_svg(scatter: Scatter | None) -> str:
    """The picture; empty when there is none."""
    if scatter is None or scatter.x.size < 2:
        return ""
    ys = [*scatter.y.tolist(), *(line[i] for line in scatter.lines for i in (3, 5))]
    frame = Frame(ticks(float(scatter.x.min()), float(scatter.x.max())), ticks(min(ys), max(ys)))
    parts = frame.drawn(scatter.x_title, scatter.y_title)
    parts += [f'<circle class="l" cx="{frame.px(float(x))}" cy="{frame.py(float(y))}" r="1.6"/>'
              for x, y in zip(scatter.x, scatter.y, strict=True)]  # fmt: skip
    for at, (name, dash, x1, y1, x2, y2) in enumerate(scatter.lines):
        broken = f' stroke-dasharray="{dash}"' if dash else ""
        parts.append(f'<path class="l"{broken} d="M{frame.px(x1)} {frame.py(y1)}L{frame.px(x2)} {frame.py(y2)}"/>')
        below = TOP + 14 + 15 * at
        parts.append(f'<path class="l"{broken} d="M{frame.px(frame.x[0]) + 8} {below - 4}h26"/>')
        parts.append(f'<text class="s" x="{frame.px(frame.x[0]) + 40}" y="{below}">{escaped(name)}</text>')
    return svg(scatter.title, scatter.words, parts)


def traces_svg(found: Analysis, unit: str) -> str:
    """Rail and manifold pressure over time, with the phases written along the top."""
    frame = found.frame
    seconds = frame.seconds - frame.seconds[0]
    curves = [("rail", "", _to(without_spikes(frame.rail), unit))]
    if c.MANIFOLD in frame.values:
        curves.append(("manifold", "2 3", _to(without_spikes(frame.manifold), unit)))
    there = np.concatenate([v[np.isfinite(v)] for _, _, v in curves])
    if there.size < 2 or seconds[-1] <= 0.0:
        return ""
    low, high = float(there.min()), float(there.max())
    axes = Frame(ticks(0.0, float(seconds[-1])), ticks(low, high + 0.12 * (high - low)))
    parts = axes.drawn("seconds", f"pressure, {unit}")
    for name, dash, values in curves:
        broken = f' stroke-dasharray="{dash}"' if dash else ""
        path = _path(axes, seconds, np.clip(values, axes.y[0], axes.y[-1]))
        parts.append(f'<path class="l" style="stroke-width:1"{broken} d="{path}"><title>{escaped(name)}</title></path>')
    parts += _phase_marks(found, axes, seconds)
    words = f"solid: rail; dotted: manifold. Phases: {KEY}"
    return svg("Pressures over time, with phases", words, parts)


def _path(axes: Frame, seconds: Floats, values: Floats) -> str:
    """A curve of lowest and highest readings in each place across, with breaks where nothing was logged."""
    parts = []
    pen = "M"
    for part in np.array_split(np.arange(len(values)), min(MOST_TRACE, len(values))):
        there = part[np.isfinite(values[part])]
        if not there.size:
            pen = "M"
            continue
        ends = sorted({int(there[np.argmin(values[there])]), int(there[np.argmax(values[there])])})
        for at in ends:
            parts.append(f"{pen}{axes.px(float(seconds[at]))} {axes.py(float(values[at]))}")
            pen = "L"
    return "".join(parts)


def _phase_marks(found: Analysis, axes: Frame, seconds: Floats) -> list[str]:
    """A letter over every phase that is wide enough to carry one."""
    parts = []
    last = -100.0
    for span in found.phases.spans:
        letter = LETTERS.get(span.phase)
        left, right = axes.px(float(seconds[span.first])), axes.px(float(seconds[span.last - 1]))
        if letter is None or right - left < 5.0:
            continue
        middle = 0.5 * (left + right)
        parts.append(f'<path class="g" d="M{left} {TOP}V{axes.py(axes.y[0])}"/>')
        if middle - last > 8.0:
            parts.append(f'<text class="s" x="{middle:.1f}" y="{TOP + 10}" text-anchor="middle">{letter}</text>')
            last = middle
    return parts


def log_svgs(found: Analysis, unit: str = "psi", target: float | None = None) -> dict[str, str]:
    """The pictures that this log allows, by name."""
    made = {
        "traces": traces_svg(found, unit),
        "rail-over-manifold": scatter_svg(rail_over_manifold(found, unit, target)),
        "injectors-over-flow": scatter_svg(loss_over_flow(found, unit)),
    }
    return {name: text for name, text in made.items() if text}


# ------------------------------------------------------------------ with letters


def log_plots(found: Analysis, unit: str = "psi", target: float | None = None) -> list[str]:
    """The same pictures made of plain characters."""
    lines = _trace_plot(found, unit)
    for scatter in (rail_over_manifold(found, unit, target), loss_over_flow(found, unit)):
        if scatter is not None:
            lines += ["", *_scatter_plot(scatter)]
    return lines


class _Grid:
    """Characters on axes."""

    def __init__(self, x: Sequence[float], y: Sequence[float]) -> None:
        self.x, self.y = (min(x), max(x)), (min(y), max(y))
        self.cells = [[" "] * PLOT_WIDTH for _ in range(PLOT_HEIGHT)]

    def put(self, x: float, y: float, mark: str) -> None:
        """A mark at a spot; outside it is left out, and a dot never hides a line's name."""
        across = round((x - self.x[0]) / ((self.x[1] - self.x[0]) or 1.0) * (PLOT_WIDTH - 1))
        down = PLOT_HEIGHT - 1 - round((y - self.y[0]) / ((self.y[1] - self.y[0]) or 1.0) * (PLOT_HEIGHT - 1))
        if 0 <= across < PLOT_WIDTH and 0 <= down < PLOT_HEIGHT:
            self.cells[down][across] = mark

    def lines(self, x_title: str, foot: str = "") -> list[str]:
        """The picture with its ends written at the axes."""
        ends = (f"{self.y[1]:.4g}", f"{self.y[0]:.4g}")
        wide = max(map(len, ends))
        rows = []
        for at, row in enumerate(self.cells):
            label = ends[0] if at == 0 else ends[1] if at == PLOT_HEIGHT - 1 else ""
            rows.append(f"{label:>{wide}} |{''.join(row).rstrip()}")
        rows.append(f"{'':>{wide}} +{'-' * PLOT_WIDTH}")
        if foot:
            rows.append(f"{'':>{wide}}  {foot}".rstrip())
        left, right = f"{self.x[0]:.4g}", f"{self.x[1]:.4g}"
        rows.append(f"{'':>{wide}}  {left}{x_title:^{max(0, PLOT_WIDTH - len(left) - len(right))}}{right}")
        return rows


def _scatter_plot(scatter: Scatter) -> list[str]:
    ys = [*scatter.y.tolist(), *(line[i] for line in scatter.lines for i in (3, 5))]
    grid = _Grid(scatter.x.tolist(), ys)
    marks = "-+" if len(scatter.lines) > 1 else "+"
    for mark, (_, _, x1, y1, x2, y2) in zip(marks, scatter.lines, strict=True):
        for share in np.linspace(0.0, 1.0, PLOT_WIDTH):
            grid.put(x1 + share * (x2 - x1), y1 + share * (y2 - y1), mark)
    for x, y in zip(scatter.x, scatter.y, strict=True):
        grid.put(float(x), float(y), "o")
    key = "o read, - 1:1, + fit" if len(scatter.lines) > 1 else "o read, + fit"
    return [f"{scatter.title}:", f"  {scatter.words}", *grid.lines(scatter.x_title), f"{scatter.y_title}; {key}"]


def _trace_plot(found: Analysis, unit: str) -> list[str]:
    frame = found.frame
    seconds = frame.seconds - frame.seconds[0]
    rail, manifold = _to(without_spikes(frame.rail), unit), _to(without_spikes(frame.manifold), unit)
    both = np.concatenate([rail[np.isfinite(rail)], manifold[np.isfinite(manifold)]])
    if both.size < 2:
        return []
    grid = _Grid([0.0, float(seconds[-1])], [float(both.min()), float(both.max())])
    foot = []
    for part in np.array_split(np.arange(len(seconds)), PLOT_WIDTH):
        if not part.size:
            continue
        at = float(np.median(seconds[part]))
        for values, mark in ((manifold, "m"), (rail, "R")):
            there = values[part][np.isfinite(values[part])]
            if there.size:
                grid.put(at, float(np.median(there)), mark)
        codes, counts = np.unique(found.phases.code[part], return_counts=True)
        foot.append(LETTERS.get(PHASES[int(codes[np.argmax(counts)])], "."))
    title = f"Pressures over time, {unit}: R rail, m manifold; phases below the axis"
    first, second = KEY[: KEY.index("o open")], KEY[KEY.index("o open") :]
    return [title, *grid.lines("seconds", "".join(foot)), f"  {first.strip()}", f"  {second}"]
