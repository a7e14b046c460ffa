"""Widgets that show a card: all text on every screen goes through here, so that nothing in it can act."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import ClassVar

from rich.cells import cell_len
from textual.content import Content
from textual.events import Click
from textual.geometry import Size
from textual.message import Message
from textual.scrollbar import ScrollBarRender
from textual.widget import Widget
from textual.widgets import Input

from diag.support.text import clean
from diag.ui.tui.card import MARGIN, Row, lay_out
from diag.ui.tui.card import Line as CardLine
from diag.ui.tui.glyphs import UNICODE, Glyphs

STYLES = {
    "": "",
    "strong": "bold",
    "quiet": "$text-muted",
    "alarm": "bold reverse $error",
    "care": "bold $warning",
    "key": "bold underline $accent",
    "good": "bold $success",
    "mark": "reverse",
    "line": "$secondary",
}


def content_of(lines: Iterable[CardLine]) -> Content:
    """Lines as content for a widget; the text is taken literally."""
    parts: list[tuple[str, str]] = []
    for at, line in enumerate(lines):
        if at:
            parts.append(("\n", ""))
        parts += [(part.text, STYLES[part.look]) for part in line]
    return Content.assemble(*parts)


class Chosen(Message):
    """Somebody clicked something that has an action."""

    def __init__(self, action: str) -> None:
        super().__init__()
        self.action = action


class Panel(Widget):
    """A card laid out to the width it has; a click on a part with an action is told to the screen."""

    DEFAULT_CSS = "Panel { height: auto; width: 1fr; }"

    def __init__(
        self, rows: Sequence[Row] = (), *, margin: int = MARGIN, id: str | None = None, classes: str | None = None
    ) -> None:
        super().__init__(id=id, classes=classes, markup=False)
        self._rows: tuple[Row, ...] = tuple(rows)
        self._margin = margin
        self._laid: dict[int, list[CardLine]] = {}

    @property
    def glyphs(self) -> Glyphs:
        """The characters of this terminal."""
        found = getattr(self.app, "glyphs", UNICODE)
        return found if isinstance(found, Glyphs) else UNICODE

    @property
    def rows(self) -> tuple[Row, ...]:
        """What is shown."""
        return self._rows

    def show(self, rows: Sequence[Row]) -> None:
        """Show these rows instead."""
        if tuple(rows) == self._rows:
            return
        width = self.content_size.width
        before = len(self._laid.get(width, ())) if self._rows else 0
        self._rows = tuple(rows)
        self._laid.clear()
        # Laying a whole screen out anew costs far more than painting some lines anew.
        same_height = width > 0 and before > 0 and len(self.lines_at(width)) == before
        self.refresh(layout=not same_height)

    def lines_at(self, width: int) -> list[CardLine]:
        """The rows as lines of this width; the last few widths are remembered."""
        if width not in self._laid:
            if len(self._laid) > 3:
                self._laid.clear()
            self._laid[width] = lay_out(self._rows, width, self.glyphs, self._margin)
        return self._laid[width]

    def get_content_height(self, container: Size, viewport: Size, width: int) -> int:
        """As many lines as the rows need."""
        return len(self.lines_at(width)) if self._rows else 0

    def render(self) -> Content:
        """The lines in their looks."""
        return content_of(self.lines_at(self.content_size.width))

    def on_click(self, event: Click) -> None:
        """Tell the screen what was clicked."""
        action = self.action_at(event.x, event.y)
        if action:
            event.stop()
            self.post_message(Chosen(action))

    def action_at(self, x: int, y: int) -> str:
        """The action of the part at this spot, empty when it has none."""
        lines = self.lines_at(self.content_size.width)
        if not 0 <= y < len(lines):
            return ""
        at = 0
        for part in lines[y]:
            at += cell_len(part.text)
            if x < at:
                return part.action
        return ""


class Line(Input):
    """A line to type into. Whatever is typed or pasted is cleaned before it is shown."""

    def validate_value(self, value: str) -> str:
        """Control characters become a sign that shows."""
        return one_line_as_typed(value)


def one_line_as_typed(text: str) -> str:
    """A text without control characters and line ends; blanks stay as they are typed."""
    return clean(text).replace("\n", " ").replace("\t", " ")


class PlainScrollBar(ScrollBarRender):
    """Scroll bars without block characters, for ASCII terminals."""

    VERTICAL_BARS: ClassVar[list[str]] = [" "]
    HORIZONTAL_BARS: ClassVar[list[str]] = [" "]
