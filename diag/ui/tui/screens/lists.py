"""Screens that hold a list: to pick from, to do something from, or to search with words."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import ClassVar, TypeVar

from textual import on
from textual.app import ComposeResult
from textual.containers import VerticalScroll
from textual.content import Content
from textual.events import Key
from textual.widgets import Input, OptionList
from textual.widgets.option_list import Option

from diag.support.text import one_line
from diag.ui.tui.base import CardScreen
from diag.ui.tui.card import Row
from diag.ui.tui.deeds import Deed
from diag.ui.tui.panel import Line, Panel, one_line_as_typed

Result = TypeVar("Result")


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


class DetailScreen(CardScreen[Result]):
    """A list above, and below it what belongs to the line under the cursor, which can be scrolled on and back."""

    share: ClassVar[str] = ""  # "half": the list takes half of the room

    def body(self) -> ComposeResult:
        """The list, then the detail."""
        yield List(id="list", compact=True, markup=False, classes=self.share)
        with VerticalScroll(id="detail", can_focus=False):
            yield Panel(id="card")

    def scrolling(self, what: str, short: tuple[str, str] = ("read on", "back up")) -> tuple[Deed, Deed]:
        """The keys that scroll it; ``what`` it is called."""
        on, back = short
        return (
            Deed("space", on, self.do_down, f"scroll the {what} on", more=("pagedown",)),
            Deed("-", back, self.do_up, f"scroll the {what} back", more=("pageup",)),
        )

    def do_down(self) -> None:
        """Scroll on."""
        self.query_one("#detail", VerticalScroll).scroll_page_down(animate=False)

    def do_up(self) -> None:
        """Scroll back."""
        self.query_one("#detail", VerticalScroll).scroll_page_up(animate=False)


class WordsScreen(CardScreen[Result]):
    """A line to type words on, above the list of what they may mean; the arrows move the list meanwhile."""

    hint: str = ""

    def body(self) -> ComposeResult:
        """The words, then what they may mean."""
        yield Line(id="words", compact=True, max_length=200, select_on_focus=False, placeholder=self.hint)
        yield List(id="list", compact=True, markup=False)

    def arrive(self) -> None:
        """Ready to type."""
        super().arrive()
        self.query_one("#words", Input).focus()
        self.search("")

    def search(self, text: str) -> None:
        """Fill the list with what these words may mean."""

    @on(Input.Changed, "#words")
    def _typing(self, event: Input.Changed) -> None:
        event.stop()
        self.search(event.value)

    def other_key(self, event: Key) -> bool:
        """Arrows move the list while the words keep the cursor."""
        return self.query_one(List).move(event.key)

    def entered(self, field: Input, text: str) -> None:
        """Enter in the line of words."""
        self.do_pick()

    def do_pick(self) -> None:
        """What Enter does."""
        raise NotImplementedError


class SearchScreen(WordsScreen[str | None]):
    """A line to type and the list of what fits; the result is the id picked."""

    about: ClassVar[str] = "Type a few words as people say them. The arrows move the line, Enter takes it."

    def __init__(self, title: str, fitting: Callable[[str], list[tuple[str, str]]], hint: str) -> None:
        super().__init__()
        self.heading = title
        self.fitting, self.hint = fitting, hint

    def deeds(self) -> Sequence[Deed]:
        """Pick or go back."""
        return (
            Deed("enter", "take it", self.do_pick, "take the line under the cursor"),
            Deed("esc", "back", self.do_back, "go back"),
            Deed("f1", "help", self.do_help, "what this screen is for"),
        )

    def search(self, text: str) -> None:
        """What fits these words."""
        self.query_one(List).fill(self.fitting(text) or [("", "Nothing fits. Try other words, or fewer.")])

    def do_pick(self) -> None:
        """Take the line under the cursor."""
        name = self.query_one(List).chosen
        if name:
            self.dismiss(name)

    def do_back(self) -> None:
        """Pick nothing."""
        self.dismiss(None)
