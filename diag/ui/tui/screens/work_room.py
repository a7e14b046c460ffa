"""What the parts of a job's screen know of the screen that holds them."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Protocol

from textual.app import App
from textual.widget import Widget

from diag.ui.tui.desk import Desk
from diag.ui.tui.screens.work_state import WorkState

if TYPE_CHECKING:
    from textual.widgets import Input


class WorkRoom(Protocol):
    """A job's screen as its parts see it."""

    state: WorkState

    @property
    def app(self) -> App[Any]:
        """The program that draws."""

    @property
    def desk(self) -> Desk:
        """The program's own side."""

    @property
    def value(self) -> Input:
        """The line a value is typed into."""

    def renew(self, last: str = "") -> None:
        """The case has changed; ``last`` says in words what was told."""

    def paint_task(self) -> None:
        """Show step and question as they are now."""

    def tell(self, text: str, look: str = "") -> None:
        """One sentence above the keys."""

    def set_focus(self, widget: Widget | None) -> None:
        """Give the keys to a widget; None gives them back to the screen."""
