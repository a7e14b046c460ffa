"""The program started for practice alone: the same screens, beginning at practice and ending with it."""

from __future__ import annotations

from pathlib import Path

from diag.practice.levels import Level
from diag.rulebook.model import RuleBook
from diag.ui.tui.app import DiagApp, Options
from diag.ui.tui.practice_screen import PracticeScreen


class PracticeApp(DiagApp):
    """``diag practice`` on the screen."""

    def __init__(
        self,
        options: Options,
        folder: Path,
        level: Level | None = None,
        seed: int | None = None,
        keep: bool = True,
        book: RuleBook | None = None,
    ) -> None:
        super().__init__(options, book)
        self._practice = PracticeScreen(folder, level, seed, keep)

    def on_ready(self) -> None:
        """Straight to practice as soon as the rule book is there."""
        self.when_ready(self._to_practice)

    def _to_practice(self) -> None:
        self.push_screen(self._practice, lambda _: self.action_leave())
