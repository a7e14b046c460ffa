"""The doors from a job to the other screens."""

from __future__ import annotations

from diag.hearing.circumstances import circumstances
from diag.presentation.stop_rules import to_be_told
from diag.session.people import parted
from diag.ui.tui.card import row
from diag.ui.tui.rows_stops import caution_rows, stop_rows
from diag.ui.tui.screens.answers import AnswersScreen
from diag.ui.tui.screens.car import CarScreen
from diag.ui.tui.screens.causes import CausesScreen
from diag.ui.tui.screens.data_log import DataLogScreen
from diag.ui.tui.screens.finish import FinishScreen, HandOverScreen
from diag.ui.tui.screens.others import OthersScreen
from diag.ui.tui.screens.pages import LineScreen, PageScreen
from diag.ui.tui.screens.people import PeopleScreen
from diag.ui.tui.screens.picture import PictureScreen
from diag.ui.tui.screens.tell import TellScreen
from diag.ui.tui.screens.work_room import WorkRoom


class Doors:
    """Every way out of the job's screen and back."""

    def __init__(self, room: WorkRoom) -> None:
        self.room = room

    def changed(self, _: object = None) -> None:
        """Back again: something may have been told there."""
        state = self.room.state
        if state.board is None or state.board.standing.case is not state.job.case:
            self.room.renew(state.last_words())

    def story(self) -> None:
        """The beginning of a job: who is on the telephone, then the complaint."""

        def complaint(_: object = None) -> None:
            self.room.app.push_screen(TellScreen(self.room.state.job, opening=True), self.changed)

        told = circumstances(parted(self.room.state.job.case.title)[1])
        if self.room.state.by_phone and told.person is None:
            self.room.app.push_screen(PeopleScreen(self.room.state.job), complaint)
        else:
            complaint()

    def told(self) -> None:
        """Tell something unasked."""
        self.room.app.push_screen(TellScreen(self.room.state.job), self.changed)

    def causes(self, name: str = "") -> None:
        """Causes and reasons, one of them first."""
        state = self.room.state
        if state.board is None:
            self.room.tell("The causes are being weighed; one moment.")
            return
        self.room.app.push_screen(CausesScreen(state.board, state.job.case.unit_pressure, name))

    def answers(self) -> None:
        """Answers given so far."""
        self.room.app.push_screen(AnswersScreen(self.room.state.job), self.changed)

    def car(self) -> None:
        """What is known of the car."""
        self.room.app.push_screen(CarScreen(self.room.state.job), self.changed)

    def picture(self) -> None:
        """Rail pressure over manifold pressure."""
        self.room.app.push_screen(PictureScreen(self.room.state.job))

    def data_log(self) -> None:
        """Read a data log into the job."""
        self.room.app.push_screen(DataLogScreen(self.room.state.job), self.changed)

    def others(self) -> None:
        """Another check than the proposed one."""
        state = self.room.state
        if state.board is None:
            self.room.tell("The checks are being weighed; one moment.")
            return
        self.room.app.push_screen(OthersScreen(state.job, state.board), lambda _: self.room.renew())

    def people(self) -> None:
        """Who is at the car."""
        self.room.app.push_screen(PeopleScreen(self.room.state.job), self.changed)

    def note(self) -> None:
        """Write a note."""
        rows = [row("NOTE", "Free text; it changes no chance.")]
        screen = LineScreen("A note for this job", rows, take=self.room.state.job.note)
        self.room.app.push_screen(screen, self.changed)

    def cautions(self) -> None:
        """Every caution and stop rule in full."""
        state = self.room.state
        steps = [state.now.step] if state.now is not None else []
        rows = [*stop_rows(to_be_told(state.job.standing.stops), full=True), *caution_rows(steps, state.job.book)]
        page = PageScreen("Cautions and stop rules", rows or [row("", "Nothing in force for this step.")])
        self.room.app.push_screen(page)

    def aloud(self) -> None:
        """Steps as said aloud, or as done."""
        self.room.state.read_aloud = not self.room.state.aloud
        self.room.paint_task()

    def jobs(self) -> None:
        """Other open jobs."""
        self.room.desk.show_jobs()

    def finish(self) -> None:
        """Finish the job."""
        self.room.app.push_screen(FinishScreen(self.room.state.job, self.room.state.board), self.changed)

    def hand_over(self) -> None:
        """Hand-over note."""
        self.room.app.push_screen(HandOverScreen(self.room.state.job), self.changed)

    def leave(self) -> None:
        """Back to the start."""
        self.room.desk.leave_job(self.room.state.job)
