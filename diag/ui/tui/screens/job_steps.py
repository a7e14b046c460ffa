"""The steps of a job: done, refused, ticked, undone, and the complaint that is still there."""

from __future__ import annotations

from diag.casework.entries import SignAnswer
from diag.ui.tui.screens.job_state import JobScreen


class StepsScreen(JobScreen):
    """What is done about the step that is shown."""

    def paint_task(self) -> None:
        """Show step and question as they are now."""
        raise NotImplementedError

    def do_done(self) -> None:
        """The step is carried out."""
        task = self.now
        if task is None or task.kind not in ("do", "remedy") or self.board is None:
            return
        self.job.done(task.step)
        self.desk.ticks.pop((self.job.case.id, task.step), None)
        self._answered()

    def _refuse(self, why: str) -> None:
        task = self.now
        if task is None or task.kind in ("stop", "hand on", "close"):
            return
        self.job.refuse(task.step, why)  # type: ignore[arg-type]
        self._answered()

    def do_skip(self) -> None:
        """Skip it."""
        self._refuse("skip")

    def do_cannot(self) -> None:
        """It cannot be done here."""
        self._refuse("cannot")

    def do_later(self) -> None:
        """Put it off."""
        self._refuse("later")

    def do_tick(self, number: str) -> None:
        """Tick one step of the remedy, or take the tick off."""
        self.ticked.symmetric_difference_update({int(number)})
        self.paint_task()

    def do_tick_next(self) -> None:
        """Tick the first step that is not ticked."""
        step = self.remedy
        if step is not None:
            left = [at for at in range(len(step.steps)) if at not in self.ticked]
            if left:
                self.do_tick(str(left[0]))

    def do_not_cured(self) -> None:
        """The complaint is still there: that is evidence against what was repaired."""
        complaints = self._complaints()
        if not complaints:
            self.perform("told")
            return
        if len(complaints) == 1:
            self._still_there(complaints[0])
            return
        from diag.ui.tui.screens.pages import PickScreen

        lines = [(name, self.job.book.signs[name].title) for name in complaints]
        self.app.push_screen(PickScreen("Which complaint is still there?", lines),
                             lambda name: self._still_there(name) if name else None)  # fmt: skip

    def _complaints(self) -> list[str]:
        signs = self.job.book.signs
        told = [e.sign for e in self.job.case.effective()
                if isinstance(e, SignAnswer) and e.answer == "present" and e.sign in signs]  # fmt: skip
        return list(dict.fromkeys(name for name in told if signs[name].symptom))

    def _still_there(self, sign: str) -> None:
        self.job.answer_sign(sign, "yes", text="still there after the repair")
        self._answered()

    def do_undo(self) -> None:
        """Take the last answer back."""
        words = self._last_words()
        if self.job.undo():
            self.renew(f"Taken back: {words}" if words else "Taken back")
        else:
            self.tell("There is nothing to take back.")

    def do_reopen(self) -> None:
        """Open a finished job again."""
        self.job.set_status("open", "opened again")
        self.renew("Opened again")
