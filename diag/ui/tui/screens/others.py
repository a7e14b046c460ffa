"""Other checks than the proposed one: what each would tell, what it costs, and what the safety wall says to it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import ClassVar

from textual import on
from textual.widgets import OptionList

from diag.casework.agenda import Task
from diag.decision.proposal import Alternative
from diag.hearing.search_steps import find_steps
from diag.presentation.reasons import note_words
from diag.safety.steps import find_step
from diag.session.job import Job
from diag.support.text import one_line
from diag.ui.tui.board import Board
from diag.ui.tui.card import Part, Row, row
from diag.ui.tui.deeds import Deed
from diag.ui.tui.rows_stops import caution_rows
from diag.ui.tui.rows_work import next_rows, step_rows
from diag.ui.tui.screens.lists import DetailScreen, List, SearchScreen


class OthersScreen(DetailScreen[None]):
    """A free choice."""

    heading = "Other checks"
    about: ClassVar[str] = (
        "Every check that could be done, the most telling per minute first. What is not allowed now says why and until "
        "when; [s] finds one by what it is for. Enter makes it the next one, with what must be done before it."
    )

    def __init__(self, job: Job, board: Board) -> None:
        super().__init__()
        self.job = job
        self.board = board
        self.others = {a.step: a for a in board.standing.proposal.alternatives if a.step in job.book.checks}
        for check in job.book.checks:
            if check not in self.others:
                verdict = board.standing.verdict(check)
                step = job.book.checks[check]
                self.others[check] = Alternative(check, step.title, "check", 0.0, step.minutes, 0.0, (), verdict)

    def arrive(self) -> None:
        """Fill the list."""
        super().arrive()
        glyphs = self.desk.glyphs
        lines = [(name, glyphs.text(f"{'   ' if a.verdict.allowed else 'NO '}{a.minutes:>4.0f} min  "
                                    f"{one_line(a.title, 90)}")) for name, a in self.others.items()]  # fmt: skip
        self.query_one(List).fill(lines)
        self.query_one(List).focus()

    @on(OptionList.OptionHighlighted)
    def _moved(self, event: OptionList.OptionHighlighted) -> None:
        event.stop()
        self.panel("card").show(self._rows(str(event.option.id or "")))

    def _rows(self, name: str) -> list[Row]:
        found = self.others.get(name)
        if found is None:
            return []
        rows: list[Row] = []
        if not found.verdict.allowed:
            rows.append(Row("NOT NOW", (Part(found.verdict.why, "care"),), "alarm"))
            rows.append(row("UNTIL", found.verdict.until))
        elif found.note:
            rows.append(row("NOTE", note_words(found)))
        ready = [find_step(self.job.book, s) for s in found.setups]
        if ready:
            rows.append(row("BEFORE", "; ".join(s.title for s in ready if s is not None)))
            rows += caution_rows(list(found.setups), self.job.book)
        task = Task("do", name)
        return [*rows, *next_rows(task, self.job.book, None), *step_rows(task, self.job.book, None, False)]

    def deeds(self) -> Sequence[Deed]:
        """Take it, scroll, back."""
        return (
            Deed("enter", "do this one", self.do_take, "answer this check instead of the proposed one"),
            Deed("s", "search", self.do_search, "find a check by what it is for, in everyday words"),
            *self.scrolling("check"),
            self.back_deed,
            self.help_deed,
        )

    def do_search(self) -> None:
        """Find a check by everyday words and go to it; it is taken from the list, where its cost and its wall stand."""
        book, names = self.job.book, list(self.others)

        def lines(text: str) -> list[tuple[str, str]]:
            found = [s.id for s in find_steps(book, text)] if len(text.strip()) > 1 else names
            return [(name, one_line(self.others[name].title, 90)) for name in found if name in self.others]

        def go(name: str | None) -> None:
            if name in self.others:
                self.query_one(List).highlighted = names.index(name)

        self.app.push_screen(SearchScreen("Search a check", lines, "a few words: blocked return, is the fuse good"), go)

    def do_take(self) -> None:
        """Answer this check, when the wall allows it."""
        name = self.query_one(List).chosen
        if name:
            self.job.choose(name)
            self.dismiss()
