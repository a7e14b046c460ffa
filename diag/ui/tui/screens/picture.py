"""The picture: rail pressure over manifold pressure, the healthy band, and every reading that belongs there."""

from __future__ import annotations

from typing import ClassVar

from textual.app import ComposeResult
from textual.containers import VerticalScroll
from textual.events import Resize

from diag.presentation.report.build import chart_of
from diag.quantities import show
from diag.session.job import Job
from diag.ui.tui.base import CardScreen
from diag.ui.tui.card import Row, row
from diag.ui.tui.panel import Panel
from diag.ui.tui.plot import BAND, pressure_plot


class PictureScreen(CardScreen[None]):
    """One picture."""

    heading = "Rail pressure over manifold pressure"
    about: ClassVar[str] = (
        "A sound regulator keeps rail pressure one to one above manifold pressure: the line, with its band. Every "
        "reading stands there with its entry number. A flat row of readings means the reference does not arrive; "
        "readings above the line that nothing lowers mean the return or the seat cannot pass the flow."
    )

    def __init__(self, job: Job) -> None:
        super().__init__()
        self.job = job
        self.chart = chart_of(job.case, job.book, job.standing)

    def body(self) -> ComposeResult:
        """Picture and key."""
        with VerticalScroll(id="scroll"):
            yield Panel(id="picture", margin=0)
            yield Panel(self._key(), id="card")

    def arrive(self) -> None:
        """Draw to the size there is."""
        super().arrive()
        self.query_one("#scroll").focus()
        self._draw()

    def on_resize(self, event: Resize) -> None:
        """Draw anew."""
        self._draw()

    def _draw(self) -> None:
        size = self.app.size
        lines = pressure_plot(self.chart, size.width - 3, max(size.height - 9, 8), self.desk.glyphs)
        text = "\n".join(line.replace(" ", "\xa0") for line in lines)
        told = "No reading belongs here yet, and no target is known. Tell the target under [k] the car."
        self.panel("picture").show([row("", text or told)])

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
