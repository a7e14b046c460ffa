"""Causes and reasons: the ranking whole, and for one cause everything that speaks for and against it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, ClassVar

from textual import on
from textual.containers import VerticalScroll
from textual.widgets import OptionList

from diag.ui.tui.board import Board, in_turn
from diag.ui.tui.deeds import Deed
from diag.ui.tui.rows_causes import Workings, cause_rows, list_line, reason_rows, workings
from diag.ui.tui.screens.lists import DetailScreen, List

MOST = 24
EXPLAINED = 12  # causes whose predictions are worked out at once


class CausesScreen(DetailScreen[None]):
    """The ranking, and the reasons of the cause under the cursor."""

    heading = "Causes: how likely, and why"
    about: ClassVar[str] = (
        "Every cause with its chance. The arrows move through them; below stands what the cause is, what speaks for "
        "and against it, how its chance went, and what each reading would have been. PgUp and PgDn scroll the reasons."
    )

    def __init__(self, board: Board, unit: str, name: str = "") -> None:
        super().__init__()
        self.board = board
        self.unit = unit
        self.workings: Workings | None = None
        self.names = [cause for cause, _ in board.ranked[:MOST]]
        if name and name not in self.names:
            self.names.append(name)
        self.shown = name or self.names[0]

    def arrive(self) -> None:
        """List at once, reasons from a thread."""
        super().arrive()
        shown = self.query_one(List)
        chances = dict(self.board.ranked)
        lines = [(name, list_line(name, chances.get(name, 0.0), self.board, self.desk.glyphs, at))
                 for at, name in enumerate(self.names, 1)]  # fmt: skip
        shown.fill(lines)
        shown.highlighted = self.names.index(self.shown)
        shown.focus()
        standing, names = self.board.standing, list(dict.fromkeys([self.shown, *self.names[:EXPLAINED]]))
        self.in_background(lambda: in_turn(lambda: workings(standing, names)), "workings")

    def found(self, group: str, result: Any) -> None:
        """The reasons are there."""
        if isinstance(result, Workings):
            self.workings = result
            self._explain()

    def _explain(self) -> None:
        rows = cause_rows(self.shown, self.board.standing.book)
        rows += reason_rows(self.shown, self.board, self.workings, self.unit, self.desk.glyphs)
        self.panel("card").show(rows)

    @on(OptionList.OptionHighlighted)
    def _moved(self, event: OptionList.OptionHighlighted) -> None:
        event.stop()
        if event.option.id:
            self.shown = str(event.option.id)
            self.query_one("#detail", VerticalScroll).scroll_home(animate=False)
            self._explain()

    def deeds(self) -> Sequence[Deed]:
        """Scroll, or go back."""
        return (
            *self.scrolling("reasons", ("reasons on", "reasons back")),
            self.back_deed,
            self.help_deed,
        )
