"""The program on the screen: owns the rule book, the open jobs and the way between screens."""

from __future__ import annotations

import asyncio
import contextlib
import gc
import os
import signal
import sys
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any, ClassVar

from rich.text import Text
from textual.binding import Binding
from textual.events import Resize
from textual.filter import NoColor
from textual.scrollbar import ScrollBar, ScrollBarRender
from textual.worker import Worker, WorkerState

from diag.presentation.last_words import end_words, refuge_lines, state_words
from diag.session.open_jobs import OpenJobs
from diag.support.errors import ExitCode, UserError
from diag.support.text import clean, one_line
from diag.ui import refuge
from diag.ui.signals import ENDING, watch_faults
from diag.ui.tui.card import Row
from diag.ui.tui.deeds import Deed
from diag.ui.tui.desk import Options
from diag.ui.tui.driver import driver_class, settings_kept
from diag.ui.tui.glyphs import ASCII, UNICODE, Glyphs
from diag.ui.tui.look import CSS, DARK, MONOCHROME
from diag.ui.tui.one_key import OneKeyApp
from diag.ui.tui.panel import PlainScrollBar

if TYPE_CHECKING:
    from diag.casework.keeping import JobStore
    from diag.casework.replay import ModelCache
    from diag.hearing.listen import Listener
    from diag.rulebook.model import RuleBook
    from diag.session.job import Job  # arrays: the first screen does not wait for it


__all__ = ["DiagApp", "Options"]


class DiagApp(OneKeyApp[int]):
    """All screens."""

    CSS = CSS
    ENABLE_COMMAND_PALETTE = False
    TITLE = "diag"
    HORIZONTAL_BREAKPOINTS = [(0, "-narrow"), (110, "-wide")]  # noqa: RUF012
    VERTICAL_BREAKPOINTS = [(0, "-low"), (20, "-high")]  # noqa: RUF012
    BINDINGS: ClassVar[list[Any]] = [
        Binding("ctrl+q", "leave", "leave", show=False, priority=True),
        Binding("ctrl+c", "interrupt", "leave", show=False, priority=True),
    ]

    def __init__(self, options: Options, book: RuleBook | None = None, store: JobStore | None = None) -> None:
        plain = options.no_color or bool(os.environ.get("NO_COLOR"))
        # The terminal's own colours: the other way to monochrome paints greys, and black on black in our theme.
        super().__init__(driver_class=driver_class(), ansi_color=True if plain else None)
        if plain and not self.no_color:
            self.no_color = True
            self._filters.append(NoColor())
        self.options = options
        self.glyphs: Glyphs = ASCII if options.ascii else UNICODE
        self.register_theme(DARK)
        # Before the first painting, so that not even that writes a colour when none is wanted.
        self.theme = MONOCHROME if plain else DARK.name
        ScrollBar.renderer = PlainScrollBar if self.glyphs.plain else ScrollBarRender
        self.book = book
        self.jobs = OpenJobs()
        self.written: list[str] = []  # printed on the terminal when the screens are gone
        self.cache: ModelCache = {}
        self.ticks: dict[tuple[str, str], set[int]] = {}  # job and remedy -> steps ticked
        self._waiting: list[Callable[[], None]] = []
        self._store = store
        self._keep_work: Callable[[], None] = lambda: None  # leaves what was worked out for the next run

    # ------------------------------------------------------------------ start and end

    def on_mount(self) -> None:
        """Signals, look, first screen, and the rule book in a thread."""
        self._catch_signals()
        # the practice opens with another screen
        from diag.ui.tui.screens.start import StartScreen

        self.push_screen(StartScreen())
        # Both at once would share one interpreter: the book comes sooner after the first screen than beside it.
        self.call_after_refresh(self.run_worker, self._load, name="book", thread=True, exit_on_error=False)

    def work(self, mouse: bool = True) -> int:
        """Run in this terminal until somebody leaves; the exit code."""
        with settings_kept():
            watch_faults(lambda number: self.call_from_thread(self.end_at_once, 128 + number))
            self.run(mouse=mouse)
        # A browser's window that is closed ends the screens without a word to them.
        for line in refuge_lines(self.jobs.flee(refuge.places())):
            print(clean(line, 4000), file=sys.stderr)
        self._keep_work()
        return self.return_code if self.return_code is not None else ExitCode.DONE

    def _catch_signals(self) -> None:
        """End properly on signals: nothing lost, terminal as it was, exit code 128 and the signal's number."""
        loop = asyncio.get_running_loop()
        for number in (int(signal.SIGINT), *ENDING):
            # Tests and browsers run the app outside the main thread, where signals cannot be caught.
            with contextlib.suppress(ValueError, NotImplementedError, RuntimeError, OSError):
                loop.add_signal_handler(number, self.end_at_once, 128 + number)

    def end_at_once(self, code: int) -> None:
        """Ended from outside, so that nobody can be asked: what the disk does not take goes into a folder of refuge."""
        fled = self.jobs.flee(refuge.places())
        self.written += refuge_lines(fled)
        self._end_with(code)

    def _end_with(self, code: int) -> None:
        message = Text("\n".join(clean(line, 4000) for line in self.written)) if self.written else None
        self.exit(0, return_code=code, message=message)

    def action_leave(self) -> None:
        """Leave, after asking where an answer would be lost."""
        self._leave(ExitCode.DONE)

    def action_interrupt(self) -> None:
        """The same for an interrupt typed at the keyboard, with the exit code of one."""
        self._leave(ExitCode.INTERRUPTED)

    def _leave(self, code: ExitCode) -> None:
        # arrays, for which the first screen does not wait; so below
        from diag.ui.tui.screens.leaving import LeaveScreen, let_go

        if any(isinstance(screen, LeaveScreen) for screen in self.screen_stack):
            return  # being asked already

        def go() -> None:
            self.jobs.close()
            if any(job.unsent for job in self.jobs):
                self.written.append(state_words(self.jobs))
            self._end_with(ExitCode.STORAGE if self.written else code)

        let_go(self, self.written, tuple(self.jobs), go)

    def _fatal_error(self) -> None:
        """A fault in the program: end with one line and without the traceback, which would show answers and notes."""
        fled = self.jobs.flee(refuge.places())
        if os.environ.get("DIAG_DEBUG"):
            super()._fatal_error()
            return
        kind = type(self._exception).__name__ if self._exception is not None else "unknown"
        words = f"Fault in the program ({kind}). Set DIAG_DEBUG=1 and run again to see where it happened."
        lines = [words, *self.written, *end_words(self.jobs, fled)]
        self._exit_renderables.append(Text("".join(f"{clean(line, 4000)}\n" for line in lines)))
        self._close_messages_no_wait()

    # ------------------------------------------------------------------ the rule book

    def _load(self) -> RuleBook:
        """In a thread: the book, and what the first question needs."""
        # arrays and the book, behind the first screen
        from diag.hearing.search import index_of
        from diag.inference.evidence import Evidence
        from diag.inference.posterior import belief
        from diag.session import job  # noqa: F401  (imported here so that no screen waits for it)
        from diag.ui.tui.board import in_turn
        from diag.ui.tui.screens import work  # noqa: F401

        book = self._with_team(self.book if self.book is not None else self._from_folder())
        self.call_from_thread(self._have_book, book)
        index_of(book)
        in_turn(lambda: belief(self._plain_model(book), Evidence()))
        # The book and the modules stay for good: without them a full garbage collection no longer holds up a key.
        gc.freeze()
        return book

    def _from_folder(self) -> RuleBook:
        """The book as the folder of rules has it, with what earlier runs worked out of it."""
        # as above
        from diag.rulebook.where import rules_folder
        from diag.ui.cli.inputs import cache_folder
        from diag.ui.cli.kept_cars import opened
        from diag.ui.tui.board import at_rest

        book, keep = opened(self.options.rules or rules_folder(), cache_folder())
        self._keep_work = lambda: at_rest(keep)
        return book

    def _with_team(self, book: RuleBook) -> RuleBook:
        """The book with what a team has approved on its server."""
        if isinstance(self.options.cases, Path):
            return book  # a folder of jobs; nothing of a server is loaded for it
        # only with a team's server
        from diag.evaluation.team_frequencies import with_team_frequencies

        book, said = with_team_frequencies(book, self.store)
        if said:
            self.call_from_thread(self.notify, said)
        return book

    def _plain_model(self, book: RuleBook) -> Any:
        from diag.casework.replay import model_for  # arrays: the first screen does not wait for it
        from diag.fuelsystem.car import Car

        return model_for(book, Car({}), self.cache)

    def _have_book(self, book: RuleBook) -> None:
        self.book = book
        waiting, self._waiting = self._waiting, []
        for deed in waiting:
            deed()
        for screen in self.screen_stack:
            have = getattr(screen, "have_book", None)
            if have is not None:
                have()

    def on_worker_state_changed(self, event: Worker.StateChanged) -> None:
        """The rule book cannot be used: say so and end."""
        if event.state is WorkerState.ERROR and event.worker.name == "book":
            error = event.worker.error
            words = (
                error.one_line() if isinstance(error, UserError) else f"Fault in the program ({type(error).__name__})."
            )
            self.exit(0, return_code=ExitCode.BAD_INPUT if isinstance(error, UserError) else ExitCode.INTERNAL,
                      message=Text(one_line(words, 1000)))  # fmt: skip

    def when_ready(self, deed: Callable[[], None]) -> bool:
        """Do it as soon as the rule book is there; False when that is still to come."""
        if self.book is not None:
            deed()
            return True
        self._waiting.append(deed)
        return False

    # ------------------------------------------------------------------ jobs

    @property
    def store(self) -> JobStore:
        """The folder of jobs, or the server."""
        if self._store is None:
            from diag.casework.index import default_cache  # SQLite: the first screen does not wait for it
            from diag.desk.opening import store_at

            self._store = store_at(self.options.cases, self.options.who, default_cache(os.environ, Path.home()))
        return self._store

    @property
    def listener(self) -> Listener:
        """What understands people's words; begun while a job is being named."""
        from diag.session.listening import listener_of  # the first screen does not wait for it

        assert self.book is not None
        return listener_of(self.book)

    def make_listener_ready(self) -> None:
        """Begin to make it as soon as the rule book is there."""

        def begin() -> None:
            # stems and arrays: the first screen does not wait for them
            from diag.session.listening import make_listener_ready

            assert self.book is not None
            make_listener_ready(self.book)

        self.when_ready(begin)

    def new_job(self, title: str, phone: bool) -> Job:
        """A new job with its file.

        Raises:
            UserError: the disk would not take it.
        """
        from diag.session.job import Job  # arrays: the first screen does not wait for it

        assert self.book is not None
        return Job.start(self.store, self.book, title, self.options.who, self.cache)

    def open_job(self, name: str, take_over: bool = False, accept_readable_part: bool = False) -> Job:
        """A job from the folder, or one that is open already.

        Raises:
            UserError: it is held elsewhere, damaged or gone.
        """
        from diag.session.job import Job  # arrays: the first screen does not wait for it

        assert self.book is not None
        return self.jobs.named(name) or Job.open(
            self.store, self.book, name, self.options.who, self.cache, take_over, accept_readable_part
        )

    def work_on(self, job: Job, opening: bool = False) -> None:
        """Show a job; the others stay open behind it."""
        from diag.ui.tui.screens.work import WorkScreen  # arrays: the first screen does not wait for it

        self.jobs.add(job)
        while len(self.screen_stack) > 2:
            self.pop_screen()
        self.push_screen(WorkScreen(job, opening))

    def leave_job(self, job: Job) -> None:
        """Let go of a job and show the start."""
        from diag.ui.tui.screens.leaving import let_go  # arrays: the first screen does not wait for it

        def go() -> None:
            self.jobs.let_go(job)
            self.to_start()

        let_go(self, self.written, (job,), go)

    def to_start(self) -> None:
        """Back to the first screen; open jobs stay open."""
        while len(self.screen_stack) > 2:
            self.pop_screen()

    def show_jobs(self) -> None:
        """The jobs open now, to switch between."""
        from diag.ui.tui.screens.jobs import JobsScreen  # arrays: the first screen does not wait for it

        self.push_screen(JobsScreen(list(self.jobs)), self._switch)

    def show_page(self, title: str, rows: Sequence[Row]) -> None:
        """A page to read."""
        from diag.ui.tui.screens.pages import PageScreen  # the first screen does not wait for it

        self.push_screen(PageScreen(title, rows))

    def show_menu(self, deeds: Sequence[Deed], then: Callable[[Deed], None]) -> None:
        """Everything that can be done, to pick from."""
        from diag.ui.tui.screens.lists import MenuScreen  # the first screen does not wait for it

        def chosen(key: str | None) -> None:
            for deed in deeds:
                if deed.key == key:
                    then(deed)

        self.push_screen(MenuScreen("What to do", deeds), chosen)

    def _switch(self, choice: str | None) -> None:
        if choice == "start":
            self.to_start()
            return
        job = self.jobs.named(choice) if choice else None
        if job is not None:
            self.work_on(job)

    def on_resize(self, event: Resize) -> None:
        """Nothing to work out: panels lay themselves out anew."""
