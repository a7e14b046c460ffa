"""Pictures made of characters."""

from __future__ import annotations

from diag.presentation.report.sheet import Chart, Dot
from diag.ui.tui.glyphs import ASCII, UNICODE
from diag.ui.tui.plot import Canvas, pressure_plot

PSI = 6894.757


def chart(*dots: tuple[float, float, str]) -> Chart:
    """Readings as (manifold psi, rail psi, bound), target 43.5 psi."""
    found = tuple(
        Dot(at, "somewhere", x * PSI, y * PSI, y * PSI, y * PSI, bound) for at, (x, y, bound) in enumerate(dots, 1)
    )
    return Chart(found, 43.5 * PSI, "psi")


def test_a_reading_on_the_line_stands_on_the_line() -> None:
    """34.7 psi at 8.8 psi of vacuum is base plus manifold pressure: its dot lies inside the healthy band."""
    lines = pressure_plot(chart((-8.8, 34.7, ""), (0.0, 58.0, "")), 70, 16, UNICODE)
    (on,) = [line for line in lines if "●1" in line]
    assert on[on.index("●1") - 1] in "░─"
    (off,) = [line for line in lines if "2●" in line]
    assert off[off.index("2●") - 1] == " "
    assert lines.index(off) < lines.index(on)


def test_limits_are_drawn_as_arrows_and_everything_fits() -> None:
    """Over 100 psi points up; no line is wider than asked, in ASCII only ASCII."""
    lines = pressure_plot(chart((0.0, 100.0, "above"), (0.0, 20.0, "below")), 60, 14, ASCII)
    assert any("1^" in line for line in lines)
    assert any("2v" in line for line in lines)
    assert all(line.isascii() and len(line) <= 68 for line in lines)


def test_without_target_and_reading_there_is_no_picture() -> None:
    """Nothing to draw."""
    assert pressure_plot(Chart((), None, "psi"), 60, 14, UNICODE) == []


def test_axes_put_the_ends_at_the_ends() -> None:
    """The lowest x is the first column, the highest y the first line."""
    canvas = Canvas([0.0, 10.0], [0.0, 100.0], 40, 12, UNICODE)
    assert (canvas.column(0.0), canvas.column(10.0)) == (0, canvas.width - 1)
    assert (canvas.line(100.0), canvas.line(0.0)) == (0, canvas.height - 1)
