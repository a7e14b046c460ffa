"""The first screen: a new job, a call, an open job, the desk, practice."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import datetime
from typing import TYPE_CHECKING, Any, ClassVar

from textual.app import ComposeResult
from textual.screen import Screen

from diag.support.errors import CaseFileError, HeldElsewhereError, UserError
from diag.support.text import one_line
from diag.ui.tui.base import CardScreen
from diag.ui.tui.card import Row, keys, row
from diag.ui.tui.deeds import Deed
from diag.ui.tui.panel import Panel
from diag.ui.tui.screens.lists import List, PickScreen
from diag.ui.tui.screens.pages import LineScreen

if TYPE_CHECKING:
    from diag.casework.keeping import JobStore

MOST_JOBS = 200


class StartScreen(CardScreen[None]):
    """Where everything begins."""

    heading = "diag: what is wrong with this fuel injection system, and how to put it right safely"
    about: ClassVar[str] = (
        "Begin a job in the workshop or on the telephone, go on with an open one, ask a design question at the desk, "
        "or practise on a car with a hidden fault."
    )
    trouble = ""  # why the list of jobs could not be had

    def body(self) -> ComposeResult:
        """What can be begun, and the open jobs."""
        yield Panel(self._top(), id="card")
        yield List(id="list", compact=True, markup=False)

    def _top(self) -> list[Row]:
        return [
            row("", ""),
            row("BEGIN", keys([("n", "new job in the workshop"), ("c", "new call at the phone desk")])),
            row("ELSE", keys([("d", "design questions"), ("p", "practice with a hidden fault"),
                              ("s", "search jobs")])),
            row("", ""),
            row("JOBS", "Go on with a job: arrows and Enter."),
        ]  # fmt: skip

    def arrive(self) -> None:
        """Fill the list in a thread."""
        super().arrive()
        self.query_one(List).focus()
        self.refresh_jobs()
        if self.desk.book is None:
            self.tell("Reading the rule book ...", "quiet")
        options = self.desk.options
        if options.title:
            self.desk.when_ready(lambda: self._begin(options.title, options.phone))
        elif options.case:
            self.desk.when_ready(lambda: self._guarded(lambda: self._open(options.case)))
        elif options.phone:
            self.desk.when_ready(self.do_call)

    def on_screen_resume(self) -> None:
        """Back from a job: show the jobs as they are now."""
        if self.is_mounted:
            self.refresh_jobs()

    def have_book(self) -> None:
        """The rule book is there."""
        self.tell(self.trouble, "care")

    def refresh_jobs(self, words: str = "") -> None:
        """Look at the folder in a thread."""
        self.in_background(lambda: list_jobs(self.desk.store, words), "jobs")

    def went_wrong(self, group: str, error: BaseException) -> None:
        """The list could not be had; that stays to be read when the rule book comes in."""
        super().went_wrong(group, error)
        if group == "jobs" and isinstance(error, UserError):
            self.trouble = error.one_line()

    def found(self, group: str, result: Any) -> None:
        """The list of jobs."""
        self.trouble = ""
        lines = result if isinstance(result, list) else []
        shown = self.query_one(List)
        shown.fill(lines or [("", "No job here yet. Press n to begin one.")], keep=True)

    def deeds(self) -> Sequence[Deed]:
        """Begin, go on, leave."""
        return (
            Deed("n", "new job", self.do_new, "a new job in the workshop"),
            Deed("c", "call", self.do_call, "a new call at the phone desk"),
            Deed("enter", "open", self.do_open, "go on with the job under the cursor"),
            Deed("s", "search", self.do_search, "search all jobs by any words"),
            Deed("d", "design", self.do_questions, "design questions: return, range, injectors, pump, wire, sensor"),
            Deed("p", "practice", self.do_practice, "practise on a car with a hidden fault"),
            Deed("j", "open now", self.do_jobs, "jobs that are open now, to switch between", line=False),
            self.help_deed,
            Deed("q", "leave", self.do_leave, "leave the program"),
        )

    # ------------------------------------------------------------------ deeds

    def do_new(self) -> None:
        """Ask for a name and begin."""
        self._ask_title(False)

    def do_call(self) -> None:
        """Ask for a name and begin a call."""
        self._ask_title(True)

    def _ask_title(self, phone: bool) -> None:
        rows = [row("NAME", "What is this job called? The car's name and the complaint are enough. "
                    "Enter alone calls it by the time of day.")]  # fmt: skip

        def take(text: str | None) -> None:
            if text is not None:
                self.desk.when_ready(lambda: self._begin(text, phone))

        title = "A new call" if phone else "A new job"
        self.desk.make_listener_ready()
        self.app.push_screen(LineScreen(title, rows, hint="Wren: pressure stays high", may_be_empty=True), take)

    def _begin(self, title: str, phone: bool) -> None:
        self._guarded(lambda: self._begin_now(title, phone))

    def _begin_now(self, title: str, phone: bool) -> None:
        named = one_line(title, 120).strip() or f"{'call' if phone else 'job'} at {datetime.now():%H:%M}"
        job = self.desk.new_job(named, phone)
        if phone:
            job.tell_person("untrained", by_phone=True, tools=())
        self.desk.work_on(job, opening=True)

    def do_open(self) -> None:
        """Go on with the job under the cursor."""
        name = self.query_one(List).chosen
        if name:
            self.desk.when_ready(lambda: self._guarded(lambda: self._open(name)))

    def _open(self, name: str) -> None:
        opener = self.desk.options.open_file
        if opener is not None and name == self.desk.options.case:
            self.desk.work_on(opener(name))
            return
        try:
            self.desk.work_on(self.desk.open_job(name))
        except HeldElsewhereError as error:
            self._held(name, error)
        except CaseFileError as error:
            self._damaged(name, error)

    def _damaged(self, name: str, error: CaseFileError) -> None:
        """Offer the readable part; the file as found is kept beside it whatever is chosen."""
        found = self.desk.store.read(name)
        if found.salvage is None or found.newer:
            self.tell(error.one_line(), "care")
            return

        def take(choice: str | None) -> None:
            if choice == "part":
                self._guarded(lambda: self.desk.work_on(self.desk.open_job(name, accept_readable_part=True)))

        rows = [row("WRONG" if at == 0 else "", p.one_line()) for at, p in enumerate(found.problems[:6])]
        lines = [("leave", "Leave it and look at the file"),
                 ("part", f"Go on with the {len(found.salvage.entries)} entries that can be read")]  # fmt: skip
        self.app.push_screen(PickScreen("This job's file is damaged", lines, rows), take)

    def _held(self, name: str, error: HeldElsewhereError) -> None:
        def take(choice: str | None) -> None:
            if choice == "over":
                self._guarded(lambda: self.desk.work_on(self.desk.open_job(name, take_over=True)))

        lines = [("leave", "Leave it to them"), ("over", "Take it over; the other program is told at its next answer")]
        self.app.push_screen(PickScreen("This job is open elsewhere", lines, [row("WHO", error.one_line())]), take)

    def _guarded(self, deed: Callable[[], None]) -> None:
        try:
            deed()
        except UserError as error:
            self.tell(error.one_line(), "care")

    def do_search(self) -> None:
        """Search all jobs."""
        rows = [row("FIND", "Words that must all occur in the job, in any order. Nothing shows all jobs again.")]
        self.app.push_screen(
            LineScreen("Search jobs", rows, may_be_empty=True),
            lambda text: self.refresh_jobs(text) if text is not None else None,
        )

    def do_jobs(self) -> None:
        """Jobs open now."""
        self.desk.show_jobs()

    def do_questions(self) -> None:
        """The desk."""
        # arrays, for which the first screen does not wait
        from diag.ui.tui.screens.desk import DeskScreen

        self.desk.when_ready(lambda: self._show(DeskScreen()))

    def _show(self, screen: Screen[Any]) -> None:
        self.app.push_screen(screen)

    def do_practice(self) -> None:
        """Practice, when it is there."""
        try:
            from diag.ui.tui.practice_screen import PracticeScreen  # type: ignore[import-not-found,unused-ignore]
        except ModuleNotFoundError:
            self.tell("Practice is not part of this installation. Run: diag practice --help", "care")
            return
        self.desk.when_ready(lambda: self._show(PracticeScreen()))

    def do_leave(self) -> None:
        """Leave the program."""
        self.desk.action_leave()


def list_jobs(store: JobStore, words: str = "") -> list[tuple[str, str]]:
    """Ids and lines of the jobs, newest first. Runs in a thread."""
    from diag.casework.query import Query  # all kinds of entries: the first screen does not wait for them

    return [(found.id, _job_line(found)) for found in store.search(Query(text=words, limit=MOST_JOBS))]


def _job_line(found: Any) -> str:
    state = found.result or found.status
    when = found.changed[:16].replace("T", " ")
    problem = "  DAMAGED, readable in part" if found.problem else ""
    return f"{when}  {one_line(found.title, 40):<40}  {state}{problem}"
