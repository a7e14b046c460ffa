"""Screens of a practice session: a step to read before it is done, and a line to search with."""

from __future__ import annotations

from collections.abc import Sequence
from typing import ClassVar

from diag.practice.finding import every_step
from diag.practice.words import step_pieces
from diag.rulebook.model import RuleBook
from diag.support.text import one_line
from diag.ui.tui.deeds import Deed
from diag.ui.tui.practice_rows import piece_rows
from diag.ui.tui.screens.pages import LongCard


class StepScreen(LongCard[bool]):
    """A step to read before it is done; the result says whether to do it."""

    about: ClassVar[str] = "What the step is, what it costs, how it is done and what to take care of."

    def __init__(self, name: str, book: RuleBook) -> None:
        super().__init__()
        step = every_step(book)[name]
        self.heading = one_line(step.title, 100)
        self.page = piece_rows(step_pieces(step, book))

    def deeds(self) -> Sequence[Deed]:
        """Do it or not."""
        return (
            Deed("y", "do it", self.do_yes, "do this step", more=("enter",)),
            Deed("esc", "not now", self.do_back, "go back without doing it", more=("n", "escape")),
            self.help_deed,
        )

    def do_yes(self) -> None:
        """Do it."""
        self.dismiss(True)

    def do_back(self) -> None:
        """Leave it."""
        self.dismiss(False)
