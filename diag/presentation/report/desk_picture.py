"""The curve of a desk answer as one SVG picture."""

from __future__ import annotations

from diag.design.answer import Curve
from diag.presentation.pictures import Frame, escaped, svg, ticks
from diag.presentation.report.desk_text import in_units, limits, spoken_curve


def curve_picture(curve: Curve, units: dict[str, str] | None = None) -> str:
    """Middle line, shaded span of nine cars in ten, dashed levels and numbered marks."""
    shown = in_units(curve, units)
    x0, x1, y0, y1 = limits(shown)
    pad = 0.06 * ((y1 - y0) or abs(y1) or 1.0)
    frame = Frame(ticks(x0, x1 if x1 > x0 else x0 + 1.0), ticks(y0 - pad, y1 + pad))
    parts = []
    if len(shown.low) == len(shown.x) == len(shown.high):
        there = [f"{frame.px(x)} {frame.py(y)}" for x, y in zip(shown.x, shown.high, strict=True)]
        back = [f"{frame.px(x)} {frame.py(y)}" for x, y in zip(shown.x, shown.low, strict=True)]
        parts.append(f'<path fill="#ddd" stroke="none" d="M{"L".join([*there, *reversed(back)])}Z"/>')
    parts += frame.drawn(shown.x_title, shown.y_title)
    line = "L".join(f"{frame.px(x)} {frame.py(y)}" for x, y in zip(shown.x, shown.middle, strict=True))
    parts.append(f'<path class="l" d="M{line}"/>')
    for name, level in shown.levels:
        at, left, right = frame.py(level), frame.px(frame.x[0]), frame.px(frame.x[-1])
        parts.append(f'<path class="l" stroke-dasharray="6 4" d="M{left} {at}H{right}"/>')
        parts.append(f'<text class="s" x="{right - 4}" y="{at - 4}" text-anchor="end">{escaped(name)}</text>')
    for name, x, y in shown.marks:
        px, py = frame.px(x), frame.py(y)
        parts.append(f'<circle class="m" cx="{px}" cy="{py}" r="5"/>')
        parts.append(f'<text class="s" x="{px + 8}" y="{py - 6}">{escaped(name)}</text>')
    return svg(shown.title, " ".join(spoken_curve(curve, units)), parts)
