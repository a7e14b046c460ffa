"""What is known of the car: every field may stay unknown; those that would sharpen the ranking most stand first."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, ClassVar

from textual.app import ComposeResult

from diag.casework.entries import CarFact
from diag.fuelsystem.fields import CHOICE, FIELDS
from diag.inference import explain
from diag.quantities import parse
from diag.session.job import Job
from diag.support.errors import UserError
from diag.support.text import one_line
from diag.ui.tui.base import CardScreen
from diag.ui.tui.board import in_turn
from diag.ui.tui.card import Part, Row, row
from diag.ui.tui.deeds import Deed
from diag.ui.tui.panel import Panel
from diag.ui.tui.screens.lists import List, PickScreen
from diag.ui.tui.screens.pages import LineScreen
from diag.ui.tui.screens.people import one_line_screen


class CarScreen(CardScreen[None]):
    """Fields and facts of the car."""

    heading = "The car: tell what is known, leave the rest"
    about: ClassVar[str] = (
        "Everything here may stay unknown: the program then reckons with all cars there may be. Lines marked with a "
        "star would tell the likely causes apart best. Enter tells the one under the cursor; typing nothing makes it "
        "unknown again. [t] takes all that the papers say in one line."
    )

    def __init__(self, job: Job) -> None:
        super().__init__()
        self.job = job
        self.worth: list[str] = []

    def body(self) -> ComposeResult:
        """Contradictions, then the list."""
        yield Panel(id="card")
        yield List(id="list", compact=True, markup=False)

    def arrive(self) -> None:
        """Fill the list, and find out what would help most."""
        super().arrive()
        self._fill()
        self.query_one(List).focus()
        standing = self.job.standing
        self.in_background(lambda: in_turn(lambda: explain.unknown_worth(standing.model, standing.evidence)), "worth")

    def found(self, group: str, result: Any) -> None:
        """The fields that would help most."""
        self.worth = [item.field for item in result][:3] if isinstance(result, list) else []
        self._fill()

    def _fill(self) -> None:
        told = told_fields(self.job)
        names = [*FIELDS, *(name for name, c in self.job.book.contexts.items() if not c.when_car)]
        names.sort(key=lambda name: name not in self.worth)
        glyphs = self.desk.glyphs
        lines = []
        for name in names:
            mark = "*" if name in self.worth and not told.get(name) else " "
            title = FIELDS[name].title if name in FIELDS else self.job.book.contexts[name].title
            lines.append((name, glyphs.text(f"{mark} {one_line(title, 42):<42} {told.get(name) or 'not known'}")))
        self.query_one(List).fill(lines, keep=True)
        rows = [Row("LOOK", (Part(text, "care"),), "care") for text in self.job.standing.car.contradictions()]
        if self.worth:
            rows.append(row("HELPS", "Lines with a star would tell the likely causes apart best."))
        self.panel("card").show(rows)

    def deeds(self) -> Sequence[Deed]:
        """Tell one."""
        return (
            Deed("enter", "tell", self.do_field, "tell the one under the cursor"),
            Deed("t", "one line", self.do_line, "tell all that the papers say in one line"),
            self.back_deed,
            self.help_deed,
        )

    def do_line(self) -> None:
        """All that the papers say, in one line."""
        self.app.push_screen(one_line_screen(self.job, self.tell), lambda _: self._fill())

    def do_field(self) -> None:
        """Ask for one field."""
        name = self.query_one(List).chosen
        if not name:
            return
        rows = field_rows(name, self.job)
        title = FIELDS[name].title if name in FIELDS else self.job.book.contexts[name].title
        spec = FIELDS.get(name)
        if spec is None or spec.kind == CHOICE:
            words = ("yes", "no") if spec is None else spec.choices
            lines = [*((w, w) for w in words), ("", "not known")]
            self.app.push_screen(PickScreen(title, lines, rows), lambda text: self._told(name, text))
            return
        unit = self.job.case.unit_pressure
        screen = LineScreen(
            title, rows, told_fields(self.job).get(name, ""), "leave empty for not known",
            lambda text: understood_field(name, text, unit), may_be_empty=True,
            take=lambda text: self.job.tell_car(name, text),
        )  # fmt: skip
        self.app.push_screen(screen, lambda _: self._fill())

    def _told(self, name: str, text: str | None) -> None:
        if text is not None:
            self.job.tell_car(name, text)
            self._fill()


def told_fields(job: Job) -> dict[str, str]:
    """What was told, as typed."""
    return {e.field: one_line(e.text, 60) for e in job.case.effective() if isinstance(e, CarFact)}


def field_rows(name: str, job: Job) -> list[Row]:
    """The question and its words."""
    spec = FIELDS.get(name)
    if spec is None:
        return [row("ASK", job.book.contexts[name].ask, "strong")]
    return [row("ASK", spec.ask, "strong"), row("", spec.words)]


def understood_field(name: str, text: str, unit_pressure: str) -> list[Row]:
    """How a typed field is understood, or what is wrong with it."""
    spec = FIELDS[name]
    if not text.strip():
        return [row("READ", "not known")]
    try:
        amount = parse(text, spec.kind, unit_pressure if spec.kind == "pressure" else spec.unit, spec.title)
    except UserError as error:
        return [Row("READ", (Part(f"{error.what} {error.hint}".strip(), "care"),), "care")]
    return [row("READ", f"understood as {amount.understood}")]
