"""The doors from a job to the other screens."""

from __future__ import annotations

from diag.presentation.stop_rules import to_be_told
from diag.ui.tui.card import row
from diag.ui.tui.rows_work import caution_rows, stop_rows
from diag.ui.tui.screens.job_steps import StepsScreen


class DoorsScreen(StepsScreen):
    """Every way out of the job's screen and back."""

    def do_told(self) -> None:
        """Tell something unasked."""
        from diag.ui.tui.screens.tell import TellScreen

        self.app.push_screen(TellScreen(self.job), self._maybe_changed)

    def _maybe_changed(self, _: object) -> None:
        if self.board is None or self.board.standing.case is not self.job.case:
            self.renew(self._last_words())

    def do_causes(self) -> None:
        """Causes and reasons."""
        self._show_causes("")

    def do_cause(self, name: str) -> None:
        """One cause."""
        self._show_causes(name)

    def _show_causes(self, name: str) -> None:
        if self.board is None:
            self.tell("The causes are being weighed; one moment.")
            return
        from diag.ui.tui.screens.causes import CausesScreen

        self.app.push_screen(CausesScreen(self.board, self.job.case.unit_pressure, name))

    def do_answers(self) -> None:
        """Answers given so far."""
        from diag.ui.tui.screens.answers import AnswersScreen

        self.app.push_screen(AnswersScreen(self.job), self._maybe_changed)

    def do_car(self) -> None:
        """What is known of the car."""
        from diag.ui.tui.screens.car import CarScreen

        self.app.push_screen(CarScreen(self.job), self._maybe_changed)

    def do_picture(self) -> None:
        """Rail pressure over manifold pressure."""
        from diag.ui.tui.screens.picture import PictureScreen

        self.app.push_screen(PictureScreen(self.job))

    def do_data_log(self) -> None:
        """Read a data log into the job."""
        from diag.ui.tui.screens.data_log import DataLogScreen

        self.app.push_screen(DataLogScreen(self.job), self._maybe_changed)

    def do_others(self) -> None:
        """Another check than the proposed one."""
        if self.board is None:
            self.tell("The checks are being weighed; one moment.")
            return
        from diag.ui.tui.screens.others import OthersScreen

        self.app.push_screen(OthersScreen(self.job, self.board), lambda _: self.renew())

    def do_people(self) -> None:
        """Who is at the car."""
        from diag.ui.tui.screens.people import PeopleScreen

        self.app.push_screen(PeopleScreen(self.job), self._maybe_changed)

    def do_note(self) -> None:
        """Write a note."""
        from diag.ui.tui.screens.pages import LineScreen

        rows = [row("NOTE", "Free text; it changes no chance.")]
        self.app.push_screen(LineScreen("A note for this job", rows, take=self.job.note), self._maybe_changed)

    def do_cautions(self) -> None:
        """Every caution and stop rule in full."""
        from diag.ui.tui.screens.pages import PageScreen

        steps = [self.now.step] if self.now is not None else []
        rows = [*stop_rows(to_be_told(self.job.standing.stops), full=True), *caution_rows(steps, self.job.book)]
        self.app.push_screen(
            PageScreen("Cautions and stop rules", rows or [row("", "Nothing in force for this step.")])
        )

    def do_aloud(self) -> None:
        """Steps as said aloud, or as done."""
        self.read_aloud = not self.aloud
        self.paint_task()

    def do_jobs(self) -> None:
        """Other open jobs."""
        self.desk.show_jobs()

    def do_finish(self) -> None:
        """Finish the job."""
        from diag.ui.tui.screens.finish import FinishScreen

        self.app.push_screen(FinishScreen(self.job, self.board), self._maybe_changed)

    def do_hand_over(self) -> None:
        """Hand-over note."""
        from diag.ui.tui.screens.finish import HandOverScreen

        self.app.push_screen(HandOverScreen(self.job), self._maybe_changed)

    def do_leave(self) -> None:
        """Back to the start."""
        self.desk.leave_job(self.job)
