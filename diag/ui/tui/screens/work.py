"""The job at work: the next step large, one key for the common answer, the ranking beside or below."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, ClassVar

from textual import on
from textual.app import ComposeResult
from textual.containers import Horizontal, Vertical, VerticalScroll
from textual.events import Key, Paste
from textual.widgets import Input
from textual.worker import get_current_worker

from diag.casework.entries import Acknowledged, Source, Sure
from diag.presentation.last_words import short_words, trouble_words
from diag.presentation.stop_rules import to_be_told
from diag.support.text import one_line
from diag.ui.tui.board import Board, in_turn, work_out
from diag.ui.tui.card import Part, Row, row
from diag.ui.tui.deeds import Deed
from diag.ui.tui.panel import Line, Panel
from diag.ui.tui.rows_work import (
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
from diag.ui.tui.screens.job_deeds import ALWAYS, answers_to
from diag.ui.tui.screens.job_doors import DoorsScreen
from diag.ui.tui.wording import marks

ROOMY = 34  # lines of a terminal from which every choice has a line of its own
WIDE = 110  # columns from which the ranking stands beside the step; the style sheet has the same figure


class WorkScreen(DoorsScreen):
    """One job."""

    about: ClassVar[str] = (
        "One step at a time: do it, then answer with one key or type a value and Enter. Anything may be told in any "
        "order with [t]. Every answer can be taken back. The likeliest causes stand below, or beside on a wide screen."
    )

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
        loud = [rule for rule in to_be_told(self.job.standing.stops) if is_loud(rule)]
        fresh = [rule for rule in loud if rule.id not in self._warned and rule.id not in read]
        self._warned = {rule.id for rule in loud}
        if not fresh:
            return
        from diag.ui.tui.screens.pages import NoticeScreen

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
        stops = to_be_told(self.job.standing.stops)
        self.panel("stop").show(stop_panel_rows(stops))
        self._paint_step()
        self._paint_ask()
        self._paint_ranking()

    def head_rows(self) -> list[Row]:
        """Title, mode, minutes, disk."""
        job = self.job
        entries = len(job.case.effective())
        facts = [self.mode, f"{job.minutes:.0f} min", "1 entry" if entries == 1 else f"{entries} entries"]
        facts += ["finished"] if self.closed else []
        facts.append(short_words(job))
        rows = [row("", [Part(f" {one_line(job.case.title, 44)} ", "mark"), Part("  " + "  ".join(facts), "mark")],
                    fill="mark")]  # fmt: skip
        trouble = trouble_words(job)
        if trouble:
            rows.append(row("", f" {trouble}", "alarm", fill="alarm"))
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
        rows = [
            *problem_rows(self.job.standing, self.surprise, self.job.remarks),
            *proof_rows(self.job.case, book),
            *rows,
        ]
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
        from diag.ui.tui.screens.people import PeopleScreen
        from diag.ui.tui.screens.tell import TellScreen

        def story(_: object = None) -> None:
            self.app.push_screen(TellScreen(self.job, opening=True), self._maybe_changed)

        if self.by_phone:
            self.app.push_screen(PeopleScreen(self.job), story)
        else:
            story()

    def paint_task(self) -> None:
        """Step and question."""
        self._paint_step()
        self._paint_ask()

    def deeds(self) -> Sequence[Deed]:
        """The answers to the present question first."""
        if self.closed:
            return (Deed("r", "open again", "reopen", "open this job again"), *ALWAYS)
        return (*self._answers(), *ALWAYS)

    def _answers(self) -> list[Deed]:
        found = answers_to(self.now, self.job.book, self.by_phone) if self.now is not None else []
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

    def entered(self, field: Input, text: str) -> None:
        """A reading was typed."""
        task = self.now
        if task is None or task.kind != "reading":
            return
        if not text.strip():
            field.blur()
            return
        self.job.answer_task(task, text, self._sure, self._source)
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
