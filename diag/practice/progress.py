"""How a trainee gets on: figures, a picture of lines, and a picture as SVG. Pure."""

from __future__ import annotations

import math
import statistics
from collections.abc import Sequence
from dataclasses import dataclass

from diag.practice.levels import LEVELS
from diag.practice.results import Result
from diag.presentation.pictures import HEIGHT, WIDTH, Frame, escaped
from diag.support.text import one_line

LATEST = 10
MOST_SHOWN = 40
SLOWEST, QUICKEST = 4.0, 0.5  # pace at the top and bottom of the picture: times the program's minutes
LEGEND = {"o": "solved and proven", "+": "solved, not proven", "x": "not solved"}


@dataclass(frozen=True, slots=True)
class Figures:
    """Some sessions in figures. Shares and means are nan for none; ``pace`` is the median of the solved ones."""

    sessions: int
    solved: float
    named: float
    proven: float
    pace: float
    unsafe: float
    wasted: float


def figures(results: Sequence[Result]) -> Figures:
    """The figures of some sessions."""
    count = len(results)
    if not count:
        return Figures(0, *[math.nan] * 6)
    solved = [r for r in results if r.solved]
    return Figures(
        count,
        len(solved) / count,
        sum(r.named for r in results) / count,
        sum(r.proven for r in results) / count,
        statistics.median(r.pace for r in solved) if solved else math.nan,
        sum(r.unsafe for r in results) / count,
        sum(r.wasted for r in results) / count,
    )


def mark(result: Result) -> str:
    """The sign of a session in the pictures."""
    return ("o" if result.proven else "+") if result.solved else "x"


def _place(result: Result) -> float:
    """Height of a session: 0 at ``QUICKEST``, 1 at ``SLOWEST``, even in the logarithm; what lies outside stands on the
    edge."""
    pace = min(max(result.pace, QUICKEST), SLOWEST)
    return math.log(pace / QUICKEST) / math.log(SLOWEST / QUICKEST)


# ------------------------------------------------------------------ words and lines


def progress_lines(name: str, results: Sequence[Result]) -> list[str]:
    """Figures by level, the latest beside all before, and the picture."""
    if not results:
        return [f"{one_line(name, 60)} has no practice session yet."]
    lines = [f"{one_line(name, 60)}: {len(results)} session{'s' if len(results) != 1 else ''}."]
    for at, level in enumerate(LEVELS, 1):
        found = [r for r in results if r.level == level.id]
        if found:
            lines.append(f"Level {at}, {level.title}: {figure_words(figures(found))}")
    if len(results) > LATEST:
        lines.append(f"Latest {LATEST}: {figure_words(figures(results[-LATEST:]))}")
        lines.append(f"All before: {figure_words(figures(results[:-LATEST]))}")
    return [*lines, "", *picture_lines(results)]


def figure_words(f: Figures) -> str:
    """Figures as one sentence."""
    pace = "" if math.isnan(f.pace) else f", {f.pace:.1f} times the program's minutes"
    return (
        f"{f.sessions} done, {f.solved:.0%} solved, {f.named:.0%} named, {f.proven:.0%} proven{pace}, "
        f"stopped by the wall {f.unsafe:.1f} times and {f.wasted:.1f} needless repairs a session."
    )


def picture_lines(results: Sequence[Result], height: int = 9) -> list[str]:
    """A picture in ASCII: one column a session, oldest left, height is the pace."""
    shown = results[-MOST_SHOWN:]
    rows = [[" "] * len(shown) for _ in range(height)]
    for column, result in enumerate(shown):
        rows[height - 1 - round(_place(result) * (height - 1))][column] = mark(result)
    names = {round((1 - _share(p)) * (height - 1)): f"{p:g} x" for p in (0.5, 1.0, 2.0, 4.0)}
    lines = ["Minutes, as a multiple of the program's on the same car; one column a session, newest right."]
    for at, row in enumerate(rows):
        line = names.get(at, "").rjust(6) + " | " + " ".join(row)
        lines.append(line.rstrip())
    first = len(results) - len(shown) + 1
    lines.append("       +-" + "-" * (2 * len(shown)))
    lines.append(f"         session {first} to {len(results)}")
    lines.append(", ".join(f"{sign} {words}" for sign, words in LEGEND.items()) + ".")
    return lines


def _share(pace: float) -> float:
    return math.log(pace / QUICKEST) / math.log(SLOWEST / QUICKEST)


# ------------------------------------------------------------------ SVG


def progress_svg(name: str, results: Sequence[Result]) -> str:
    """The same picture as a file: marks differ in shape; numbers count the stops by the wall."""
    shown = results[-MOST_SHOWN:]
    first = len(results) - len(shown) + 1
    across = [float(first + at) for at in range(len(shown))] or [1.0]
    step = max(1, len(across) // 10)
    frame = Frame([across[0] - 1.0, *across[step - 1 :: step], across[-1] + 1.0], [_share(p) for p in (0.5, 1, 2, 4)])
    parts = _axes(frame, across[step - 1 :: step])
    for number, result in zip(across, shown, strict=False):
        x, y = frame.px(number), frame.py(_place(result))
        parts.append(_shape(mark(result), x, y))
        if result.unsafe:
            parts.append(f'<text class="s" x="{x}" y="{y - 9}" text-anchor="middle">{result.unsafe}</text>')
    parts += _legend()
    title = escaped(f"{name}: minutes as a multiple of the program's on the same car")
    style = ("<style>text{font:12px sans-serif;fill:#111}.a{stroke:#111;fill:none}.g{stroke:#ccc;fill:none}"
             ".m{stroke:#111;fill:#fff;stroke-width:1.6}.l{stroke:#111;fill:none;stroke-width:1.6}.s{font-size:11px}"
             "</style>")  # fmt: skip
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH} {HEIGHT + 24}" role="img" '
        f'aria-label="{title}">{style}<title>{title}</title>{"".join(parts)}</svg>\n'
    )


def _axes(frame: Frame, numbers: Sequence[float]) -> list[str]:
    left, right = frame.px(frame.x[0]), frame.px(frame.x[-1])
    bottom, top = frame.py(0.0), frame.py(1.0)
    parts = []
    for pace in (0.5, 1.0, 2.0, 4.0):
        y = frame.py(_share(pace))
        parts.append(f'<path class="g" d="M{left} {y}H{right}"/>')
        parts.append(f'<text x="{left - 6}" y="{y + 4}" text-anchor="end">{pace:g} x</text>')
    for number in numbers:
        parts.append(f'<text x="{frame.px(number)}" y="{bottom + 16}" text-anchor="middle">{number:.0f}</text>')
    parts.append(f'<path class="a" d="M{left} {top}V{bottom}H{right}"/>')
    parts.append(f'<text x="{(left + right) / 2:.0f}" y="{HEIGHT - 8}" text-anchor="middle">session</text>')
    return parts


def _shape(sign: str, x: float, y: float) -> str:
    if sign == "o":
        return f'<circle class="m" cx="{x}" cy="{y}" r="5"/>'
    if sign == "+":
        return f'<path class="l" d="M{x - 5} {y}H{x + 5}M{x} {y - 5}V{y + 5}"/>'
    return f'<path class="l" d="M{x - 4} {y - 4}L{x + 4} {y + 4}M{x - 4} {y + 4}L{x + 4} {y - 4}"/>'


def _legend() -> list[str]:
    parts, x = [], 66.0
    for sign, words in LEGEND.items():
        parts.append(_shape(sign, x, HEIGHT + 10.0))
        parts.append(f'<text class="s" x="{x + 10}" y="{HEIGHT + 14}">{words}</text>')
        x += 130.0
    parts.append(f'<text class="s" x="{x}" y="{HEIGHT + 14}">number: stopped by the wall</text>')
    return parts
