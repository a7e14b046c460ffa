"""Screens that hold rows to read, a list to pick from, a line to type, or a notice to acknowledge."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import ClassVar

from textual import on
from textual.app import ComposeResult
from textual.containers import VerticalScroll
from textual.content import Content
from textual.events import Key
from textual.widgets import Input, OptionList
from textual.widgets.option_list import Option

from diag.support.text import one_line
from diag.ui.tui.base import CardScreen
from diag.ui.tui.card import Row, row
from diag.ui.tui.deeds import Deed
from diag.ui.tui.panel import Line, Panel, one_line_as_typed


class PageScreen(CardScreen[None]):
    """Rows to read."""

    about: ClassVar[str] = "A page to read. PgUp and PgDn or the arrows scroll it."

    def __init__(self, title: str, rows: Sequence[Row], more: Sequence[Deed] = ()) -> None:
        super().__init__()
        self.heading = one_line(title, 100)
        self.page = list(rows)
        self.more = tuple(more)

    def body(self) -> ComposeResult:
        """One long card."""
        with VerticalScroll(id="scroll"):
            yield Panel(self.page, id="card")

    def arrive(self) -> None:
        """The page itself takes the arrow keys."""
        super().arrive()
        self.query_one("#scroll").focus()

    def deeds(self) -> Sequence[Deed]:
        """Nothing but going back, and what the page brings."""
        return (*self.more, self.back_deed)


class List(OptionList):
    """A list of rows of text; the one under the cursor is shown in reverse video and with a mark."""

    _texts: Sequence[str] = ()
    _marked: int | None = None

    def fill(self, lines: Sequence[tuple[str, str]], keep: bool = False) -> None:
        """Ids and texts, in order; ids must differ. ``keep`` holds the cursor where it was."""
        at = self.highlighted if keep else None
        self.clear_options()
        self._texts = [one_line_as_typed(text) for _, text in lines]
        self._marked: int | None = None
        self.add_options(
            [Option(Content(f"  {text}"), id=name) for (name, _), text in zip(lines, self._texts, strict=True)]
        )
        if lines:
            self.highlighted = min(at or 0, len(lines) - 1)

    def watch_highlighted(self, highlighted: int | None) -> None:
        """The line under the cursor has a mark besides its reverse video, whatever has the keys."""
        super().watch_highlighted(highlighted)
        for at, sign in ((self._marked, "  "), (highlighted, "> ")):
            if at is not None and at < min(self.option_count, len(self._texts)):
                self.replace_option_prompt_at_index(at, Content(f"{sign}{self._texts[at]}"))
        self._marked = highlighted

    @property
    def chosen(self) -> str:
        """The id under the cursor, empty when there is none."""
        if self.highlighted is None or self.highlighted >= self.option_count:
            return ""
        return str(self.get_option_at_index(self.highlighted).id or "")

    def move(self, key: str) -> bool:
        """Move the cursor for a key pressed in a field beside the list; False for a key that moves nothing."""
        moves: dict[str, Callable[[], None]] = {
            "up": self.action_cursor_up,
            "down": self.action_cursor_down,
            "pageup": self.action_page_up,
            "pagedown": self.action_page_down,
        }
        if key not in moves:
            return False
        moves[key]()
        return True


class PickScreen(CardScreen[str | None]):
    """A list to pick one thing from; the result is its id."""

    about: ClassVar[str] = "Pick with the arrows and Enter, with the mouse, or with the number in front."

    def __init__(self, title: str, lines: Sequence[tuple[str, str]], rows: Sequence[Row] = ()) -> None:
        super().__init__()
        self.heading = one_line(title, 100)
        self.choices = list(lines)
        self.top = list(rows)

    def body(self) -> ComposeResult:
        """Words, then the list."""
        yield Panel(self.top, id="card")
        yield List(id="list", compact=True, markup=False)

    def arrive(self) -> None:
        """Fill and focus the list."""
        super().arrive()
        found = self.query_one(List)
        found.fill([(name, f"{at}. {text}" if at < 10 else f"   {text}") for at, (name, text) in
                    enumerate(self.choices, 1)])  # fmt: skip
        found.focus()

    def deeds(self) -> Sequence[Deed]:
        """Pick or go back."""
        return (Deed("enter", "pick", self.do_pick, "take the line under the cursor"), self.back_deed, self.help_deed)

    def other_key(self, event: Key) -> bool:
        """A digit picks its line."""
        if event.character and event.character.isdigit() and 1 <= int(event.character) <= len(self.choices):
            self.dismiss(self.choices[int(event.character) - 1][0])
            return True
        return False

    def do_pick(self) -> None:
        """Take the line under the cursor."""
        self.dismiss(self.query_one(List).chosen or None)

    @on(OptionList.OptionSelected)
    def _picked(self, event: OptionList.OptionSelected) -> None:
        event.stop()
        self.dismiss(str(event.option.id))

    def do_back(self) -> None:
        """Pick nothing."""
        self.dismiss(None)


class MenuScreen(PickScreen):
    """Everything that can be done on a screen; the result is a deed's key."""

    def __init__(self, title: str, deeds: Sequence[Deed]) -> None:
        super().__init__(title, [(d.key, d.words or d.short) for d in deeds])
        self.keys_of = {key: d.key for d in deeds for key in (d.key, *d.more)}
        self.marked = [(d.key, f"[{d.key}]".ljust(8) + (d.words or d.short)) for d in deeds]

    def arrive(self) -> None:
        """Show the keys instead of numbers."""
        super().arrive()
        self.query_one(List).fill(self.marked)

    def other_key(self, event: Key) -> bool:
        """The deed's own key works here too."""
        found = self.keys_of.get(event.character or event.key)
        if found:
            self.dismiss(found)
        return bool(found)


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


class NoticeScreen(CardScreen[bool]):
    """Something that must be read before anything else; only its own key closes it."""

    about: ClassVar[str] = "This must be read, and said to whoever is at the car, before anything else is done."

    def __init__(self, title: str, rows: Sequence[Row], words: str) -> None:
        super().__init__()
        self.heading = one_line(title, 100)
        self.page = list(rows)
        self.words = words

    def body(self) -> ComposeResult:
        """The words, whole."""
        with VerticalScroll(id="scroll"):
            yield Panel(self.page, id="card")

    def head_rows(self) -> list[Row]:
        """An alarm across the whole screen."""
        return [row("", f" {self.heading}", "alarm", fill="alarm")]

    def arrive(self) -> None:
        """The page takes the arrow keys."""
        super().arrive()
        self.query_one("#scroll").focus()

    def deeds(self) -> Sequence[Deed]:
        """One key only."""
        return (Deed("a", self.words, self.do_acknowledge, self.words), self.help_deed)

    def do_acknowledge(self) -> None:
        """It was read."""
        self.dismiss(True)
