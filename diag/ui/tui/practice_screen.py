"""Practice: choose a level and a car, look at progress, and look at earlier sessions again."""

from __future__ import annotations

import os
import secrets
from collections.abc import Sequence
from datetime import UTC, datetime
from functools import partial
from pathlib import Path
from typing import Any, ClassVar

from textual.app import ComposeResult

from diag.practice.deal import deal
from diag.practice.debrief import Debrief, debrief
from diag.practice.levels import LEVELS, Level
from diag.practice.moves import read_move
from diag.practice.progress import progress_svg
from diag.practice.results import Result, Trainee, trainee_name
from diag.practice.session import begin, play
from diag.practice.state import Session
from diag.practice.store import PracticeStore, default_practice_folder
from diag.practice.words import debrief_pieces
from diag.support.disk.files import write_atomic
from diag.support.errors import UserError
from diag.ui.tui.base import CardScreen
from diag.ui.tui.board import in_turn
from diag.ui.tui.card import row
from diag.ui.tui.deeds import Deed
from diag.ui.tui.panel import Panel
from diag.ui.tui.practice_rows import piece_rows, progress_rows, result_line
from diag.ui.tui.practice_session import SessionScreen
from diag.ui.tui.screens.lists import List, PickScreen
from diag.ui.tui.screens.pages import LineScreen, PageScreen

MOST_SEED = 999_999


class PracticeScreen(CardScreen[None]):
    """The door to practice.

    Args:
        folder: where results are kept; None for the usual place.
        level, seed: begin this car at once.
        keep: whether results are kept at all.
    """

    heading = "Practice: find the hidden fault"
    about: ClassVar[str] = (
        "A car with a hidden fault answers as a real one would. Choose checks freely, name the fault, repair it, prove "
        "the cure. Then every step is looked at again, beside what the program would have done."
    )

    def __init__(
        self, folder: Path | None = None, level: Level | None = None, seed: int | None = None, keep: bool = True
    ) -> None:
        super().__init__()
        self.folder = folder or default_practice_folder(os.environ, Path.home())
        self.begin_with = (level, seed) if level is not None or seed is not None else None
        self.keep = keep
        self.who = ""
        self.seed: int | None = seed
        self.busy = False

    def body(self) -> ComposeResult:
        """Who and how far, then the levels."""
        yield Panel(id="card")
        yield List(id="list", compact=True, markup=False)

    def arrive(self) -> None:
        """Fill the list of levels."""
        self.who = self.desk.options.who or os.environ.get("USER", "") or "trainee"
        self.query_one(List).fill([(x.id, f"{at}. {x.title}: {x.words}") for at, x in enumerate(LEVELS, 1)])
        self.query_one(List).focus()
        super().arrive()
        if self.begin_with is not None:
            level, seed = self.begin_with
            self.begin(level or LEVELS[0], seed)

    @property
    def store(self) -> PracticeStore:
        """Where results are kept."""
        return PracticeStore(self.folder)

    def paint(self) -> None:
        """Trainee, number of sessions, next car."""
        super().paint()
        try:
            count = len(self.store.read(self.who).results)
            so_far = f"{count} session{'' if count == 1 else 's'} so far"
        except UserError as error:
            so_far = error.one_line()
        number = f"car number {self.seed}" if self.seed is not None else "a car by chance"
        self.panel("card").show([
            row("", ""),
            row("WHO", f"{self.who}: {so_far}."),
            row("CAR", f"The next one is {number}. The same level and number always give the same car."),
            row("LEVEL", "Pick one with the arrows and Enter, or with its number."),
        ])  # fmt: skip

    def deeds(self) -> Sequence[Deed]:
        """Levels by number, and the rest."""
        levels = [
            Deed(str(at), x.title, partial(self.do_level, x.id), f"begin: {x.title}", line=False)
            for at, x in enumerate(LEVELS, 1)
        ]
        return (
            Deed("enter", "begin", self.do_pick, "begin the level under the cursor"),
            *levels,
            Deed("n", "number", self.do_number, "choose the number of the car"),
            Deed("g", "progress", self.do_progress, "how you get on, with a picture"),
            Deed("l", "sessions", self.do_sessions, "look at an earlier session again"),
            Deed("w", "who", self.do_who, "the trainee's name"),
            self.help_deed,
            self.menu_deed,
            Deed("esc", "back", self.do_back, "leave practice", more=("q",)),
        )

    def do_pick(self) -> None:
        """Begin the level under the cursor."""
        name = self.query_one(List).chosen
        if name:
            self.do_level(name)

    def do_level(self, name: str) -> None:
        """Begin a level."""
        self.begin(next(x for x in LEVELS if x.id == name), self.seed)

    def begin(self, level: Level, seed: int | None) -> None:
        """Deal a car in a thread."""
        book = self.desk.book
        if self.busy or book is None:
            return
        self.busy, self.seed = True, None
        number = secrets.randbelow(MOST_SEED) + 1 if seed is None else seed
        self.tell("A car is rolled in ...", "quiet")
        cache = self.desk.cache
        self.in_background(lambda: in_turn(lambda: begin(book, deal(book, level, number, cache))), "deal")

    def found(self, group: str, result: Any) -> None:
        """The car is there."""
        self.busy = False
        self.tell("")
        if group == "deal" and isinstance(result, Session):
            self.app.push_screen(SessionScreen(result), self._ended)

    def went_wrong(self, group: str, error: BaseException) -> None:
        """No car could be dealt."""
        self.busy = False
        super().went_wrong(group, error)

    def _ended(self, session: Session | None) -> None:
        self.paint()
        if session is not None and session.finished:
            self.app.push_screen(DebriefScreen(session, self.store if self.keep else None, self.who), self._looked)

    def _looked(self, _: object) -> None:
        self.paint()

    # ------------------------------------------------------------------ around it

    def do_number(self) -> None:
        """Choose the car."""

        def take(text: str | None) -> None:
            if text is None:
                return
            told = text.strip()
            if told and not (told.isdecimal() and int(told) < 2**31):
                self.tell(f"{told!r} is no number of a car. Give a whole number, or nothing for one by chance.", "care")
                return
            self.seed = int(told) if told else None
            self.paint()

        rows = [row("NUMBER", "The same level and number always give the same car. Nothing: one by chance.")]
        self.app.push_screen(LineScreen("The car's number", rows, hint="17", may_be_empty=True), take)

    def do_who(self) -> None:
        """Another trainee."""

        def take(text: str | None) -> None:
            if text is not None:
                self.who = trainee_name(text)
                self.paint()

        self.app.push_screen(LineScreen("Who practises?", [row("NAME", "A name or initials.")], self.who), take)

    def do_progress(self) -> None:
        """Figures and a picture."""
        trainee = self.store.read(self.who)
        self.app.push_screen(ProgressScreen(trainee, self.folder))

    def do_sessions(self) -> None:
        """Pick an earlier session."""
        results = self.store.read(self.who).results
        if not results:
            self.tell("No session is kept yet.")
            return
        numbered = list(enumerate(results, 1))[::-1]
        lines = [(str(at), result_line(at, r)) for at, r in numbered]

        def take(choice: str | None) -> None:
            if choice is not None:
                self._again(results[int(choice) - 1])

        self.app.push_screen(PickScreen("Earlier sessions, newest first", lines), take)

    def _again(self, result: Result) -> None:
        book = self.desk.book
        if book is None:
            return
        level = next(x for x in LEVELS if x.id == result.level)
        changed = result.book != book.fingerprint
        session = play(book, deal(book, level, result.seed, self.desk.cache), [read_move(m) for m in result.moves])
        note = "The rule book has changed since, so this may be another car." if changed else ""
        self.app.push_screen(DebriefScreen(session, None, self.who, note))


class ProgressScreen(PageScreen):
    """How a trainee gets on; the picture can be written to a file."""

    about: ClassVar[str] = (
        "Every column is a session: its height is your minutes as a multiple of the program's on the same car. "
        "o solved and proven, + solved but not proven, x not solved."
    )

    def __init__(self, trainee: Trainee, folder: Path) -> None:
        rows = progress_rows(trainee.name, trainee.results)
        super().__init__(
            f"Progress of {trainee.name}", rows, (Deed("s", "save picture", self.do_save, "write it as SVG"),)
        )
        self.trainee, self.folder = trainee, folder

    def do_save(self) -> None:
        """Write the picture."""
        path = PracticeStore(self.folder).path(self.trainee.name).with_suffix(".svg")
        if not self.trainee.results:
            self.tell("There is nothing to draw yet.")
            return
        write_atomic(path, progress_svg(self.trainee.name, self.trainee.results))
        self.tell(f"Written: {path}")


class DebriefScreen(PageScreen):
    """A finished session looked at again; worked out in a thread, can be left at any time."""

    about: ClassVar[str] = (
        "What was wrong, how it went, and every step again: by how much it moved the chance of what was really wrong, "
        "what it cost, what the program would have done there, and what to take away. The two courses stand at the end."
    )

    def __init__(self, session: Session, store: PracticeStore | None, who: str, note: str = "") -> None:
        waiting = [row("NOTE", note)] if note else []
        super().__init__("Debrief", [*waiting, row("WAIT", "Every step is weighed again ...", "quiet")])
        self.session, self.store, self.who = session, store, who
        self.waiting = waiting
        self.told: Debrief | None = None

    def arrive(self) -> None:
        """Begin to work it out."""
        super().arrive()
        cache = self.desk.cache

        def tick(number: int) -> bool:
            if worker.is_cancelled:
                return False
            if number % 2 == 0:
                self.app.call_from_thread(self._step, number)
            return True

        worker = self.in_background(lambda: in_turn(lambda: debrief(self.session, cache, tick)), "debrief")

    def _step(self, number: int) -> None:
        if self.told is None and self.is_attached:
            self.tell(f"Step {number} is weighed ...", "quiet")

    def found(self, group: str, result: Any) -> None:
        """Show it and keep the result."""
        if not isinstance(result, Debrief):
            return
        self.told = result
        self.page = [*self.waiting, *piece_rows(debrief_pieces(result))]
        self.panel("card").show(self.page)
        self.tell("")
        if self.store is not None:
            self._keep(result)

    def _keep(self, told: Debrief) -> None:
        assert self.store is not None
        try:
            grown = self.store.keep(self.who, told, datetime.now(UTC))
            self.tell(f"Kept as session {len(grown.results)} of {grown.name}.", "quiet")
        except UserError as error:
            self.tell(f"NOT KEPT. {error.one_line()}", "alarm")

    def do_back(self) -> None:
        """Leave; a debrief still being worked out is given up."""
        self.workers.cancel_group(self, "debrief")
        super().do_back()
