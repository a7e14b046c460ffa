"""The steps of a job: done, refused, ticked, undone, and the complaint that is still there."""

from __future__ import annotations

from collections.abc import Callable
from typing import Literal

from diag.casework.entries import SignAnswer
from diag.ui.tui.screens.lists import PickScreen
from diag.ui.tui.screens.work_room import WorkRoom


class Steps:
    """What is done about the step that is shown. ``tell_more`` is for somebody whose complaint was never told."""

    def __init__(self, room: WorkRoom, tell_more: Callable[[], None]) -> None:
        self.room = room
        self.tell_more = tell_more
        self._asked = ""  # a repair that was called done with steps unticked

    def done(self) -> None:
        """The step is carried out; a repair with steps unticked is asked about once."""
        state = self.room.state
        task = state.now
        if task is None or task.kind not in ("do", "remedy") or state.board is None:
            self.room.tell("There is nothing to carry out here.")
            return
        left = state.steps_left
        if task.kind == "remedy" and left and self._asked != task.step:
            self._asked = task.step
            self.room.tell(f"{left} of its steps are not ticked. Press d once more if all of it is done.", "care")
            return
        self._asked = ""
        state.job.done(task.step)
        state.ticks.pop((state.job.case.id, task.step), None)
        self.room.renew(state.last_words())

    def done_all(self) -> None:
        """The step and those that follow it are carried out, in their order."""
        state = self.room.state
        for task in (*((state.now,) if state.now is not None else ()), *state.following):
            state.job.done(task.step)
        self.room.renew(state.last_words())

    def say_on(self) -> None:
        """The next line to read aloud."""
        self.room.state.said += 1
        self.room.paint_task()

    def _refuse(self, why: Literal["cannot", "later", "skip"]) -> None:
        task = self.room.state.now
        if task is None or task.kind in ("stop", "hand on", "close"):
            self.room.tell("There is no step here to leave out.")
            return
        self.room.state.job.refuse(task.step, why)
        self.room.renew(self.room.state.last_words())

    def skip(self) -> None:
        """Skip it."""
        self._refuse("skip")

    def cannot(self) -> None:
        """It cannot be done here."""
        self._refuse("cannot")

    def later(self) -> None:
        """Put it off."""
        self._refuse("later")

    def tick(self, number: int) -> None:
        """Tick one step of the remedy, or take the tick off."""
        self.room.state.ticked.symmetric_difference_update({number})
        self.room.paint_task()

    def tick_next(self) -> None:
        """Tick the first step that is not ticked."""
        step = self.room.state.remedy
        left = [at for at in range(len(step.steps)) if at not in self.room.state.ticked] if step is not None else []
        if left:
            self.tick(left[0])

    def not_cured(self) -> None:
        """The complaint is still there: that is evidence against what was repaired."""
        complaints = self._complaints()
        if not complaints:
            self.tell_more()
        elif len(complaints) == 1:
            self._still_there(complaints[0])
        else:
            signs = self.room.state.job.book.signs
            lines = [(name, signs[name].title) for name in complaints]
            self.room.app.push_screen(PickScreen("Which complaint is still there?", lines), self._still_there)

    def _complaints(self) -> list[str]:
        signs = self.room.state.job.book.signs
        told = [e.sign for e in self.room.state.job.case.effective()
                if isinstance(e, SignAnswer) and e.answer == "present" and e.sign in signs]  # fmt: skip
        return list(dict.fromkeys(name for name in told if signs[name].symptom))

    def _still_there(self, sign: str | None) -> None:
        if sign:
            self.room.state.job.answer_sign(sign, "yes", text="still there after the repair")
            self.room.renew(self.room.state.last_words())

    def undo(self) -> None:
        """Take the last answer back, or the last change of one."""
        words = self.room.state.last_words()
        if self.room.state.job.undo():
            self.room.renew(f"Taken back: {words}" if words else "Taken back")
        else:
            self.room.tell("There is nothing to take back.")

    def reopen(self) -> None:
        """Open a finished job again."""
        self.room.state.job.set_status("open", "opened again")
        self.room.renew("Opened again")
