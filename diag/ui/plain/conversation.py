"""The conversation: show what is next, take a line, do what it says. What the words do is in the modules beside."""

from __future__ import annotations

import contextlib
import signal
from collections.abc import Iterator
from types import FrameType

from diag.casework.agenda import Task
from diag.casework.replay import compare
from diag.presentation.bands import band_words, last_reading
from diag.presentation.last_words import trouble_words
from diag.presentation.reasons import reason_words
from diag.presentation.stop_rules import is_danger, to_be_told
from diag.rulebook.steps import Check, Step
from diag.safety.situation import Wet
from diag.safety.steps import find_step
from diag.support.errors import UserError
from diag.support.text import one_line
from diag.ui.plain import (
    asides,
    checklist,
    closing,
    doing,
    hearing,
    joblist,
    opening,
    parting,
    step_words,
    words,
    working,
)
from diag.ui.plain.commands import COMMANDS, Command, command_of
from diag.ui.plain.room import Room
from diag.ui.signals import ENDING

LOOKING = ("?", "help", "car", "jobs", "entries", "stops")  # also while a stop rule waits to be read
SENTENCE = 3  # words from which on a line that is no answer is heard as something told


class Conversation(Room):
    """One person, one or several jobs, one line at a time."""

    # ------------------------------------------------------------------ running

    def run(self, case_id: str = "", title: str = "", take_over: bool = False) -> int:
        """Until the person quits or the input ends, and every answer is where the person wants it."""
        with _ending_by_signal():
            try:
                self.talk.aside = self._aside
                opening.greet(self)
                if not self.jobs:
                    joblist.begin(self, case_id, title, take_over)
                while True:
                    while not self.over and self.jobs:
                        self.turn()
                    self.talk.leaving, self.talk.aside = False, None
                    if parting.may_leave(self):
                        return parting.last_words(self)
                    self.over, self.talk.aside = False, self._aside
            except BaseException as error:
                for line in parting.forced(self):
                    error.add_note(line)
                raise

    def turn(self) -> None:
        """Tell what is next, take one line, act on it."""
        if not self.stops_heard():
            return
        self.talk.lines(self.job.news())
        task = self.task
        self._show(task)
        line = self.talk.ask(self._prompt(task), turn=True)
        if line is None:
            self.over = True
            return
        self.handle(line, task)

    def _aside(self, line: str, prompt: str) -> bool:
        return asides.aside(self, line, prompt)

    def _prompt(self, task: Task) -> str:
        if checklist.is_look_over(self, task):
            return "all dry, or what is not: 3 wet, rest dry; u where it cannot be seen; one by one, why, help"
        asked = checklist.asked_now(self, task)
        return checklist.series_prompt(asked) if len(asked) > 1 else step_words.prompt_of(task, self.book)

    def handle(self, line: str, task: Task) -> None:
        """One line: an answer first of all, else a command."""
        before = len(self.job.case.entries)
        at_before = self.job
        self.may_wait, self.waiting = True, ""
        try:
            if not working.try_answer(self, task, line):
                self._command(line)
        except UserError as error:
            self.talk.say(error.one_line())
        if self.jobs and self.job is at_before and len(self.job.case.entries) != before:
            self.after_change()
        answer, self.may_wait, self.waiting = self.waiting, False, ""
        if answer:
            self._after_ticks(answer, task)

    def _after_ticks(self, answer: str, task: Task) -> None:
        """The ticks were taken by an answer to the question before them: give it, where that is still asked."""
        if self.jobs and self.stops_heard() and self.task == task:
            self.talk.say(f"Ticks taken as they stood; taken as the answer: {one_line(answer, 200)}.")
            self.handle(answer, task)
        elif not self.over:
            self.talk.say("Ticks taken as they stood. Something else is asked now; say the answer again where it fits.")

    def answers(self, line: str) -> bool:
        """Whether a line would be an answer to the question or step at hand; nothing is entered."""
        return working.fits(self, self.task, line)

    def _command(self, line: str) -> None:
        found: tuple[Command, str] | None = command_of(line)
        if found is not None and found[0].name == "no" and len(line.split()) >= SENTENCE:
            found = (
                found if asides.speaks_of_tools(found[1]) else None
            )  # "no smell, no leaks" tells, and takes nothing away
        if found is None and len(line.split()) >= SENTENCE and hearing.hear(self, line):
            return
        if found is None:
            self.talk.say("That is no answer and no command here. Say help for the commands.")
            self.talk.lines(
                step_words.question_lines(self.task, self.book) if self.task.kind in ("sign", "reading") else []
            )
            return
        command, rest = found
        command.act(self, rest)

    def after_change(self) -> None:
        """Say what the change did, once the check it belongs to is through."""
        trouble = trouble_words(self.job)
        if trouble:
            self.talk.say(trouble)
        self.reading_on = 0
        if self.job.tasks_at_once:
            return
        self.tell_ranking()

    def tell_ranking(self) -> None:
        """The ranking with what moved since it was last told."""
        now = self.now
        if self.told_last is not None and self.told_last.case.id == now.case.id:
            change = compare(self.told_last, now)
            if change.nothing:
                self.told_last = now
                return
            self.talk.lines(words.change_lines(change))
            if now.situation.looked and now.situation.wet is Wet.UNKNOWN:
                self.talk.say("Some place could not be told dry for certain, so it counts as wet: nothing may run yet.")
        self.talk.say("Likeliest now:")
        self.talk.lines(words.ranking_lines(now, 3, self.told_last))
        bands = band_words(now, last_reading(now))
        self.talk.lines([bands] if bands else [])
        self.told_last = now

    # ------------------------------------------------------------------ telling

    def _show(self, task: Task) -> None:
        key = (self.job.case.id, task, len(self.job.case.entries))
        if key == self.shown:
            return
        self.shown = key
        now, say = self.now, self.talk
        step = find_step(self.book, task.step)
        say.say()
        if task.kind in ("stop", "hand on", "close") or step is None:
            say.say({"stop": "Stop here.", "hand on": "Hand the job on."}.get(task.kind, now.proposal.title))
            say.lines(reason_words(now.proposal, self.book))
            if task.kind == "close" and (usual := closing.usual_end(self)):
                say.say(f"finish yes closes it as: {closing.end_words(self, usual)}")
            return
        if task.step != self.step_shown:
            self.step_shown = task.step
            self.reading_on = 0
            say.lines(step_words.head_lines(now, task, step, self.job.chosen))
            say.lines(step_words.tool_line(step, self.book))
            say.lines(step_words.caution_lines(step, self.book, self.heard))
            self.heard.update(step.hazards)
            if not step_words.is_loose(task, now):
                say.lines(self.steps_of(step))
                say.lines(doing.chain_lines(self, task))
            say.lines(step_words.spared_lines(task, now))
        if checklist.is_look_over(self, task):
            say.lines(checklist.place_lines(checklist.open_questions(self, task), self.book))
        elif task.kind in ("sign", "reading"):
            asked = checklist.asked_now(self, task)
            say.lines(
                checklist.series_lines(asked, self.book)
                or step_words.question_lines(task, self.book, self.singly == task.step)
            )

    def steps_of(self, step: Step) -> list[str]:
        """The steps of a check; of a look-over that was read out before, only that they can be heard again."""
        again = step.id in self.read_out and isinstance(step, Check) and step.look_over
        self.read_out.add(step.id)
        if again:
            return ["The same steps as before. (steps: hear them again)"]
        if self.by_phone and step.aloud:
            self.reading_on = 1
            return doing.caller_lines(self, step)
        return step_words.step_lines(step, self.by_phone)

    def stops_heard(self) -> bool:
        """Tell stop rules that answer to a finding until they are acknowledged; False when the input ended."""
        in_force = {rule.id for rule in self.now.stops if is_danger(rule)}
        self.accepted &= in_force
        if in_force <= self.accepted:
            return True
        fresh = [rule for rule in to_be_told(self.now.stops) if rule.id in in_force - self.accepted]
        for rule in fresh:
            self.talk.say()
            self.talk.lines(words.stop_lines(rule))
        if fresh and not self._understood():
            return False
        self.accepted |= in_force
        for rule in fresh:
            self.job.acknowledge(rule.id)
        self.shown = None
        return True

    def _understood(self) -> bool:
        """Wait for the word; False when the input ended or the finding was taken back."""
        while True:
            line = self.talk.ask(
                "Say understood when you have read this" + (" aloud" if self.by_phone else ""), turn=True
            )
            if line is None:
                self.over = True
                return False
            if line.casefold().rstrip(".!") in ("understood", "i understand", "ok"):
                return True
            found = command_of(line)
            if found is not None and found[0].name in ("undo", "quit", "take", "edit"):
                self._during_stop(line)
                return False
            if line.casefold() in LOOKING and asides.aside(self, line, "understood, once this was read"):
                continue
            self.talk.say("This must be acknowledged first: say understood. (undo: the last answer was wrong; quit)")

    def _during_stop(self, line: str) -> None:
        try:
            self._command(line)
        except UserError as error:
            self.talk.say(error.one_line())


@contextlib.contextmanager
def _ending_by_signal() -> Iterator[None]:
    """Leave in order when the system or a closed terminal asks for it."""

    def leave(number: int, _: FrameType | None) -> None:
        raise SystemExit(128 + number)

    old = {}
    for number in ENDING:
        with contextlib.suppress(ValueError, OSError):  # not in the main thread: nothing to catch there
            old[number] = signal.signal(number, leave)
    try:
        yield
    finally:
        for number, handler in old.items():
            signal.signal(number, handler)


__all__ = ["COMMANDS", "Conversation"]
