"""The board of a team's desk on the screen, kept up to date; leaving it with Enter takes the call up."""

from __future__ import annotations

import os
from typing import Any, ClassVar

from textual.app import App, ComposeResult
from textual.binding import Binding
from textual.widgets import DataTable, Input, Static

from diag.desk.board import Watch, give, in_order
from diag.desk.server import ServerStore
from diag.presentation.board_words import HEADINGS, count_words, row_words
from diag.session.clock import stamp, system_clock
from diag.support.errors import ExitCode, UserError
from diag.support.text import one_line

MOST = 500  # lines; whoever looks for more looks for words
KEYS = "Enter take it up   g hand over   / search   m mine only   q leave"


class BoardApp(App[str]):
    """The board; its result is the name of a job to take up, empty for none."""

    ENABLE_COMMAND_PALETTE = False
    TITLE = "diag board"
    CSS = """
    #head { height: 1; text-style: bold; }
    #keys { height: 1; }
    #said { height: 1; }
    #line { display: none; }
    #line.asked { display: block; }
    DataTable { height: 1fr; }
    """
    BINDINGS: ClassVar[list[Any]] = [
        Binding("q", "leave", "leave"),
        Binding("escape", "out", "back"),
        Binding("g", "give", "hand over"),
        Binding("m", "mine", "mine only"),
        Binding("slash", "find", "search"),
    ]

    def __init__(self, store: ServerStore, watch: Watch) -> None:
        super().__init__(ansi_color=True if os.environ.get("NO_COLOR") else None)
        self.store = store
        self.feed = watch
        self.words = ""
        self.only_mine = False
        self._asked = ""  # what the line is for: words, or the job to hand over
        self._shown: list[tuple[str, ...]] = []

    def compose(self) -> ComposeResult:
        """Counts, the table, what was said last, a line to type in, the keys."""
        yield Static(id="head", markup=False)
        yield DataTable(cursor_type="row", zebra_stripes=False)
        yield Static(id="said", markup=False)
        yield Input(id="line")
        yield Static(KEYS, id="keys", markup=False)

    def on_mount(self) -> None:
        """Fill it, and listen in a thread."""
        table = self.query_one(DataTable)
        for heading in HEADINGS:
            table.add_column(heading, key=heading)
        self.paint()
        table.focus()
        self.set_interval(20.0, self.paint)  # ages grow
        self.run_worker(self._listen, thread=True, exit_on_error=False)

    def _listen(self) -> None:
        while self.is_running:
            away = self.feed.away
            if self.feed.changes(1.0) or self.feed.away != away:
                self.call_from_thread(self.paint)

    def paint(self) -> None:
        """Put the board on the screen; the cursor stays on its job."""
        calls = [call for call in in_order(tuple(self.feed.calls.values())) if self._wanted(call)]
        head = self.feed.away or count_words(self.feed.calls.values())
        self.query_one("#head", Static).update(one_line(head, 300))
        rows = [row_words(call) for call in calls[:MOST]]
        if rows == self._shown:
            return
        self._shown = list(rows)
        table = self.query_one(DataTable)
        at = self._under_cursor()
        table.clear()
        for row in rows:
            table.add_row(*row, key=row[0])
        names = [row[0] for row in rows]
        if at in names:
            table.move_cursor(row=names.index(at))

    def _wanted(self, call: Any) -> bool:
        told = f"{call.id} {call.title} {call.who} {call.passed_to}".casefold()
        mine = call.who.casefold() == self.store.who.casefold() or call.is_for(self.store.who)
        return all(word in told for word in self.words.casefold().split()) and (mine or not self.only_mine)

    def _under_cursor(self) -> str:
        table = self.query_one(DataTable)
        if not table.row_count:
            return ""
        return str(table.coordinate_to_cell_key(table.cursor_coordinate).row_key.value or "")

    def tell(self, words: str) -> None:
        """A line below the table."""
        self.query_one("#said", Static).update(one_line(words, 300))

    # --- keys -------------------------------------------------------------------------------------------------

    def on_data_table_row_selected(self, event: DataTable.RowSelected) -> None:
        """Take the call up."""
        self.exit(str(event.row_key.value or ""))

    def action_leave(self) -> None:
        """Leave."""
        self.exit("")

    def action_out(self) -> None:
        """Out of the line, or show everything again."""
        if not self._asked:
            self.words = ""
        self._close_line()
        self.paint()

    def action_mine(self) -> None:
        """Only what concerns this person, or all."""
        self.only_mine = not self.only_mine
        self.tell(f"Only what is {self.store.who}'s or free." if self.only_mine else "Everything.")
        self.paint()

    def action_find(self) -> None:
        """Ask for words."""
        self._open_line("words", "words in name, title or person")

    def action_give(self) -> None:
        """Ask to whom the job under the cursor goes."""
        name = self._under_cursor()
        if name:
            self._open_line(name, "to whom, and a note: Oskar: pump is out. Enter alone: whoever is free")

    def _open_line(self, asked: str, hint: str) -> None:
        self._asked = asked
        line = self.query_one(Input)
        line.value, line.placeholder = "", hint
        line.add_class("asked")
        line.focus()

    def _close_line(self) -> None:
        self._asked = ""
        self.query_one(Input).remove_class("asked")
        self.query_one(DataTable).focus()

    def on_input_submitted(self, event: Input.Submitted) -> None:
        """Search, or hand over."""
        asked = self._asked
        self._close_line()
        if asked == "words":
            self.words = event.value
            self.paint()
            return
        to, _, note = (part.strip() for part in event.value.partition(":"))
        try:
            give(self.store, asked, to or "anybody", note, stamp(system_clock()))
            self.tell(f"Handed over to {to or 'whoever is free'}: {asked}")
        except UserError as error:
            self.tell(error.one_line())


def show_board(store: ServerStore) -> int:
    """The board until somebody leaves; a call that is taken up is worked on at once.

    Raises:
        UserError: the server cannot be reached.
    """
    watch = Watch(store.link)
    watch.look()
    try:
        name = BoardApp(store, watch).run()
    finally:
        watch.close()
    if name:
        # a job's own command, only when one is taken up
        from diag.ui.cli.work import run

        return run(["--case", name, "--store", store.link.address, "--who", store.who])
    return ExitCode.DONE
