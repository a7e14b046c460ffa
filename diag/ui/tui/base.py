"""What every screen has: a heading, a line of keys, help, a menu, and one way from a key to a deed."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any, ClassVar, TypeVar, cast

from textual import on
from textual.app import ComposeResult
from textual.containers import VerticalScroll
from textual.events import Key
from textual.screen import Screen
from textual.widgets import Input, OptionList
from textual.worker import Worker, WorkerState

from diag.presentation.last_words import PROMISE, state_words
from diag.support.errors import UserError
from diag.ui.tui.card import Part, Row, row
from diag.ui.tui.deeds import Act, Deed, key_line, listed
from diag.ui.tui.desk import Desk
from diag.ui.tui.panel import Chosen, Panel

Result = TypeVar("Result")
_NAMES = {"escape": "esc", "question_mark": "?", "full_stop": ".", "space": "space"}


class CardScreen(Screen[Result]):
    """A screen of cards. Subclasses say which deeds there are."""

    AUTO_FOCUS = ""  # a screen says itself what takes the keys
    about: ClassVar[str] = ""
    heading: str = ""

    def compose(self) -> ComposeResult:
        """Heading, body, foot."""
        yield Panel(id="head", margin=0)
        yield from self.body()
        yield Panel(id="said", margin=0)
        yield Panel(id="foot", margin=0)

    def body(self) -> ComposeResult:
        """What stands between heading and keys."""
        yield VerticalScroll(Panel(id="card"))

    def on_mount(self) -> None:
        """Paint for the first time. Subclasses override ``arrive``: Textual calls every class's ``on_mount``."""
        self.arrive()

    def arrive(self) -> None:
        """The screen is there."""
        self.paint()

    @property
    def desk(self) -> Desk:
        """The app, with its book and jobs."""
        return cast("Desk", self.app)

    # ------------------------------------------------------------------ painting

    def paint(self) -> None:
        """Show the present state; subclasses add their own."""
        self.panel("head").show(self.head_rows())
        self.paint_keys()

    def head_rows(self) -> list[Row]:
        """The heading."""
        return [row("", [Part(f" {self.heading}", "mark")], fill="mark")]

    def paint_keys(self) -> None:
        """Show the keys that work now."""
        self.panel("foot").show(key_line(self.deeds()))

    def panel(self, name: str) -> Panel:
        """A panel of this screen."""
        return self.query_one(f"#{name}", Panel)

    def tell(self, text: str, look: str = "") -> None:
        """One sentence above the keys; empty text clears it."""
        self.panel("said").show([row("", [Part(f" {text}", look)])] if text else [])

    # ------------------------------------------------------------------ keys and clicks

    @property
    def help_deed(self) -> Deed:
        """The key for help."""
        return Deed("?", "help", self.do_help, "what this screen is for and every key", more=("f1",))

    @property
    def menu_deed(self) -> Deed:
        """The key for the list of everything."""
        return Deed(".", "all", self.do_menu, "everything that can be done here, as a list", more=("f10",))

    @property
    def back_deed(self) -> Deed:
        """The key for going back."""
        return Deed("esc", "back", self.do_back, "go back")

    def deeds(self) -> Sequence[Deed]:
        """What can be done now, the most used first."""
        return (self.back_deed, self.help_deed)

    def on_key(self, event: Key) -> None:
        """Find the deed of a key and do it; a key that does nothing says so."""
        if self.first_key(event):
            event.stop()
            event.prevent_default()
            return
        pressed = _NAMES.get(event.key, event.character if event.is_printable and event.character else event.key)
        deed = self._deed_of(pressed)
        if deed is not None:
            self.carry_out(deed.do)
        elif not self.other_key(event):
            if event.is_printable and event.character and not event.character.isspace():
                self.tell(f"[{event.character}] does nothing here; [?] shows the keys that do.", "quiet")
            return
        event.stop()
        event.prevent_default()

    def _deed_of(self, pressed: str) -> Deed | None:
        return next((deed for deed in self.deeds() if pressed == deed.key or pressed in deed.more), None)

    def first_key(self, event: Key) -> bool:
        """A key that is used before any deed is looked for; True when it was."""
        return False

    def other_key(self, event: Key) -> bool:
        """A key that is no deed; True when it was used."""
        return False

    @on(Chosen)
    def _chosen(self, event: Chosen) -> None:
        event.stop()
        kind, _, name = event.action.partition(":")
        deed = self._deed_of(name) if kind == "key" else None
        self.carry_out(deed.do if deed is not None else lambda: self.clicked(kind, name))

    @on(OptionList.OptionSelected)
    def _selected(self, event: OptionList.OptionSelected) -> None:
        """Enter or a click in a list is Enter's deed."""
        event.stop()
        deed = self._deed_of("enter")
        if deed is not None:
            self.carry_out(deed.do)

    def clicked(self, kind: str, name: str) -> None:
        """A click on something that is no key, such as a cause or a box to tick."""

    def carry_out(self, act: Act) -> None:
        """Do something. What is refused is said, and nothing has happened."""
        try:
            self.tell("")
            act()
        except UserError as error:
            self.tell(error.one_line(), "care")

    def do_help(self) -> None:
        """Show what this screen is for and all its keys."""
        rows = [row("HERE", self.about), row("", ""), *listed(self.deeds()), *general_help()]
        self.desk.show_page(f"Help: {self.heading or 'this job'}", rows)

    def do_menu(self) -> None:
        """Everything that can be done here, to pick from."""
        self.desk.show_menu([d for d in self.deeds() if d.do != self.do_menu], lambda deed: self.carry_out(deed.do))

    def do_back(self) -> None:
        """Leave this screen."""
        self.dismiss()

    @on(Input.Submitted)
    def _submitted(self, event: Input.Submitted) -> None:
        event.stop()
        try:
            self.tell("")
            self.entered(event.input, event.value)
        except UserError as error:
            self.tell(error.one_line(), "care")

    def entered(self, field: Input, text: str) -> None:
        """A value was typed and Enter pressed."""

    # ------------------------------------------------------------------ long work

    def in_background(self, work: Callable[[], Any], group: str) -> Worker[Any]:
        """Run something in a thread; a newer one of the group makes this one's result stale."""
        return self.run_worker(work, group=group, name=group, thread=True, exclusive=True, exit_on_error=False)

    def on_worker_state_changed(self, event: Worker.StateChanged) -> None:
        """Hand a result on, or show what went wrong."""
        event.stop()
        if event.state is WorkerState.SUCCESS:
            self.found(event.worker.group, event.worker.result)
        elif event.state is WorkerState.ERROR and event.worker.error is not None:
            self.went_wrong(event.worker.group, event.worker.error)

    def found(self, group: str, result: Any) -> None:
        """A thread is done."""

    def went_wrong(self, group: str, error: BaseException) -> None:
        """A thread failed: said in one line, never with what was typed in it."""
        if isinstance(error, UserError):
            self.tell(error.one_line(), "care")
        else:
            self.tell(f"Fault in the program ({type(error).__name__}). {state_words(self.desk.jobs)}".strip(), "alarm")


def general_help() -> list[Row]:
    """What holds on every screen."""
    return [
        row("", ""),
        row("KEYS", "Tab moves between fields, arrows and PgUp/PgDn move and scroll. Esc goes back. Ctrl+C leaves. "
            + PROMISE),
        row("MOUSE", "Whatever stands in [brackets] can be clicked. Hold Shift while dragging to mark text with the "
            "terminal's own selection, or start with --no-mouse."),
        row("SIGHT", "Nothing is told by colour alone. --no-color, --ascii and --plain suit other terminals and screen "
            "readers."),
    ]  # fmt: skip
