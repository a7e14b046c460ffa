"""The job at work: the next step large, one key for the common answer, the ranking beside or below.

The screen holds a state and three parts that act on it (answers, steps, doors); it turns keys into acts, and paints the
rows that work_rows.py makes of the state.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, ClassVar

from textual import on
from textual.app import ComposeResult
from textual.containers import Horizontal, Vertical, VerticalScroll
from textual.events import Key, Paste
from textual.widgets import Input
from textual.worker import get_current_worker

from diag.casework.agenda import Task
from diag.presentation.stop_rules import to_be_told
from diag.session.job import Job
from diag.support.text import one_line
from diag.ui.tui.base import CardScreen, general_help
from diag.ui.tui.board import Board, in_turn, look_ahead_of, work_out
from diag.ui.tui.card import Row, row
from diag.ui.tui.deeds import Deed, listed
from diag.ui.tui.panel import Line, Panel
from diag.ui.tui.rows_ahead import behind_esc, foot_rows
from diag.ui.tui.rows_stops import is_loud, stop_panel_rows
from diag.ui.tui.rows_work import (
    change_rows,
    ranking_rows,
    understood_rows,
)
from diag.ui.tui.screens.warning import warn
from diag.ui.tui.screens.work_answers import Answers
from diag.ui.tui.screens.work_deeds import always, answers_to
from diag.ui.tui.screens.work_doors import Doors
from diag.ui.tui.screens.work_rows import asking_rows, hazards_of, head_rows, step_panels
from diag.ui.tui.screens.work_state import WorkState
from diag.ui.tui.screens.work_steps import Steps

ROOMY = 34  # lines of a terminal from which every choice has a line of its own
WIDE = 110  # columns from which the ranking stands beside the step; the style sheet has the same figure
LEAST = (80, 24)  # columns and lines of a window that shows everything


class WorkScreen(CardScreen[None]):
    """One job."""

    about: ClassVar[str] = (
        "One step at a time: do it, then answer with one key or type a value and Enter; Esc leaves the value's line, "
        "and letters are keys again. Anything may be told in any order with [t]. Every answer can be taken back. The "
        "likeliest causes stand below, or beside on a wide screen."
    )

    def __init__(self, job: Job, opening: bool = False) -> None:
        super().__init__()
        self.state = WorkState(job)
        self.opening = opening
        self.doors = Doors(self)
        self.steps = Steps(self, self.doors.told)
        self.answers = Answers(self, self.steps)

    def body(self) -> ComposeResult:
        """Stops across the top, then step, question and how it is done, then the ranking."""
        with VerticalScroll(id="stops", can_focus=False):
            yield Panel(id="stop")
        with Horizontal(id="middle"):
            with Vertical(id="left"):
                yield Panel(id="next")
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
                with VerticalScroll(id="scroll", can_focus=False):
                    yield Panel(id="step")
            with VerticalScroll(id="right", can_focus=False):
                yield Panel(id="beside", margin=0)
        yield Panel(id="below")
        yield Panel(id="since")

    def arrive(self) -> None:
        """Start with what is known at once."""
        self.state.ticks = self.desk.ticks
        self.value.display = False
        self.set_interval(20.0, self._clock)
        self.renew()
        self._mind_the_size()

    @property
    def job(self) -> Job:
        """The job at work."""
        return self.state.job

    @property
    def value(self) -> Input:
        """The line a value is typed into."""
        return self.query_one("#value", Input)

    # ------------------------------------------------------------------ the round: change, quick repaint, work out

    def renew(self, last: str = "") -> None:
        """The case has changed: show what is known at once, and have the rest worked out."""
        state = self.state
        state.last = last or state.last
        state.unsure = state.heard = False
        at_once = state.job.tasks_at_once
        self._take_up(at_once[0] if at_once else None)
        self._warn()
        standing, left_out, before = state.job.standing, state.job.left_out, state.job.before

        def work() -> Board | None:
            return work_out(standing, at_once, left_out, before, lambda: get_current_worker().is_cancelled)

        self.workers.cancel_group(self, "ahead")  # it must not hold up the answer that it was made for
        self.in_background(work, "board")

    def _take_up(self, task: Task | None) -> None:
        """The next thing to do: on the screen, and ready for its answer."""
        old = self.state.now
        if old is not None and task is not None and old.step != task.step:
            self.state.told_hazards |= hazards_of(old.step, self.job.book)
        if old is None or task is None or old.step != task.step:
            self.state.said = 0
        self.state.now = task
        self.clear_value()
        self.paint()
        if task is not None:
            self.answers.asked()

    def found(self, group: str, result: Any) -> None:
        """The working thread is done."""
        if group == "surprise":
            self.state.surprise = result if isinstance(result, str) else ""
            self._paint_step()
            return
        if not isinstance(result, Board) or result.standing.case is not self.job.case:
            return
        self.state.board = result
        if self.state.now is None:
            self._take_up(result.task)
        else:
            self.paint()
        if result.standing.proposal.kind in ("remedy", "close", "hand on"):
            self._look_for_surprise(result)
        self.in_background(lambda: look_ahead_of(result, lambda: get_current_worker().is_cancelled), "ahead")

    def _look_for_surprise(self, board: Board) -> None:
        def look() -> str:
            entry = in_turn(lambda: board.standing.misfit.entry)
            if entry is None or board.standing.misfit.surprise < 1.0:
                return ""
            return (
                f"Entry {entry} fits badly with all the others; it is worth repeating before any repair. [a] shows it."
            )

        self.in_background(look, "surprise")

    def _warn(self) -> None:
        """Rules that came into force since the last look are read and acknowledged before anything else."""
        if self.app.screen is self:
            warn(self.app, self.job, self.paint)

    # ------------------------------------------------------------------ painting

    def paint(self) -> None:
        """Everything."""
        super().paint()
        self._show("stop", stop_panel_rows(to_be_told(self.job.standing.stops)))
        self.paint_task()
        self._paint_ranking()

    def _show(self, name: str, rows: Sequence[Row]) -> None:
        """Rows in a panel; while the value's line takes the letters, keys are shown with the Esc they need."""
        self.panel(name).show(behind_esc(rows) if self.value.has_focus else rows)

    def paint_keys(self) -> None:
        """The keys that work now."""
        self.panel("foot").show(foot_rows(self.deeds(), self.value.has_focus))

    def on_descendant_focus(self) -> None:
        """The letters go somewhere else now: every key on the screen says how it is reached."""
        self.paint()

    def on_descendant_blur(self) -> None:
        """The letters are keys again."""
        self.paint()

    def head_rows(self) -> list[Row]:
        """Title, mode, minutes, disk."""
        return head_rows(self.state)

    def paint_task(self) -> None:
        """Step and question."""
        self._paint_step()
        self._paint_ask()

    def _paint_step(self) -> None:
        heads, rows = step_panels(self.state)
        self._show("next", heads)
        self._show("step", rows)

    def _paint_ask(self) -> None:
        roomy = self.app.size.height >= ROOMY
        self.panel("ask").show(asking_rows(self.state, roomy, bool(self.answers.rest)))
        self.value.display = self.state.asks_value

    def _paint_ranking(self) -> None:
        board, glyphs, book = self.state.board, self.desk.glyphs, self.job.book
        if self.app.size.width >= WIDE:
            self.panel("beside").show(ranking_rows(board, glyphs, 14, book, wide=True))
        else:
            told = any(is_loud(rule) for rule in self.job.standing.stops)
            self.panel("below").show(ranking_rows(board, glyphs, 2 if told else 4, book))
        change = board.change if board is not None else None
        bands = board.bands if board is not None else ""
        self._show("since", change_rows(change, self.state.last, bands))

    def on_resize(self) -> None:
        """Another width may show the ranking elsewhere, another height the choices."""
        if self.is_mounted:
            self._paint_ask()
            self._paint_ranking()
            self._mind_the_size()

    def _mind_the_size(self) -> None:
        size = self.app.size
        if size.width < LEAST[0] or size.height < LEAST[1]:
            self.tell(f"This window is {size.width} by {size.height}; {LEAST[0]} by {LEAST[1]} shows all keys. "
                      "[.] lists them.", "care")  # fmt: skip

    def _clock(self) -> None:
        self.panel("head").show(self.head_rows())

    def on_screen_resume(self) -> None:
        """Back from another screen: something may have been told there. A new job opens with its story."""
        if self.opening:
            self.opening = False
            self.call_after_refresh(self.doors.story)
        else:
            self.call_after_refresh(self._warn)

    # ------------------------------------------------------------------ keys

    def deeds(self) -> Sequence[Deed]:
        """The answers to the present question first."""
        rest = [*always(self.doors, self.steps, self._read_on), self.help_deed, self.menu_deed]
        rest.append(
            Deed("q", "leave", self.doors.leave, "leave the job; what could not be saved is shown first", False)
        )
        state = self.state
        if state.closed:
            return (Deed("r", "open again", self.steps.reopen, "open this job again"), *rest)
        found = answers_to(state.now, state, self.answers, self.steps, self._to_value) if state.now is not None else []
        if state.job.standing.evidence.epochs[1:]:
            words = "the complaint is still there after the repair"
            found.append(Deed("x", "not cured", self.steps.not_cured, words))
        return (*found, *rest)

    def do_help(self) -> None:
        """What the question means, then what this screen is for and all its keys."""
        now = self.state.now
        means = self.job.book.signs[now.sign].means if now is not None and now.kind == "sign" else ""
        rows = [row("ASKED", means), row("", "")] if means else []
        rows += [row("HERE", self.about), row("", ""), *listed(self.deeds()), *general_help()]
        self.desk.show_page("Help: this job", rows)

    def clicked(self, kind: str, name: str) -> None:
        """A cause, or a step to tick."""
        if kind == "cause":
            self.doors.causes(name)
        elif kind == "tick":
            self.steps.tick(int(name))

    def first_key(self, event: Key) -> bool:
        """What is typed ahead of a value is kept for it."""
        return self.answers.key(event)

    def other_key(self, event: Key) -> bool:
        """Esc leaves the value's line; pages scroll the step; a digit goes on with the value."""
        if event.key == "escape":
            self.clear_value()
            return True
        if event.key in ("pageup", "up", "down", "home", "end"):
            self._scroll(event.key)
            return True
        if (
            self.state.asks_value
            and not self.value.has_focus
            and event.character
            and event.character in "0123456789.-<>~"
        ):
            self._to_value()
            self.value.insert_text_at_cursor(event.character)
            return True
        return False

    def _to_value(self) -> None:
        self.set_focus(self.value)

    def _read_on(self) -> None:
        self._scroll("pagedown")

    def _scroll(self, key: str) -> None:
        area = self.query_one("#scroll", VerticalScroll)
        moves = {"pageup": area.scroll_page_up, "pagedown": area.scroll_page_down, "up": area.scroll_up,
                 "down": area.scroll_down, "home": area.scroll_home, "end": area.scroll_end}  # fmt: skip
        moves[key](animate=False)

    def on_paste(self, event: Paste) -> None:
        """What is pasted while a value is asked goes into the value."""
        if self.state.asks_value and not self.value.has_focus:
            self._to_value()
            self.value.insert_text_at_cursor(one_line(event.text, 80))

    def entered(self, field: Input, text: str) -> None:
        """A value was typed."""
        self.answers.entered(text)

    def clear_value(self) -> None:
        """Empty the value and give the keys back to the screen."""
        field = self.value
        if field.value:
            field.value = ""
        if field.has_focus:
            self.set_focus(None)
        self.panel("understood").show([])

    @on(Input.Changed, "#value")
    def _typing(self, event: Input.Changed) -> None:
        event.stop()
        self.panel("understood").show(
            understood_rows(self.state.now, event.value, self.job.book, self.job.case.unit_pressure)
        )
