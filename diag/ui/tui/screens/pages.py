"""Screens that hold rows to read, a line to type, or a notice to acknowledge."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import ClassVar, TypeVar

from textual import on
from textual.app import ComposeResult
from textual.containers import VerticalScroll
from textual.widgets import Input

from diag.support.text import one_line
from diag.ui.tui.base import CardScreen
from diag.ui.tui.card import Row, row
from diag.ui.tui.deeds import Deed
from diag.ui.tui.panel import Line, Panel

Result = TypeVar("Result")


class LongCard(CardScreen[Result]):
    """One long card that takes the arrow keys."""

    page: Sequence[Row] = ()

    def body(self) -> ComposeResult:
        """The card, whole."""
        with VerticalScroll(id="scroll"):
            yield Panel(self.page, id="card")

    def arrive(self) -> None:
        """The page itself takes the arrow keys."""
        super().arrive()
        self.query_one("#scroll").focus()


class PageScreen(LongCard[None]):
    """Rows to read."""

    about: ClassVar[str] = "A page to read. PgUp and PgDn or the arrows scroll it."

    def __init__(self, title: str, rows: Sequence[Row], more: Sequence[Deed] = ()) -> None:
        super().__init__()
        self.heading = one_line(title, 100)
        self.page = list(rows)
        self.more = tuple(more)

    def deeds(self) -> Sequence[Deed]:
        """Nothing but going back, and what the page brings."""
        return (*self.more, self.back_deed)


class LineScreen(CardScreen[str | None]):
    """One line to type; the result is the text, None when it was left."""

    about: ClassVar[str] = "Type one line and press Enter. Esc leaves it as it was."

    def __init__(
        self,
        title: str,
        rows: Sequence[Row],
        text: str = "",
        hint: str = "",
        understood: Callable[[str], Sequence[Row]] | None = None,
        may_be_empty: bool = False,
        take: Callable[[str], None] | None = None,
    ) -> None:
        super().__init__()
        self.heading = one_line(title, 100)
        self.top = list(rows)
        self.text = one_line(text, 500)
        self.hint = hint
        self.understood = understood
        self.may_be_empty = may_be_empty
        self.take = take

    def body(self) -> ComposeResult:
        """Words, the line, and how it is understood."""
        with VerticalScroll(can_focus=False):
            yield Panel(self.top, id="card")
            yield Line(self.text, placeholder=self.hint, id="line", compact=True, max_length=500)
            yield Panel(id="understood")

    def arrive(self) -> None:
        """Ready to type."""
        super().arrive()
        self.query_one(Input).focus()

    def deeds(self) -> Sequence[Deed]:
        """Enter or Esc."""
        return (Deed("enter", "take it", self.do_enter, "take what was typed"), self.back_deed)

    def do_enter(self) -> None:
        """Take what was typed."""
        self.entered(self.query_one(Input), self.query_one(Input).value)

    @on(Input.Changed)
    def _typing(self, event: Input.Changed) -> None:
        event.stop()
        if self.understood is not None:
            self.panel("understood").show(self.understood(event.value))

    def entered(self, field: Input, text: str) -> None:
        """Do with it what it is for, then hand it back; what is refused stays on the line to be mended."""
        if not text.strip() and not self.may_be_empty:
            self.tell("Nothing was typed. Esc leaves it as it was.", "care")
            return
        if self.take is not None:
            self.take(text)
        self.dismiss(text)

    def do_back(self) -> None:
        """Leave it as it was."""
        self.dismiss(None)


class NoticeScreen(LongCard[bool]):
    """Something that must be read before anything else; only its own key closes it."""

    about: ClassVar[str] = "This must be read, and said to whoever is at the car, before anything else is done."

    def __init__(self, title: str, rows: Sequence[Row], words: str) -> None:
        super().__init__()
        self.heading = one_line(title, 100)
        self.page = list(rows)
        self.words = words

    def head_rows(self) -> list[Row]:
        """An alarm across the whole screen."""
        return [row("", f" {self.heading}", "alarm", fill="alarm")]

    def deeds(self) -> Sequence[Deed]:
        """One key only."""
        return (Deed("a", self.words, self.do_acknowledge, self.words), self.help_deed)

    def do_acknowledge(self) -> None:
        """It was read."""
        self.dismiss(True)
