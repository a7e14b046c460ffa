"""The card of a job at work, as rows. Pure: everything that was worked out comes in."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence

from diag.casework.agenda import Task
from diag.casework.entries import Case, Outcome, StepDone
from diag.casework.replay import Comparison, Standing
from diag.decision.proposal import Proposal
from diag.inference.titles import title_of
from diag.presentation.changes import change_words
from diag.presentation.figures import minutes
from diag.presentation.reasons import reason_words
from diag.rulebook.between import words_between
from diag.rulebook.model import RuleBook
from diag.rulebook.steps import Check, Remedy, Step
from diag.rulebook.typed import read_typed
from diag.safety.steps import find_step
from diag.support.errors import UserError
from diag.ui.tui.board import Board
from diag.ui.tui.card import Part, Row, keys, row
from diag.ui.tui.glyphs import Glyphs
from diag.ui.tui.rows_stops import care_row
from diag.ui.tui.wording import tool_words

NEXT_WORDS = {
    "check": "NEXT", "prove": "PROVE", "remedy": "REMEDY", "stop": "STOP", "hand on": "HAND ON", "close": "CLOSE",
}  # fmt: skip


# ------------------------------------------------------------------ the step


def next_rows(task: Task, book: RuleBook, proposal: Proposal | None, listed: bool = False) -> list[Row]:
    """What comes next: its title, what it makes ready for, and what it takes; ``listed`` questions need no count."""
    step = find_step(book, task.step)
    label = NEXT_WORDS[proposal.kind] if proposal is not None and proposal.step == task.step else "NEXT"
    if step is None:
        title = proposal.title if proposal is not None else "Nothing more to do"
        return [row(label, title, "strong")]
    rows = [row(label, [Part(step.title, "strong"), Part("" if listed else _part_words(task), "quiet")])]
    if proposal is not None and task.kind == "do" and task.step in proposal.setups:
        goal = find_step(book, proposal.step)
        rows.append(row("", f"This makes ready for: {goal.title if goal else proposal.title}"))
    if task.part == 1:
        rows.append(row("", "One question. Needs no tools." if _is_loose(task, proposal) else _cost_words(step, book)))
    return rows


def _is_loose(task: Task, proposal: Proposal | None) -> bool:
    """Whether one question of a check that only asks is put."""
    return proposal is not None and bool(proposal.ask) and proposal.step == task.step


def step_rows(
    task: Task,
    book: RuleBook,
    proposal: Proposal | None,
    aloud: bool,
    ticked: Collection[int] = (),
    told: bool = True,
    known: Collection[str] = (),
    at: int | None = None,
) -> list[Row]:
    """How it is done, with what care, and why this one now.

    Args:
        known: hazards an earlier step has told of.
        at: which line is being read aloud, from 0, and stands above the question; None shows all lines here.
    """
    step = find_step(book, task.step)
    if step is None:
        return _reason_rows(proposal, book)
    rows: list[Row] = []
    one_line_only = at is not None and aloud and bool(step.aloud) and not isinstance(step, Remedy)
    if not _is_loose(task, proposal) and not one_line_only:
        rows += how_rows(step, aloud, ticked)
    rows += care_row(step, book, known)
    if isinstance(step, Check):
        rows += [row("PASS", f"A sound car: {figure.words}.") for figure in step.passes]
    if isinstance(step, Remedy) and step.parts:
        rows.append(row("PARTS", ", ".join(step.parts)))
    rows.append(row("WHY", step.why))
    if proposal is not None and told:
        rows += _reason_rows(proposal, book)
    return rows


def _part_words(task: Task) -> str:
    return f"   question\xa0{task.part}\xa0of\xa0{task.parts}" if task.parts > 1 else ""


def _cost_words(step: Step, book: RuleBook) -> str:
    tools = tool_words(step.tools, book)
    risk = f"counts {step.risk_minutes:g} more for its risk" if step.risk_minutes else "no added risk"
    return f"{minutes(step.minutes).capitalize()}, {risk}. " + (f"Needs: {tools}." if tools else "Needs no tools.")


def how_rows(step: Step, aloud: bool, ticked: Collection[int] = ()) -> list[Row]:
    """What to do, or what to say."""
    lines = step.aloud if aloud and step.aloud else step.steps
    label = "SAY" if aloud and step.aloud else "DO"
    ticks = isinstance(step, Remedy)
    rows = []
    for at, line in enumerate(lines):
        if ticks:
            box = f"[{'x' if at in ticked else ' '}]"
            parts = [Part(box, "key", f"tick:{at}"), Part(f" {line}", "quiet" if at in ticked else "")]
            rows.append(row(label if at == 0 else "", parts, hang=4))
        else:
            quote = f'"{line}"' if label == "SAY" else line
            rows.append(row(label if at == 0 else "", f"{at + 1}. {quote}", hang=3))
    return rows


def say_rows(step: Step | None, at: int) -> list[Row]:
    """The line of a step that is being read aloud, and the one after it."""
    if step is None or not step.aloud or isinstance(step, Remedy):
        return []
    lines, at = step.aloud, min(at, len(step.aloud) - 1)
    rows = [row("SAY", [Part(f'"{lines[at]}"', "strong"), Part(f"   {at + 1}\xa0of\xa0{len(lines)}", "quiet")])]
    if at + 1 < len(lines):
        rows.append(row("", [Part(f'then: "{lines[at + 1]}"   ', "quiet"), *keys([("space", "said; the next line")])]))
    return rows


def _reason_rows(proposal: Proposal | None, book: RuleBook) -> list[Row]:
    if proposal is None:
        return []
    return [row("", sentence) for sentence in reason_words(proposal, book)]


# ------------------------------------------------------------------ the question


def ask_rows(
    task: Task,
    book: RuleBook,
    marked: str,
    steps_left: int = 0,
    roomy: bool = True,
    brief: bool = False,
    several: bool = False,
) -> list[Row]:
    """What is asked, and the keys that answer it.

    Args:
        roomy: every choice has a line of its own.
        brief: leave out what the words mean, where a list of questions needs the room; [?] has them.
        several: more values of this check are asked for, which may be typed in one line.
    """
    rows = [row("MARK", f"The next answer is marked: {marked}.", "mark")] if marked else []
    asked = _question(task, book, steps_left, roomy, several)
    means = book.signs[task.sign].means if task.kind == "sign" else ""
    return [*rows, *(item for item in asked if not brief or item != row("", means))]


def _question(task: Task, book: RuleBook, steps_left: int, roomy: bool, several: bool = False) -> list[Row]:
    if task.kind == "sign":
        sign = book.signs[task.sign]
        rows, means = [row("ASK", sign.ask, "strong")], row("", sign.means)
        if not sign.choices:
            between = ((str(at), words) for at, words in enumerate(words_between(sign, book), 1))
            answers = (("y", "yes"), ("n", "no"), ("u", "not known"), *between)
            return [*rows, row("", keys(answers)), means]
        choices = [(str(at), answer.words) for at, answer in enumerate(sign.choices, 1)]
        choices.append(("u", "not known"))
        if not roomy:
            return [*rows, row("", keys(choices, "  ")), means]
        return [*rows, *(row("", keys([choice]), hang=4) for choice in choices), means]
    if task.kind == "reading":
        kind, point = book.readings[task.reading], book.points[task.at]
        return [
            row("ASK", f"{kind.ask} ({point.title})", "strong"),
            row(
                "",
                "The value with any unit, or u (not known), skip, cannot; then Enter. "
                + ("Several in order: 45, 52. " if several else "")
                + "Esc: letters are keys.",
            ),
            row("", point.how_taken),
        ]
    if task.kind == "remedy":
        if steps_left:
            words = f"{steps_left} step{'s' * (steps_left != 1)} to go."
            return [row("", [Part(f"{words} "), *keys([("space", "tick the next"),
                                                      ("d", "all done")])])]  # fmt: skip
        return [row("", keys([("d", "carried out: go on to the proof")]))]
    if task.kind == "do":
        return [row("", keys([("d", "done"), ("c", "cannot be done"), ("l", "later")]))]
    return [row("", keys(_END_KEYS[task.kind]))]


def checklist_rows(done: Sequence[tuple[str, str]], ahead: Sequence[Task], book: RuleBook, rest_dry: bool) -> list[Row]:
    """A check of several questions as one list: what was answered, which is asked now, and what is still to come."""
    if not is_list(done, ahead):
        return []
    parts: list[Part] = []
    for title, said in done:
        parts += [Part(f"{title}: "), Part(said.replace(" ", "\xa0"), "strong"), Part("; ")]
    for at, task in enumerate(ahead):
        title = book.signs[task.sign].title if task.kind == "sign" else _reading_title(task, book)
        parts += [Part(title, "mark" if at == 0 else ""), Part("; " if at + 1 < len(ahead) else ".")]
    rest = [row("", keys([("r", "named and looked at: the rest is dry")]))] if rest_dry else []
    return [*rest, row("LIST", parts)]


def is_list(done: Sequence[tuple[str, str]], ahead: Sequence[Task]) -> bool:
    """Whether there are enough questions for a list."""
    return len(done) + len(ahead) > 2 and bool(ahead)


def _reading_title(task: Task, book: RuleBook) -> str:
    return f"{book.readings[task.reading].title}, {book.points[task.at].title}"


_END_KEYS = {
    "stop": (("f", "finish or hand on"), ("g", "hand-over note")),
    "hand on": (("f", "finish or hand on"), ("g", "hand-over note"), ("t", "tell more")),
    "close": (("f", "finish the job"), ("x", "the complaint is still there")),
}


def understood_rows(task: Task | None, text: str, book: RuleBook, unit: str) -> list[Row]:
    """How a value that is being typed is understood, or what is wrong with it."""
    if task is None or task.kind != "reading" or not text.strip():
        return []
    kind = book.readings[task.reading]
    try:
        amount = read_typed(text, kind, unit)
    except UserError as error:
        return [Row("READ", (Part(f"{error.what} {error.hint}".strip(), "care"),), "care")]
    return [row("READ", f"understood as {amount.understood}")]


# ------------------------------------------------------------------ ranking and change


def ranking_rows(board: Board | None, glyphs: Glyphs, most: int, book: RuleBook, wide: bool = False) -> list[Row]:
    """The leading causes: chance in words, number and bar, and where they came from."""
    if board is None:
        return [row("LIKELY", "weighing the causes ...", "quiet")]
    if wide:
        return _beside_rows(board, glyphs, most, book)
    rows: list[Row] = []
    for name, p in board.ranked[:most]:
        parts = cause_parts(name, p, board.before, book, glyphs, 10)
        rows.append(Row("LIKELY" if not rows else "", tuple(parts), clip=True))
    return rows


def _beside_rows(board: Board, glyphs: Glyphs, most: int, book: RuleBook) -> list[Row]:
    """The ranking beside the step, two lines a cause, for a panel without an edge."""
    rows = [Row("", (Part("LIKELY", "strong"), Part("  click one, or press w", "quiet")), clip=True)]
    for name, p in board.ranked[:most]:
        number, bar, trend, title = cause_parts(name, p, board.before, book, glyphs, 20)
        rows.append(Row("", (title,), clip=True))
        rows.append(Row("", (number, bar, trend), clip=True))
    return rows


def cause_parts(
    name: str, p: float, before: Mapping[str, float], book: RuleBook, glyphs: Glyphs, cells: int
) -> list[Part]:
    """One cause on one line."""
    return [
        Part(f"{_percent(p)} ", "strong"),
        Part(glyphs.bar(p, cells), "line"),
        Part(f" {_trend(p, before.get(name, p), glyphs):<12} ", "quiet"),
        Part(title_of(name, book), "", f"cause:{name}"),
    ]


def _percent(p: float) -> str:
    if p < 0.005:
        return "<1\xa0%".rjust(5)
    return (">99\xa0%" if p > 0.995 else f"{100 * p:.0f}\xa0%").rjust(5)


def _trend(p: float, before: float, glyphs: Glyphs) -> str:
    if abs(p - before) < 0.01:
        return ""
    return f"{glyphs.up if p > before else glyphs.down} from {_percent(before).strip()}"


def change_rows(change: Comparison | None, last: str, bands: str = "") -> list[Row]:
    """What the last answer did; after a reading also what was expected there."""
    if not last:
        return []
    told = change_words(change)[: 1 if bands else 2] if change is not None else ()
    words = " ".join(told) or "No cause moved by 1 % or more."
    return [row("SINCE", [Part(f"{last}. "), Part(f"{bands} " if bands else ""), Part(words, "quiet")])]


def problem_rows(standing: Standing, surprise: str, remarks: Sequence[str] = ()) -> list[Row]:
    """What the case's file had to say, contradictions of the car, unusable entries, and an answer that fits badly."""
    rows = [Row("LOOK", (Part(text, "care"),), "care") for text in dict.fromkeys((*remarks, *standing.problems))]
    if surprise:
        rows.append(Row("LOOK", (Part(surprise, "care"),), "care"))
    return rows


def proof_rows(case: Case, book: RuleBook) -> list[Row]:
    """A word once every check that proves the last remedy was done: the job may end here."""
    counted = case.effective()
    done = [(at, e.step) for at, e in enumerate(counted) if isinstance(e, StepDone)]
    at, name = next(((at, step) for at, step in reversed(done) if step in book.remedies), (0, ""))
    if not name or not set(book.remedies[name].proof) <= {step for later, step in done if later > at}:
        return []
    parts = [
        Part(f"Every check that proves '{book.remedies[name].title}' was done. "),
        *keys([("f", "all good: finish"), ("x", "the complaint is still there")]),
    ]
    return [row("PROOF", parts)]


def ended_rows(case: Case, book: RuleBook) -> list[Row]:
    """How a finished job ended."""
    ends = [e for e in case.effective() if isinstance(e, Outcome)]
    if not ends:
        return [row("ENDED", "This job is closed.", "strong"), row("", keys([("r", "open it again")]))]
    last = ends[-1]
    causes = "; ".join(title_of(name, book) for name in last.causes)
    proven = "The checks after the repair proved it." if last.proven else "It was not proven."
    rows = [row("ENDED", f"{last.result.capitalize()}{f': {causes}' if causes else ''}.", "strong")]
    rows.append(row("", proven if last.result == "cured" else last.text or "Nothing more was said."))
    return [*rows, row("", keys([("r", "open it again"), ("f", "summary and report")]))]
