"""A data log on the screen: name the file, confirm its columns, read what it says, write it into the job."""

from __future__ import annotations

import os
from collections.abc import Sequence
from pathlib import Path
from typing import Any, ClassVar

from textual.app import ComposeResult
from textual.containers import VerticalScroll
from textual.widgets import Input

from diag.datalog.analysis import Analysis, analysed
from diag.datalog.log import Log, Wishes, read_log
from diag.datalog.told import readings_of, signs_of
from diag.datalog.wanted import gaps_of
from diag.fuelsystem.car import hose_off_target
from diag.presentation.log_text import about_line, column_lines, phase_lines, result_lines
from diag.session.job import Job
from diag.session.log_columns import keep_layout, kept_layouts
from diag.session.logged import FromLog
from diag.support.errors import UserError
from diag.ui.tui.base import CardScreen
from diag.ui.tui.card import Row, row
from diag.ui.tui.deeds import Deed
from diag.ui.tui.panel import Line, Panel
from diag.ui.tui.screens.lists import PickScreen
from diag.ui.tui.screens.pages import LongCard

YES_NO = (("yes", "yes"), ("no", "no"))


def in_browser() -> bool:
    """Whether a page shows these screens; then no file of this machine is opened by name."""
    return os.environ.get("TEXTUAL_DRIVER", "").endswith("WebDriver")


class DataLogScreen(CardScreen[None]):
    """One line: the file's name, or a column put right; above it what was understood."""

    heading = "Read a data log"
    about: ClassVar[str] = (
        "Type the name of a log (CSV or TSV with a line of headings) and Enter. Then the columns are shown: type yes, "
        "or CHANNEL = COLUMN = UNIT to put one right, such as rail pressure = P7 = kPa. Nothing is written before you "
        "have read what the log says."
    )

    def __init__(self, job: Job) -> None:
        super().__init__()
        self.job = job
        self.path: Path | None = None
        self.columns: dict[str, str] = {}
        self.log_read: Log | None = None
        self.result: Analysis | None = None
        self.hose_on = True

    def body(self) -> ComposeResult:
        """What was understood, and the line."""
        with VerticalScroll(can_focus=False):
            yield Panel([row("LOG", "Which file? Its name, with the folder it lies in.")], id="card")
            yield Line(placeholder="run.csv", id="line", compact=True, max_length=500)

    def arrive(self) -> None:
        """Ready to type."""
        super().arrive()
        self.query_one(Input).focus()

    def deeds(self) -> Sequence[Deed]:
        """Enter or Esc."""
        return (Deed("enter", "take it", self.do_enter, "take what was typed"), self.back_deed)

    def do_enter(self) -> None:
        """Take what was typed."""
        field = self.query_one(Input)
        self.entered(field, field.value)

    def entered(self, field: Input, text: str) -> None:
        """A file's name first; then yes, or a column."""
        typed = text.strip()
        if in_browser():
            raise UserError("A page opens no file by name.", "Use the terminal, or: diag log FILE --add-to JOB")
        if not typed:
            raise UserError("Nothing was typed.", "Type a name; Esc leaves the log.")
        if self.log_read is not None and typed.casefold() in ("y", "yes"):
            keep_layout(self.log_read.layout)
            self._weigh(self.log_read)
            return
        channel, equals, column = typed.partition("=")
        if equals and self.path is not None:
            self.columns[channel.strip().casefold()] = column.strip()
        else:
            self.path, self.columns = Path(typed).expanduser(), {}
        path, wishes = self.path, Wishes(dict(self.columns))
        field.value = ""
        self.tell("Reading.")
        self.in_background(lambda: read_log(path, kept_layouts(), wishes), "read")

    def _weigh(self, log: Log) -> None:
        self.tell("Looking at it.")
        target = hose_off_target(self.job.standing.car)
        self.in_background(lambda: analysed(log, target), "analyse")

    def found(self, group: str, result: Any) -> None:
        """The file was read: its columns; it was analysed: on to the questions."""
        self.tell("")
        if group == "read":
            self.log_read = result
            if result.layout.sure:
                self._weigh(result)
                return
            rows = [row("COLUMNS", ""), *(row("", line) for line in column_lines(result.layout))]
            ask = "Are these right? Type yes, or CHANNEL = COLUMN = UNIT to put one right."
            self.panel("card").show([*rows, row("", ask, "strong")])
            self.query_one(Input).focus()
        elif group == "analyse":
            self.result = result
            ask = "Was the reference hose on the regulator while this was logged?"
            self.app.push_screen(PickScreen(ask, YES_NO), self._hose)

    def _hose(self, answer: str | None) -> None:
        if answer is None or self.result is None:
            return
        self.hose_on = answer == "yes"
        if self.result.rest is None:
            self._show("no")
            return
        ask = "Had the pressure been let off before the log began?"
        self.app.push_screen(PickScreen(ask, YES_NO), self._show)

    def _show(self, released: str | None) -> None:
        if released is None or self.result is None:
            return
        result, unit = self.result, self.job.case.unit_pressure
        told = FromLog(result.log.name, about_line(result, unit),
                       readings_of(result, released == "yes", self.hose_on), signs_of(result))  # fmt: skip
        self.app.push_screen(
            FoundScreen(result, unit, self._boosted()), lambda wanted: self._written(told) if wanted else None
        )

    def _boosted(self) -> bool | None:
        boost = self.job.standing.car.number("boost")
        return None if boost is None else boost > 0.0

    def _written(self, told: FromLog) -> None:
        try:
            self.job.take_log(told)
        except UserError as error:
            self.tell(error.one_line(), "care")
            return
        self.dismiss()


class FoundScreen(LongCard[bool]):
    """What a log says, to read before it is written down."""

    about: ClassVar[str] = (
        "What the log says, with 95 % intervals, and what it cannot say. w writes it into the job as readings with "
        "their own errors; it counts for the car as it is now."
    )

    def __init__(self, found: Analysis, unit: str, boosted: bool | None) -> None:
        super().__init__()
        self.heading = f"Data log {found.log.name}"
        self.page = rows_of(found, unit, boosted)

    def deeds(self) -> Sequence[Deed]:
        """Write it down or leave it."""
        words = "write it into the job; it counts for the car as it is now"
        return (Deed("w", "write it down", self.do_write, words), self.back_deed, self.help_deed)

    def do_write(self) -> None:
        """Into the job."""
        self.dismiss(True)

    def do_back(self) -> None:
        """Leave it."""
        self.dismiss(False)


def rows_of(found: Analysis, unit: str, boosted: bool | None) -> list[Row]:
    """The card: doubts first, then phases, results and gaps."""
    parts = (
        ("DOUBTS", [doubt.text for doubt in found.doubts]),
        ("LOG", [*found.log.remarks, *phase_lines(found)]),
        ("SAYS", result_lines(found, unit)),
        ("LACKS", [f"{gap.missing} {gap.next_time}" for gap in gaps_of(found, boosted)]),
    )
    return [row(label if at == 0 else "", line) for label, lines in parts for at, line in enumerate(lines)]
