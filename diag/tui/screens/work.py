"""The job at work: the next step large, one key for the common answer, the ranking beside or below."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any, ClassVar

from textual import on
from textual.app import ComposeResult
from textual.containers import Horizontal, Vertical, VerticalScroll
from textual.events import Key, Paste
from textual.widgets import Input
from textual.worker import get_current_worker

from diag.casework.agenda import Task
from diag.casework.entries import Acknowledged, PersonTold, SignAnswer, Source, Sure
from diag.casework.summary import status_of
from diag.engine.safesteps import find_step
from diag.report.build import Words, entry_words
from diag.rulebook.model import Remedy
from diag.session.job import Job
from diag.trust.text import one_line
from diag.tui.base import HELP, MENU, CardScreen
from diag.tui.board import Board, in_turn, work_out
from diag.tui.card import Part, Row, row
from diag.tui.deeds import Deed
from diag.tui.panel import Line, Panel
from diag.tui.rows_work import (
    ask_rows,
    change_rows,
    ended_rows,
    is_loud,
    problem_rows,
    proof_rows,
    ranking_rows,
    step_rows,
    stop_panel_rows,
    stop_rows,
    understood_rows,
)
from diag.tui.wording import marks

ROOMY = 34  # lines of a terminal from which every choice has a line of its own
WIDE = 110  # columns from which the ranking stands beside the step; the style sheet has the same figure
ALWAYS = (
    Deed("t", "tell", "told", "tell something unasked: type a few words and pick", more=("/",)),
    Deed("w", "causes", "causes", "causes: why, for and against, what each would show"),
    Deed("a", "answers", "answers", "answers given so far: change one or take it back"),
    Deed("z", "undo", "undo", "take the last answer back", more=("ctrl+z",)),
    Deed("k", "car", "car", "what is known of the car", line=False),
    Deed("p", "picture", "picture", "picture: rail pressure over manifold pressure", line=False),
    Deed("o", "other checks", "others", "other checks: choose another one than proposed", line=False),
    Deed("e", "who", "people", "who is at the car and what they have", line=False),
    Deed("b", "note", "note", "write a note into the job", line=False),
    Deed("!", "cautions", "cautions", "every caution and stop rule in full", line=False),
    Deed("j", "jobs", "jobs", "other open jobs and calls, and the start", line=False),
    Deed("f", "finish", "finish", "finish the job, with a summary to read back", line=False),
    Deed("g", "hand over", "hand_over", "hand-over note for the next person", line=False),
    Deed("+", "read aloud", "aloud", "steps as said aloud, or as done", line=False),
    Deed("pgdn", "read on", "read_on", "read the step on; PgUp reads it back", more=("pagedown",)),
    HELP,
    MENU,
    Deed("q", "leave", "leave", "leave the job; everything is on disk", line=False),
)


class WorkScreen(CardScreen[None]):
    """One job."""

    about: ClassVar[str] = (
        "One step at a time: do it, then answer with one key or type a value and Enter. Anything may be told in any "
        "order with [t]. Every answer can be taken back. The likeliest causes stand below, or beside on a wide screen."
    )

    def __init__(self, job: Job, opening: bool = False) -> None:
        super().__init__()
        self.job = job
        self.opening = opening
        self.board: Board | None = None
        self.now: Task | None = None
        self.unsure = False
        self.heard = False
        self.read_aloud: bool | None = None
        self.last = ""
        self.surprise = ""
        self._warned: set[str] = set()

    def body(self) -> ComposeResult:
        """Stops across the top, then step and question, then the ranking."""
        with VerticalScroll(id="stops", can_focus=False):
            yield Panel(id="stop")
        with Horizontal(id="middle"):
            with Vertical(id="left"):
                with VerticalScroll(id="scroll", can_focus=False):
                    yield Panel(id="step")
                with VerticalScroll(id="asking", can_focus=False):
                    yield Panel(id="ask")
                yield Line(
                    id="value",
                    compact=True,
                    select_on_focus=False,
                    max_length=80,
                    placeholder="43.5 psi, 3 bar, about 40, over 100",
                )
                yield Panel(id="understood")
            with VerticalScroll(id="right", can_focus=False):
                yield Panel(id="beside", margin=0)
        yield Panel(id="below")
        yield Panel(id="since")

    def arrive(self) -> None:
        """Start with what is known at once."""
        self.query_one("#value", Input).display = False
        self.set_interval(20.0, self._clock)
        self.renew()

    # ------------------------------------------------------------------ the round: change, quick repaint, work out

    def renew(self, last: str = "") -> None:
        """The case has changed: show what is known at once, and have the rest worked out."""
        self.last = last or self.last
        self.unsure = self.heard = False
        at_once = self.job.tasks_at_once
        self.now = at_once[0] if at_once else None
        self.clear_value()
        self.paint()
        self._warn()
        standing, left_out, before = self.job.standing, self.job.left_out, self.job.before

        def work() -> Board | None:
            return work_out(standing, at_once, left_out, before, lambda: get_current_worker().is_cancelled)

        self.in_background(work, "board")

    def found(self, group: str, result: Any) -> None:
        """The working thread is done."""
        if group == "surprise":
            self.surprise = result if isinstance(result, str) else ""
            self._paint_step()
            return
        if not isinstance(result, Board) or result.standing.case is not self.job.case:
            return
        self.board = result
        if self.now is None:
            self.now = result.task
            self.clear_value()
        self.paint()
        if result.standing.proposal.kind in ("remedy", "close", "hand on"):
            self._look_for_surprise(result)

    def _look_for_surprise(self, board: Board) -> None:
        def look() -> str:
            entry = in_turn(lambda: board.standing.belief.least_fitting_entry)
            if entry is None or board.standing.belief.surprise < 1.0:
                return ""
            return (
                f"Entry {entry} fits badly with all the others; it is worth repeating before any repair. [a] shows it."
            )

        self.in_background(look, "surprise")

    def _warn(self) -> None:
        """Rules that came into force since the last look are read and acknowledged before anything else."""
        if self.app.screen is not self:
            return
        read = {e.rule for e in self.job.case.effective() if isinstance(e, Acknowledged)}
        loud = [rule for rule in self.job.standing.stops if is_loud(rule)]
        fresh = [rule for rule in loud if rule.id not in self._warned and rule.id not in read]
        self._warned = {rule.id for rule in loud}
        if not fresh:
            return
        from diag.tui.screens.pages import NoticeScreen

        phone = self.by_phone
        say = [row("SAY", '"Stop, please. Do exactly this first:"', "strong")] if phone else []
        words = "I have said this, and they have done it" if phone else "I have read this and it is done"

        def read_it(done: bool | None) -> None:
            for rule in fresh if done else ():
                self.job.acknowledge(rule.id)
            self.paint()

        self.app.push_screen(
            NoticeScreen("STOP. Read this first.", [*say, *stop_rows(fresh, full=True)], words), read_it
        )

    # ------------------------------------------------------------------ painting

    def paint(self) -> None:
        """Everything."""
        super().paint()
        stops = self.job.standing.stops
        self.panel("stop").show(stop_panel_rows(stops))
        self._paint_step()
        self._paint_ask()
        self._paint_ranking()

    def head_rows(self) -> list[Row]:
        """Title, mode, minutes, disk."""
        job = self.job
        facts = [self.mode, f"{job.minutes:.0f} min", f"{len(job.case.effective())} entries"]
        facts += ["finished"] if self.closed else []
        facts += ["on disk" if not job.trouble else "NOT ON DISK"] if job.is_kept else ["not kept"]
        rows = [row("", [Part(f" {one_line(job.case.title, 44)} ", "mark"), Part("  " + "  ".join(facts), "mark")],
                    fill="mark")]  # fmt: skip
        if job.trouble:
            rows.append(row("", f" {job.trouble}", "alarm", fill="alarm"))
        return rows

    def _paint_step(self) -> None:
        proposal = self.board.standing.proposal if self.board is not None else None
        book = self.job.book
        if self.closed:
            self.panel("step").show(ended_rows(self.job.case, book))
            return
        if self.now is None:
            rows = [row("NEXT", "Weighing every check against what it would tell ...", "quiet")]
        else:
            fits = proposal is not None and self.now in self.board.tasks if self.board is not None else False
            rows = step_rows(self.now, book, proposal if fits else None, self.aloud, self.ticked)
        rows = [*problem_rows(self.job.standing, self.surprise), *proof_rows(self.job.case, book), *rows]
        self.panel("step").show(rows)

    def _paint_ask(self) -> None:
        if self.now is None or self.closed:
            self.panel("ask").show([])
        else:
            marked = marks(self.unsure, self.heard)
            roomy = self.app.size.height >= ROOMY
            self.panel("ask").show(ask_rows(self.now, self.job.book, marked, self.steps_left, roomy))
        field = self.query_one("#value", Input)
        field.display = self.now is not None and self.now.kind == "reading" and not self.closed

    def _paint_ranking(self) -> None:
        glyphs = self.desk.glyphs
        book = self.job.book
        if self.app.size.width >= WIDE:
            self.panel("beside").show(ranking_rows(self.board, glyphs, 14, book, wide=True))
        else:
            self.panel("below").show(ranking_rows(self.board, glyphs, 4, book))
        change = self.board.change if self.board is not None else None
        self.panel("since").show(change_rows(change, self.last))

    def on_resize(self) -> None:
        """Another width may show the ranking elsewhere, another height the choices."""
        if self.is_mounted:
            self._paint_ask()
            self._paint_ranking()

    def _clock(self) -> None:
        self.panel("head").show(self.head_rows())

    def on_screen_resume(self) -> None:
        """Back from another screen: something may have been told there. A new job opens with its story."""
        if self.opening:
            self.opening = False
            self.call_after_refresh(self._open_story)
        else:
            self.call_after_refresh(self._warn)

    def _open_story(self) -> None:
        from diag.tui.screens.people import PeopleScreen
        from diag.tui.screens.tell import TellScreen

        def story(_: object = None) -> None:
            self.app.push_screen(TellScreen(self.job, opening=True), self._maybe_changed)

        if self.by_phone:
            self.app.push_screen(PeopleScreen(self.job), story)
        else:
            story()

    # ------------------------------------------------------------------ facts for the screen

    @property
    def by_phone(self) -> bool:
        """Whether the person at the car is at the other end of a telephone."""
        return self.job.standing.situation.by_phone

    @property
    def aloud(self) -> bool:
        """Whether steps are worded to be read aloud."""
        return self.by_phone if self.read_aloud is None else self.read_aloud

    @property
    def mode(self) -> str:
        """Workshop or phone, and who is at the car."""
        told = [e for e in self.job.case.effective() if isinstance(e, PersonTold)]
        who = told[-1].person if told else ""
        return f"phone: {who}" if self.by_phone else "workshop"

    @property
    def ticked(self) -> set[int]:
        """The ticked steps of the remedy in hand; kept while other jobs are worked on."""
        step = self.now.step if self.now is not None else ""
        return self.desk.ticks.setdefault((self.job.case.id, step), set())

    @property
    def steps_left(self) -> int:
        """Steps of the remedy that are not ticked yet."""
        step = self.remedy
        return len(step.steps) - len(self.ticked) if step is not None else 0

    @property
    def remedy(self) -> Remedy | None:
        """The remedy in hand."""
        step = find_step(self.job.book, self.now.step) if self.now is not None else None
        return step if isinstance(step, Remedy) and self.now is not None and self.now.kind == "remedy" else None

    def deeds(self) -> Sequence[Deed]:
        """The answers to the present question first."""
        if self.closed:
            return (Deed("r", "open again", "reopen", "open this job again"), *ALWAYS)
        return (*self._answers(), *ALWAYS)

    @property
    def closed(self) -> bool:
        """Whether the job is finished."""
        return status_of(self.job.case) == "closed"

    def do_reopen(self) -> None:
        """Open a finished job again."""
        self.job.set_status("open", "opened again")
        self.renew("Opened again")

    def _answers(self) -> list[Deed]:
        task = self.now
        if task is None:
            return []
        found: list[Deed] = []
        if task.kind == "sign":
            choices = self.job.book.signs[task.sign].choices
            for at, choice in enumerate(choices[:9], 1):
                found.append(Deed(str(at), choice.words, "answer", f"answer: {choice.words}", False, (), choice.id))
            if not choices:
                found += [Deed("y", "yes", "answer", "answer yes", False, (), "yes"),
                          Deed("n", "no", "answer", "answer no", False, (), "no")]  # fmt: skip
        if task.kind in ("sign", "reading"):
            found += [
                Deed("u", "not known", "answer", "not known, or could not be seen", False, (), "?"),
                Deed("m", "not sure", "unsure", "mark the next answer as not sure, or take the mark off"),
                Deed(
                    "h", "heard", "second_hand", "mark the next answer as heard from somebody else", line=self.by_phone
                ),
            ]
        if task.kind == "reading":
            found.append(Deed("v", "value", "value", "type the value (a digit starts it at once)", line=False))
        if task.kind == "remedy":
            found.append(Deed("space", "tick", "tick_next", "tick the next step"))
        if task.kind in ("do", "remedy"):
            found.append(Deed("d", "done", "done", "it is done"))
        if task.kind not in ("stop", "hand on", "close"):
            found += [Deed("s", "skip", "skip", "skip this check for now"),
                      Deed("c", "cannot", "cannot", "it cannot be done here"),
                      Deed("l", "later", "later", "do it later")]  # fmt: skip
        if self.job.standing.evidence.epochs[1:]:
            found.append(Deed("x", "not cured", "not_cured", "the complaint is still there after the repair"))
        return found

    # ------------------------------------------------------------------ answers

    def do_answer(self, text: str) -> None:
        """Answer the question with one key."""
        task = self.now
        if task is None or task.kind not in ("sign", "reading"):
            return
        if text == "?" and task.kind == "reading":
            self.job.pass_over(task)
        else:
            self.job.answer_task(task, text, self._sure, self._source)
        self._answered()

    @property
    def _sure(self) -> Sure:
        return "unsure" if self.unsure else "sure"

    @property
    def _source(self) -> Source:
        return "second hand" if self.heard else "own eyes"

    def _answered(self) -> None:
        self.renew(self._last_words())

    def _last_words(self) -> str:
        """The last entry a person told, in words."""
        words = Words(self.job.book, self.job.case.unit_pressure)
        for entry in reversed(self.job.case.effective()):
            said = replace(entry, text="") if isinstance(entry, SignAnswer) else entry
            kind, text = entry_words(said, words)
            if kind in ("answer", "reading", "car", "person", "not done", "handed over"):
                return one_line(text, 90)
            if kind == "done" and not self._closes_check(entry.number):
                return f"Done: {one_line(text, 80)}"
        return ""

    def _closes_check(self, number: int) -> bool:
        """Whether an entry 'done' only closes the check whose answers came before it."""
        counted = self.job.case.effective()
        at = next((i for i, e in enumerate(counted) if e.number == number), 0)
        return at > 0 and getattr(counted[at - 1], "check", "") == getattr(counted[at], "step", None)

    def entered(self, field: Input, text: str) -> None:
        """A reading was typed."""
        task = self.now
        if task is None or task.kind != "reading":
            return
        if not text.strip():
            field.blur()
            return
        self.job.answer_task(task, text, self._sure)
        self._answered()

    def do_value(self) -> None:
        """Put the cursor into the value."""
        self.set_focus(self.query_one("#value", Input))

    def other_key(self, event: Key) -> bool:
        """A digit, sign or point starts a value at once; Esc leaves it; pages scroll the step."""
        field = self.query_one("#value", Input)
        if event.key == "escape":
            self.clear_value()
            return True
        if event.key in ("pageup", "up", "down", "home", "end"):
            self._scroll(event.key)
            return True
        if field.display and not field.has_focus and event.character and event.character in "0123456789.-<>~":
            self.set_focus(field)  # at once: the next character may be here already
            field.insert_text_at_cursor(event.character)
            return True
        return False

    def do_read_on(self) -> None:
        """Scroll the step on."""
        self._scroll("pagedown")

    def _scroll(self, key: str) -> None:
        area = self.query_one("#scroll", VerticalScroll)
        moves = {"pageup": area.scroll_page_up, "pagedown": area.scroll_page_down, "up": area.scroll_up,
                 "down": area.scroll_down, "home": area.scroll_home, "end": area.scroll_end}  # fmt: skip
        moves[key](animate=False)

    def on_paste(self, event: Paste) -> None:
        """What is pasted while a value is asked goes into the value."""
        field = self.query_one("#value", Input)
        if field.display and not field.has_focus:
            self.set_focus(field)
            field.insert_text_at_cursor(one_line(event.text, 80))

    def clear_value(self) -> None:
        """Empty the value and give the keys back to the screen."""
        field = self.query_one("#value", Input)
        if field.value:
            field.value = ""
        if field.has_focus:
            self.set_focus(None)
        self.panel("understood").show([])

    @on(Input.Changed, "#value")
    def _typing(self, event: Input.Changed) -> None:
        event.stop()
        self.panel("understood").show(
            understood_rows(self.now, event.value, self.job.book, self.job.case.unit_pressure)
        )

    def do_unsure(self) -> None:
        """Mark the next answer as not sure."""
        self.unsure = not self.unsure
        self._paint_ask()

    def do_second_hand(self) -> None:
        """Mark the next answer as heard from somebody else."""
        self.heard = not self.heard
        self._paint_ask()

    # ------------------------------------------------------------------ steps

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
        self._paint_step()
        self._paint_ask()

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
            self.do_told()
            return
        if len(complaints) == 1:
            self._still_there(complaints[0])
            return
        from diag.tui.screens.pages import PickScreen

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

    # ------------------------------------------------------------------ other screens

    def do_told(self) -> None:
        """Tell something unasked."""
        from diag.tui.screens.tell import TellScreen

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
        from diag.tui.screens.causes import CausesScreen

        self.app.push_screen(CausesScreen(self.board, self.job.case.unit_pressure, name))

    def do_answers(self) -> None:
        """Answers given so far."""
        from diag.tui.screens.answers import AnswersScreen

        self.app.push_screen(AnswersScreen(self.job), self._maybe_changed)

    def do_car(self) -> None:
        """What is known of the car."""
        from diag.tui.screens.car import CarScreen

        self.app.push_screen(CarScreen(self.job), self._maybe_changed)

    def do_picture(self) -> None:
        """Rail pressure over manifold pressure."""
        from diag.tui.screens.picture import PictureScreen

        self.app.push_screen(PictureScreen(self.job))

    def do_others(self) -> None:
        """Another check than the proposed one."""
        if self.board is None:
            self.tell("The checks are being weighed; one moment.")
            return
        from diag.tui.screens.others import OthersScreen

        self.app.push_screen(OthersScreen(self.job, self.board), lambda _: self.renew())

    def do_people(self) -> None:
        """Who is at the car."""
        from diag.tui.screens.people import PeopleScreen

        self.app.push_screen(PeopleScreen(self.job), self._maybe_changed)

    def do_note(self) -> None:
        """Write a note."""
        from diag.tui.screens.pages import LineScreen

        rows = [row("NOTE", "Free text; it changes no chance.")]
        self.app.push_screen(LineScreen("A note for this job", rows, take=self.job.note), self._maybe_changed)

    def do_cautions(self) -> None:
        """Every caution and stop rule in full."""
        from diag.tui.rows_work import caution_rows
        from diag.tui.screens.pages import PageScreen

        steps = [self.now.step] if self.now is not None else []
        rows = [*stop_rows(self.job.standing.stops, full=True), *caution_rows(steps, self.job.book)]
        self.app.push_screen(
            PageScreen("Cautions and stop rules", rows or [row("", "Nothing in force for this step.")])
        )

    def do_aloud(self) -> None:
        """Steps as said aloud, or as done."""
        self.read_aloud = not self.aloud
        self._paint_step()

    def do_jobs(self) -> None:
        """Other open jobs."""
        self.desk.show_jobs()

    def do_finish(self) -> None:
        """Finish the job."""
        from diag.tui.screens.finish import FinishScreen

        self.app.push_screen(FinishScreen(self.job, self.board), self._maybe_changed)

    def do_hand_over(self) -> None:
        """Hand-over note."""
        from diag.tui.screens.finish import HandOverScreen

        self.app.push_screen(HandOverScreen(self.job), self._maybe_changed)

    def do_leave(self) -> None:
        """Back to the start; everything is on disk."""
        self.desk.leave_job(self.job)
