"""Second thoughts: change an earlier answer or take it back, and see the ranking before and after first."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any, ClassVar

from textual.app import ComposeResult
from textual.containers import VerticalScroll

from diag.casework import record
from diag.casework.entries import Case, Entry, SignAnswer
from diag.casework.replay import Comparison
from diag.presentation.wording import Words
from diag.rulebook.findings import NOT_KNOWN
from diag.session.job import Job
from diag.ui.tui.base import CardScreen
from diag.ui.tui.board import in_turn
from diag.ui.tui.card import Row, row
from diag.ui.tui.deeds import Deed
from diag.ui.tui.panel import Panel
from diag.ui.tui.rows_answers import CHANGEABLE, before_after_rows, entry_line, hint_for, listed, old_text
from diag.ui.tui.screens.lists import List, PickScreen
from diag.ui.tui.screens.pages import LineScreen


class AnswersScreen(CardScreen[None]):
    """Every answer, newest first."""

    heading = "Answers given so far"
    about: ClassVar[str] = (
        "Every answer of this job, newest first. Enter changes the one under the cursor, the x key takes it back. The "
        "ranking before and after is shown first; nothing changes until you say so."
    )

    def __init__(self, job: Job) -> None:
        super().__init__()
        self.job = job

    def body(self) -> ComposeResult:
        """The list."""
        yield List(id="list", compact=True, markup=False)

    def arrive(self) -> None:
        """Fill the list."""
        super().arrive()
        self._fill()
        self.query_one(List).focus()

    def _fill(self) -> None:
        words = Words(self.job.book, self.job.case.unit_pressure)
        lines = [(str(e.number), self.desk.glyphs.text(entry_line(e, words))) for e in listed(self.job.case)]
        self.query_one(List).fill(lines or [("", "Nothing told yet.")], keep=True)

    def deeds(self) -> Sequence[Deed]:
        """Change, take back."""
        return (
            Deed("enter", "change", self.do_change, "give this question another answer"),
            Deed("x", "take back", self.do_take_back, "take it back, as if never told", more=("delete",)),
            self.back_deed,
            self.help_deed,
        )

    def _entry(self) -> Entry | None:
        chosen = self.query_one(List).chosen
        return record.entry_of(self.job.case, int(chosen)) if chosen else None

    def do_take_back(self) -> None:
        """Preview taking it back."""
        entry = self._entry()
        if entry is None:
            return
        number = entry.number
        by = {"at": entry.at, "who": self.job.who}
        self._preview("Take this back?", entry, lambda c: record.retract(c, number, **by),
                      lambda: self.job.take_back(number))  # fmt: skip

    def do_change(self) -> None:
        """Ask for the new answer."""
        entry = self._entry()
        if entry is None:
            return
        if not isinstance(entry, CHANGEABLE):
            self.tell("This has no text to change; x takes it back.", "care")
            return
        words = Words(self.job.book, self.job.case.unit_pressure)
        rows = [row("WAS", entry_line(entry, words)), row("NEW", hint_for(entry, self.job.book))]
        if isinstance(entry, SignAnswer) and entry.sign in self.job.book.signs:
            sign = self.job.book.signs[entry.sign]
            answers = [(a.id, a.words) for a in sign.choices] or [("yes", "yes"), ("no", "no")]
            screen = PickScreen("Another answer", [*answers, (NOT_KNOWN, "not known")], rows)
            self.app.push_screen(screen, lambda text: self._changed(entry, text))
            return
        self.app.push_screen(
            LineScreen("Another answer", rows, old_text(entry), take=lambda text: self._tried(entry, text)),
            lambda text: self._changed(entry, text),
        )

    def _tried(self, entry: Entry, text: str) -> None:
        """Refuse a text that cannot be, while it can still be mended."""
        self.job.changed_answer(entry.number, text)

    def _retold(self, entry: Entry, text: str) -> Callable[[Case], Case]:
        """The change as a function of the case; refused text raises at once."""
        changed = self.job.changed_answer(entry.number, text)
        return lambda case: changed

    def _changed(self, entry: Entry, text: str | None) -> None:
        if text is None:
            return
        self._preview("Change it to this?", entry, self._retold(entry, text),
                      lambda: self.job.change_answer(entry.number, text))  # fmt: skip

    def _preview(self, title: str, entry: Entry, change: Callable[[Case], Case], make: Callable[[], None]) -> None:
        words = Words(self.job.book, self.job.case.unit_pressure)
        rows = [row("ENTRY", entry_line(entry, words))]

        def decided(yes: bool | None) -> None:
            if yes:
                make()
                self._fill()

        self.app.push_screen(PreviewScreen(title, self.job, rows, change), decided)


class PreviewScreen(CardScreen[bool]):
    """What a change would do, before it is made."""

    about: ClassVar[str] = "The ranking as it is and as it would be. Nothing has changed yet."

    def __init__(self, title: str, job: Job, rows: Sequence[Row], change: Callable[[Case], Case]) -> None:
        super().__init__()
        self.heading = title
        self.job = job
        self.top = list(rows)
        self.change = change

    def body(self) -> ComposeResult:
        """The entry and the comparison."""
        with VerticalScroll(id="scroll"):
            yield Panel([*self.top, row("CHANGE", "working out what would change ...", "quiet")], id="card")

    def arrive(self) -> None:
        """Have it worked out."""
        super().arrive()
        self.query_one("#scroll").focus()
        job, change = self.job, self.change
        self.in_background(lambda: in_turn(lambda: job.what_if(change)[1]), "preview")

    def found(self, group: str, result: Any) -> None:
        """Show before and after."""
        if isinstance(result, Comparison):
            self.panel("card").show([*self.top, *before_after_rows(result, self.desk.glyphs)])

    def deeds(self) -> Sequence[Deed]:
        """Do it or leave it."""
        return (
            Deed("enter", "do it", self.do_yes, "make the change", more=("y",)),
            Deed("esc", "leave it", self.do_back, "leave it as it was", more=("n",)),
            self.help_deed,
        )

    def do_yes(self) -> None:
        """Make the change."""
        self.dismiss(True)

    def do_back(self) -> None:
        """Leave it."""
        self.dismiss(False)
