"""Two pictures: this car's fuel system, and rail pressure over manifold pressure with its band and readings."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, ClassVar

from textual.app import ComposeResult
from textual.containers import VerticalScroll
from textual.events import Resize

from diag.presentation.drawing.letters import letters
from diag.presentation.drawing.parts import SystemDrawing
from diag.presentation.drawing.system import system_drawing
from diag.presentation.report.build import chart_of
from diag.quantities import show
from diag.session.job import Job
from diag.ui.tui.base import CardScreen
from diag.ui.tui.board import in_turn
from diag.ui.tui.card import Row, row
from diag.ui.tui.deeds import Deed
from diag.ui.tui.panel import Panel
from diag.ui.tui.plot import BAND, pressure_plot


class PictureScreen(CardScreen[None]):
    """The fuel system first, the pressures at a key."""

    heading = "The fuel system"
    about: ClassVar[str] = (
        "The drawing shows what this car has, what was read where, what is wet and what is suspected; its key says the "
        "same in words. The d key turns to the pressures and back. A sound regulator keeps rail pressure one to one "
        "above manifold pressure: the line, with its band. Every reading stands there with its entry number. A flat "
        "row of readings means the reference does not arrive; readings above the line that nothing lowers mean the "
        "return or the seat cannot pass the flow."
    )

    def __init__(self, job: Job) -> None:
        super().__init__()
        self.job = job
        self.chart = chart_of(job.case, job.book, job.standing)
        self.drawing = True
        self.system: SystemDrawing | None = None

    def deeds(self) -> Sequence[Deed]:
        """Turn over, go back."""
        other = "pressures" if self.drawing else "fuel system"
        return (Deed("d", other, self.do_turn, f"the other picture: {other}"), self.back_deed, self.help_deed)

    def do_turn(self) -> None:
        """The other picture."""
        self.drawing = not self.drawing
        self.heading = "The fuel system" if self.drawing else "Rail pressure over manifold pressure"
        self.paint()
        self._draw()

    def body(self) -> ComposeResult:
        """Picture and key."""
        with VerticalScroll(id="scroll"):
            yield Panel(id="picture", margin=0)
            yield Panel(id="card")

    def arrive(self) -> None:
        """Draw to the size there is."""
        super().arrive()
        self.query_one("#scroll").focus()
        self._draw()
        self.in_background(lambda: in_turn(lambda: system_drawing(self.job.standing)), "drawing")

    def on_resize(self, event: Resize) -> None:
        """Draw anew."""
        self._draw()

    def _draw(self) -> None:
        size, glyphs = self.app.size, self.desk.glyphs
        if self.drawing:
            self._draw_system()
            return
        lines = pressure_plot(self.chart, size.width - 3, max(size.height - 9, 8), glyphs)
        text = "\n".join(line.replace(" ", "\xa0") for line in lines)
        told = "No reading belongs here yet, and no target is known. Tell the target under [k] the car."
        self.panel("picture").show([row("", text or told)])
        self.panel("card").show(self._key())

    def _draw_system(self) -> None:
        if self.system is None:
            self.panel("picture").show([row("", "drawing ...", "quiet")])
            self.panel("card").show([])
            return
        lines = letters(self.system, self.desk.glyphs.plain)
        self.panel("picture").show([row("", "\n".join(line.replace(" ", "\xa0") for line in lines))])
        self.panel("card").show([row("KEY" if at == 0 else "", line) for at, line in enumerate(self.system.key)])

    def found(self, group: str, result: Any) -> None:
        """The drawing is made."""
        if isinstance(result, SystemDrawing):
            self.system = result
            self._draw()

    def _key(self) -> list[Row]:
        unit = self.chart.unit
        rows = [row("AXES", f"across: manifold pressure in {unit}, below 0 is vacuum; up: rail pressure in {unit}")]
        if self.chart.target is not None:
            rows.append(row("BAND", f"base {show(self.chart.target, 'pressure', unit)} plus manifold pressure, within "
                            f"{100 * BAND:.0f} % of base"))  # fmt: skip
        for dot in self.chart.dots:
            bound = {"above": "over ", "below": "under "}.get(dot.bound, "")
            extra = " (vacuum assumed)" if dot.assumed else ""
            extra += ", after a change of the car" if dot.after else ""
            rows.append(row(f"{dot.number}", f"{bound}{show(dot.rail, 'pressure', unit)}: {dot.label}{extra}"))
        return rows
