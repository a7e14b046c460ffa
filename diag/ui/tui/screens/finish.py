"""The end of a job: what to read back, how it ended, and the note for the next person."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, ClassVar

from textual.app import ComposeResult
from textual.containers import VerticalScroll

from diag.inference.titles import title_of
from diag.presentation.report.build import sheet_of
from diag.presentation.report.sheet import Sheet
from diag.presentation.report.text import Audience, closing_summary, hand_over_note, note_to_send, text_report
from diag.session.ending import NOT_YET_CURED, RESULTS, endings
from diag.session.heard import unplaced_in
from diag.session.job import Job
from diag.support.disk.files import write_atomic
from diag.support.text import one_line
from diag.ui.tui.base import CardScreen
from diag.ui.tui.board import Board, in_turn
from diag.ui.tui.card import Row, row
from diag.ui.tui.deeds import Deed
from diag.ui.tui.panel import Panel
from diag.ui.tui.screens.lists import PickScreen
from diag.ui.tui.screens.pages import LineScreen


class SheetScreen(CardScreen[None]):
    """A text made from the job's sheet; the sheet comes from a thread."""

    def __init__(self, job: Job) -> None:
        super().__init__()
        self.job = job
        self.sheet: Sheet | None = None

    def body(self) -> ComposeResult:
        """The text."""
        with VerticalScroll(id="scroll"):
            yield Panel([row("", "putting the job together ...", "quiet")], id="card", margin=2)

    def arrive(self) -> None:
        """Have the sheet made."""
        super().arrive()
        self.query_one("#scroll").focus()
        self._renew()

    def _renew(self) -> None:
        job = self.job
        self.in_background(lambda: in_turn(lambda: sheet_of(job.case, job.book, job.standing, False)), "sheet")

    def found(self, group: str, result: Any) -> None:
        """Show the text."""
        if isinstance(result, Sheet):
            self.sheet = result
            self.panel("card").show(text_rows(self.text(result)))

    def text(self, sheet: Sheet) -> str:
        """The text of this screen."""
        raise NotImplementedError

    def _write(self, text: str, ending: str) -> None:
        """Write a text beside the case's file."""
        path = self.desk.options.papers / f"{self.job.case.id}{ending}"
        write_atomic(path, text)
        self.tell(f"Written: {one_line(str(path), 200)}", "good")


class FinishScreen(SheetScreen):
    """How the job ended."""

    heading = "Finish the job"
    about: ClassVar[str] = (
        "Read the summary back to whoever brought the job, then say how it ended. The job can be opened again later. "
        "The w key writes the whole report into a file beside the case, for sending."
    )

    def __init__(self, job: Job, board: Board | None) -> None:
        super().__init__(job)
        self.board = board

    def text(self, sheet: Sheet) -> str:
        """The closing summary."""
        return closing_summary(sheet)

    def deeds(self) -> Sequence[Deed]:
        """Ends, writing."""
        return (
            Deed("e", "how it ended", self.do_end, "say how the job ended; this closes it"),
            Deed("p", "waiting for a part", self.do_waiting, "keep it open: waiting for a part"),
            Deed("n", "note to send", self.do_note, "the note for the workshop or the customer, ready to send"),
            Deed("w", "write report", self.do_write, "write the report for the customer beside the case"),
            self.back_deed,
            self.help_deed,
        )

    def do_note(self) -> None:
        """The note, ready to send."""
        self.app.push_screen(NoteScreen(self.job))

    def do_write(self) -> None:
        """Write the customer's report."""
        if self.sheet is not None:
            self._write(text_report(self.sheet, "customer"), ".report.txt")

    def do_waiting(self) -> None:
        """Keep it open."""
        self.job.set_status("waiting for part")
        self.dismiss()

    def do_end(self) -> None:
        """How it ended."""
        ends = endings(self.job.case, self.job.book)
        lines = [(result, f"{words[:1].upper()}{words[1:]}") for result, words in ends]
        rows = [row("", NOT_YET_CURED)] if len(ends) < len(RESULTS) else []
        self.app.push_screen(PickScreen("How did the job end?", lines, rows), self._ended)

    def _ended(self, result: str | None) -> None:
        found = next((r for r, _ in RESULTS if r == result), None)
        if found is None:
            return
        if found == "cured":
            self.app.push_screen(PickScreen("What was it?", self._causes()), self._cured)
            return
        self.job.finish(found)
        self.dismiss()

    def _causes(self) -> list[tuple[str, str]]:
        """Causes that a remedy was carried out for, then the likeliest, then none of them."""
        book = self.job.book
        done = {e.step for e in self.job.case.effective() if hasattr(e, "step")}
        treated = [c.id for c in book.causes.values() if set(c.remedies) & done]
        ranked = [name for name, _ in self.board.ranked if name in book.causes] if self.board is not None else []
        ever = sorted(treated, key=lambda c: ranked.index(c) if c in ranked else 999)
        names = list(dict.fromkeys([*self._cured_causes(), *ever, *ranked[:6]]))[:12]
        return [*((name, title_of(name, book)) for name in names), ("none", "Something else, or not known")]

    def _cured_causes(self) -> list[str]:
        if self.board is None:
            return []
        belief = self.board.standing.belief
        cured = {c for epoch in self.board.standing.evidence.epochs for c in epoch.cured}
        ever = dict(zip(belief.causes, belief.ever, strict=True))
        return sorted(cured, key=lambda c: (-ever.get(c, 0.0), c))

    def _cured(self, cause: str | None) -> None:
        if cause is None:
            return
        causes = () if cause == "none" else (cause,)
        lines = [("yes", "Proven: the checks after the repair were done and good"), ("no", "Not proven yet")]

        def proven(answer: str | None) -> None:
            if answer is not None:
                self.job.finish("cured", causes, proven=answer == "yes")
                self.dismiss()

        rows = [row("PROOF", f"[{'x' if w.done else ' '}] {w.title}") for w in (self.sheet.proof if self.sheet else ())]
        self.app.push_screen(PickScreen("Is the cure proven?", lines, rows), proven)


class NoteScreen(SheetScreen):
    """A note that leaves the house as it stands: for the workshop, or for the customer."""

    heading = "Note to send"
    about: ClassVar[str] = (
        "What is sent on: for the workshop with all that the next person must know, for the customer in plain words "
        "without chances. What was said and found no place stands at the end. The w key writes it into a file."
    )

    def __init__(self, job: Job) -> None:
        super().__init__(job)
        self.audience: Audience = "workshop"

    def text(self, sheet: Sheet) -> str:
        """The note for whom it is meant."""
        return note_to_send(sheet, self.audience, unplaced_in(self.job.case))

    def deeds(self) -> Sequence[Deed]:
        """For whom, and writing it."""
        return (
            Deed("1", "for the workshop", lambda: self.show_for("workshop"), "the note for the workshop"),
            Deed("2", "for the customer", lambda: self.show_for("customer"), "the note for the customer"),
            Deed("w", "write it", self.do_write, "write the note into a file beside the case"),
            self.back_deed,
            self.help_deed,
        )

    def show_for(self, audience: Audience) -> None:
        """The same job for somebody else."""
        self.audience = audience
        if self.sheet is not None:
            self.panel("card").show(text_rows(self.text(self.sheet)))

    def do_write(self) -> None:
        """Write the note."""
        if self.sheet is not None:
            self._write(self.text(self.sheet), f".{self.audience}.txt")


class HandOverScreen(SheetScreen):
    """The note for the next shift."""

    heading = "Hand-over note"
    about: ClassVar[str] = (
        "What the next person must know before touching the car. The h key records who takes over; from then on a dry "
        "look by the first person no longer counts. The w key writes the note beside the case."
    )

    def text(self, sheet: Sheet) -> str:
        """The note."""
        return hand_over_note(sheet)

    def deeds(self) -> Sequence[Deed]:
        """Hand over, write."""
        return (
            Deed("h", "hand over to", self.do_to, "record who takes the job over"),
            Deed("n", "note to send", self.do_note, "the note for the workshop or the customer, ready to send"),
            Deed("w", "write note", self.do_write, "write the note beside the case"),
            self.back_deed,
            self.help_deed,
        )

    def do_note(self) -> None:
        """The note, ready to send."""
        self.app.push_screen(NoteScreen(self.job))

    def do_write(self) -> None:
        """Write the note."""
        if self.sheet is not None:
            self._write(hand_over_note(self.sheet), ".hand-over.txt")

    def do_to(self) -> None:
        """Record who takes over."""
        rows = [row("TO", "Who takes the job over?"), row("", "The car must be looked over for wet fuel again.")]
        self.app.push_screen(
            LineScreen("Hand over", rows, take=lambda name: self.job.hand_over(name)), lambda _: self._renew()
        )


def text_rows(text: str) -> list[Row]:
    """A finished text as rows, its own line ends kept."""
    return [row("", line.replace("  ", "\xa0\xa0")) for line in text.split("\n")]
