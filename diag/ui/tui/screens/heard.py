"""What was understood of a telling: ticks to take, correct or drop; nothing is entered that was not shown here."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial
from typing import ClassVar

from textual.app import ComposeResult

from diag.hearing.understood import Hearing, Item
from diag.session.heard import dangers_first, keep_unplaced, take
from diag.session.job import Job
from diag.support.text import one_line
from diag.ui.tui.base import CardScreen
from diag.ui.tui.card import Row, row
from diag.ui.tui.deeds import Deed
from diag.ui.tui.panel import Panel
from diag.ui.tui.screens.lists import List


class HeardScreen(CardScreen[list[str] | None]):
    """The pieces of one telling; the result is what was taken, in words, None when it was left."""

    heading = "Understood as"
    about: ClassVar[str] = (
        "Every line is one thing that was heard. Space or its number takes the tick off or puts it on, the right arrow "
        "shows what "
        "else the words may mean. Enter writes down what is ticked; what found no place is kept in the caller's words."
    )

    def __init__(self, job: Job, hearing: Hearing) -> None:
        super().__init__()
        self.job = job
        self.hearing = hearing
        self.ticked = [piece.ticked for piece in hearing.heard]
        self.meant = [0] * len(hearing.heard)
        self.asked = False  # whether Enter was pressed with nothing ticked

    def body(self) -> ComposeResult:
        """What was said, then what it means."""
        yield Panel(id="card")
        yield List(id="list", compact=True, markup=False)

    def arrive(self) -> None:
        """Fill the list."""
        super().arrive()
        rows: list[Row] = [row("SAID", f'"{one_line(self.hearing.text, 300)}"')]
        if self.hearing.unplaced:
            rows.append(row("KEPT", f"Not placed, kept in these words: {'; '.join(self.hearing.unplaced)}", "quiet"))
        self.panel("card").show(rows)
        self._fill()
        self.query_one(List).focus()

    def _item(self, at: int) -> Item:
        return self.hearing.heard[at].items[self.meant[at]]

    def _fill(self) -> None:
        lines = []
        for at, piece in enumerate(self.hearing.heard):
            item = self._item(at)
            more = f"   (or {len(piece.items) - 1} other meanings)" if len(piece.items) > 1 else ""
            unsure = ", not sure" if piece.sure == "unsure" else ""
            heard = ", heard from somebody else" if piece.source == "second hand" else ""
            mark = "x" if self.ticked[at] else " "
            lines.append(
                (
                    str(at),
                    self.desk.glyphs.text(f"{at + 1:>2} [{mark}] {one_line(item.title, 90)}{unsure}{heard}{more}"),
                )
            )
        self.query_one(List).fill(lines, keep=True)

    def deeds(self) -> Sequence[Deed]:
        """Tick, other meaning, take."""
        return (
            Deed("enter", "take what is ticked", self.do_take, "write down every line with a tick"),
            Deed("space", "tick", self.do_tick, "tick the line under the cursor, or take the tick off"),
            *(
                Deed(str(at + 1), f"tick {at + 1}", partial(self.do_tick, at), "tick this line, or take it off", False)
                for at in range(min(9, len(self.ticked)))
            ),
            Deed("right", "other meaning", self.do_other, "what else these words may mean", more=("o",)),
            Deed("esc", "leave it", self.do_back, "write nothing down"),
            self.help_deed,
        )

    def _at(self) -> int:
        return int(self.query_one(List).chosen or 0)

    def do_tick(self, line: int | None = None) -> None:
        """Tick or untick a line, by default the one under the cursor."""
        at = self._at() if line is None else line
        self.ticked[at] = not self.ticked[at]
        self._fill()

    def do_other(self) -> None:
        """The next meaning of these words; it is ticked, since somebody chose it."""
        at = self._at()
        self.meant[at] = (self.meant[at] + 1) % len(self.hearing.heard[at].items)
        self.ticked[at] = True
        self._fill()

    def do_take(self) -> None:
        """Write down what is ticked, what can hurt first."""
        heard = list(enumerate(self.hearing.heard))
        pairs = [(piece, self._item(at)) for at, piece in heard if self.ticked[at]]
        if not pairs and not self.asked:
            self.asked = True
            self.tell("Nothing is ticked. A number ticks its line; Enter once more writes down nothing but the words.")
            return
        left = [piece.words for at, piece in heard if not self.ticked[at] and not piece.ticked]
        for piece, item in dangers_first(pairs, self.job.book):
            take(self.job, piece, item)
        keep_unplaced(self.job, [*left, *self.hearing.unplaced])
        self.dismiss([item.title for _, item in pairs])

    def do_back(self) -> None:
        """Write nothing down."""
        self.dismiss(None)
