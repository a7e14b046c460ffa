"""What a job's screen shows, panel by panel. Pure: from the screen's state to rows."""

from __future__ import annotations

from diag.presentation.last_words import short_words, trouble_words
from diag.rulebook.model import RuleBook
from diag.safety.steps import find_step
from diag.session.heard import last_said
from diag.support.text import one_line
from diag.ui.tui.card import Part, Row, row
from diag.ui.tui.rows_ahead import ahead_rows, done_keys, said_rows
from diag.ui.tui.rows_work import (
    ask_rows,
    checklist_rows,
    ended_rows,
    is_list,
    next_rows,
    problem_rows,
    proof_rows,
    say_rows,
    step_rows,
)
from diag.ui.tui.screens.work_state import WorkState
from diag.ui.tui.wording import marks


def hazards_of(step: str, book: RuleBook) -> set[str]:
    """The dangers of a step."""
    found = find_step(book, step)
    return set(found.hazards) if found is not None else set()


def head_rows(state: WorkState) -> list[Row]:
    """Title, mode, minutes, disk."""
    job = state.job
    entries = len(job.case.effective())
    facts = [state.mode, f"{job.minutes:.0f} min", "1 entry" if entries == 1 else f"{entries} entries"]
    facts += ["finished"] if state.closed else []
    facts.append(short_words(job))
    title = Part(f" {one_line(job.case.title, 44)} ", "mark")
    rows = [row("", [title, Part("  " + "  ".join(facts), "mark")], fill="mark")]
    trouble = trouble_words(job)
    if trouble:
        rows.append(row("", f" {trouble}", "alarm", fill="alarm"))
    if job.notice:
        rows.append(row("", f" {job.notice}", "care"))
    return rows


def step_panels(state: WorkState) -> tuple[list[Row], list[Row]]:
    """What comes next with all that stands above it, and how it is done."""
    case, book = state.job.case, state.job.book
    above = [*problem_rows(state.job.standing, state.surprise, state.job.remarks), *proof_rows(case, book)]
    if state.closed:
        return [*above, *ended_rows(case, book)], []
    if state.now is None:
        return [*above, row("NEXT", "Weighing every check against what it would tell ...", "quiet")], []
    board = state.board
    shown = board.standing.proposal if board is not None and state.now in board.tasks else None
    heads = [*above, *next_rows(state.now, book, shown, is_list(state.answered(), state.questions))]
    if state.aloud:
        heads += [*said_rows(last_said(case)), *say_rows(find_step(book, state.now.step), state.said)]
    known, at = state.told_hazards, state.said if state.aloud else None
    rows = step_rows(state.now, book, shown, state.aloud, state.ticked, known=known, at=at)
    return heads, [*rows, *ahead_rows(state.following, book, known | hazards_of(state.now.step, book))]


def asking_rows(state: WorkState, roomy: bool, rest: bool) -> list[Row]:
    """The question with its keys; ``rest``: one key tells the rest of a list dry."""
    if state.now is None or state.closed:
        return []
    done, ahead, book = state.answered(), state.questions, state.job.book
    brief = is_list(done, ahead) and not roomy
    several = sum(task.kind == "reading" for task in ahead) > 1
    marked = marks(state.unsure, state.heard)
    rows = [*ask_rows(state.now, book, marked, state.steps_left, roomy, brief, several)]
    rows += [row("", done_keys(state.following))] if state.following else []
    return [*rows, *checklist_rows(done, ahead, book, rest)]
