"""Answers to the question at hand: one key, a value typed ahead or in its line, or the rest of a list at once."""

from __future__ import annotations

from textual.events import Key

from diag.casework.agenda import Task, places_only
from diag.session.series import enter_series, read_series
from diag.support.text import one_line
from diag.ui.tui.screens.work_room import WorkRoom
from diag.ui.tui.screens.work_steps import Steps

BEGINS = "0123456789.-<>~"  # what a value begins with
WORDS = {"u": "?", "?": "?", "not known": "?", "unknown": "?", "skip": "skip", "s": "skip", "cannot": "cannot",
         "c": "cannot", "later": "later", "l": "later"}  # fmt: skip


class Answers:
    """What is answered, and how the keys find the value."""

    def __init__(self, room: WorkRoom, steps: Steps) -> None:
        self.room = room
        self.steps = steps
        self.ahead = ""  # typed before the question was there

    def answer(self, text: str) -> None:
        """Answer the question with one key."""
        state = self.room.state
        task = state.now
        if task is None or task.kind not in ("sign", "reading"):
            return
        if text == "?" and task.kind == "reading":
            state.job.pass_over(task)
        else:
            state.job.answer_task(task, text, state.sure, state.source)
        self.room.renew(state.last_words())

    @property
    def rest(self) -> tuple[Task, ...]:
        """The places to be looked at that nobody has answered yet, when there are several and nothing else is asked."""
        open_now = self.room.state.questions
        return open_now if places_only(open_now, self.room.state.job.book) else ()

    def rest_dry(self) -> None:
        """Every place still open is dry: each gets its own answer, as the safety rules want it."""
        state = self.room.state
        sure, source = state.sure, state.source
        for task in self.rest:
            state.job.answer_task(task, "no", sure, source)
        self.room.renew(state.last_words())

    def entered(self, text: str) -> None:
        """A line was typed where a value is asked: the value, or a word for not having one."""
        state = self.room.state
        told = WORDS.get(text.strip().casefold(), "")
        if not text.strip() or not state.asks_value:
            self.room.set_focus(None)
        elif told == "?":
            self.answer("?")
        elif told:
            {"skip": self.steps.skip, "cannot": self.steps.cannot, "later": self.steps.later}[told]()
        elif not self._several(text):
            self.answer(text)

    def _several(self, text: str) -> bool:
        """Enter several values typed in one line; False when it is one value."""
        state = self.room.state
        found = read_series(text, state.questions, state.job.book, state.job.case.unit_pressure)
        if found is None:
            return False
        enter_series(state.job, found)
        self.room.renew(state.last_words())
        return True

    def asked(self) -> None:
        """A question has come: a value's line takes the keys, with whatever was typed ahead of it."""
        state, field = self.room.state, self.room.value
        field.display = state.asks_value
        ahead, self.ahead = self.ahead, ""
        if state.asks_value:
            self.room.set_focus(field)
            if ahead:
                field.insert_text_at_cursor(ahead)
        elif ahead:
            self.room.tell(f"Typed ahead and not taken, since no value is asked here: {ahead}", "care")

    def key(self, event: Key) -> bool:
        """A printable key that is no command: part of a value, now or ahead of its question."""
        character = event.character if event.is_printable else None
        if not character or self.room.state.now is not None:
            return False
        if self.ahead or character in BEGINS:
            self.ahead = one_line(self.ahead + character, 80)
            self.room.tell(f"Typed ahead: {self.ahead}", "quiet")
            return True
        return False

    def unsure(self) -> None:
        """Mark the next answer as not sure."""
        self.room.state.unsure = not self.room.state.unsure
        self.room.paint_task()

    def second_hand(self) -> None:
        """Mark the next answer as heard from somebody else."""
        self.room.state.heard = not self.room.state.heard
        self.room.paint_task()
