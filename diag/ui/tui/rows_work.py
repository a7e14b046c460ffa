"""The card of a job at work, as rows. Pure: everything that was worked out comes in."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence

from diag.casework.agenda import Task
from diag.casework.entries import Case, Outcome, StepDone
from diag.casework.replay import Comparison, Standing, cautions_of
from diag.decision.proposal import Proposal
from diag.presentation.changes import change_words
from diag.presentation.reasons import reason_words
from diag.presentation.stop_rules import act_words
from diag.quantities import parse
from diag.rulebook.model import NOT_KNOWN, Check, Remedy, RuleBook, Step, StopRule
from diag.safety.steps import find_step
from diag.support.errors import UserError
from diag.ui.tui.board import Board, cause_title
from diag.ui.tui.card import Part, Row, keys, row
from diag.ui.tui.glyphs import Glyphs
from diag.ui.tui.wording import minutes, tool_words

NEXT_WORDS = {
    "check": "NEXT", "prove": "PROVE", "remedy": "REMEDY", "stop": "STOP", "hand on": "HAND ON", "close": "CLOSE",
}  # fmt: skip


# ------------------------------------------------------------------ stops and cautions


def stop_rows(stops: Sequence[StopRule], full: bool = False) -> list[Row]:
    """What must not be done now; the first line of each rule is one solid block across the screen."""
    rows: list[Row] = []
    for rule in stops:
        rows.append(Row("STOP", (Part(rule.title, "alarm"),), "alarm", 0, "alarm"))
        rows.append(row("", [Part("Now ", "strong"), Part(act_words(rule.forbids) + ". "),
                             Part("Until: ", "strong"), Part(rule.until)]))  # fmt: skip
        if full:
            rows.append(row("WHY", rule.why))
            rows += [
                row("DO NOW" if at == 0 else "", f"{at + 1}. {what}", hang=3) for at, what in enumerate(rule.do_now)
            ]
    return rows


def is_loud(rule: StopRule) -> bool:
    """Rules that interrupt: something was told or read. "Nobody has looked yet" and who is there only stand on top."""
    return any(fact == "wet:wet" or fact.startswith(("sign:", "reading:")) for fact in rule.when)


def stop_panel_rows(stops: Sequence[StopRule]) -> list[Row]:
    """The rules on top of a job: those that interrupt with what and until, the standing ones with what only."""
    loud = sorted((rule for rule in stops if is_loud(rule)), key=lambda rule: -len(rule.forbids))
    standing = [rule for rule in stops if not is_loud(rule)]
    rows = stop_rows(loud)
    rows += [Row("STOP", (Part(rule.title, "alarm"),), "alarm", 0, "alarm") for rule in standing]
    left = {act for rule in standing for act in rule.forbids} - {act for rule in loud for act in rule.forbids}
    if left:
        until = f" Until: {standing[0].until}" if len(standing) == 1 and not loud else ""
        more = keys([("!", "why, and until when", "cautions")])
        rows.append(row("", [Part("Now ", "strong"), Part(f"{act_words(left)}.{until} "), *more]))
    return rows


def caution_rows(steps: Sequence[str], book: RuleBook, full: bool = True) -> list[Row]:
    """The cautions of some steps, before anything else is said about them."""
    rows: list[Row] = []
    for hazard in cautions_of(steps, book):
        said = hazard.cautions if full else hazard.cautions[:1]
        parts = [Part(f"{hazard.title}: ", "care"), Part(" ".join(said))]
        rows.append(Row("CARE" if not rows else "", tuple(parts), "care"))
    return rows


# ------------------------------------------------------------------ the step


def step_rows(
    task: Task, book: RuleBook, proposal: Proposal | None, aloud: bool, ticked: Collection[int] = (), told: bool = True
) -> list[Row]:
    """What to do next: title, cost, cautions, steps, and why this one now."""
    step = find_step(book, task.step)
    label = NEXT_WORDS[proposal.kind] if proposal is not None and proposal.step == task.step else "NEXT"
    if step is None:
        title = proposal.title if proposal is not None else "Nothing more to do"
        return [row(label, title, "strong"), *_reason_rows(proposal, book)]
    rows = [row(label, [Part(step.title, "strong"), Part(_part_words(task), "quiet")])]
    if proposal is not None and task.kind == "do" and task.step in proposal.setups:
        goal = find_step(book, proposal.step)
        rows.append(row("", f"This makes ready for: {goal.title if goal else proposal.title}"))
    loose = proposal is not None and bool(proposal.ask) and proposal.step == task.step
    rows.append(row("", "One question. Needs no tools." if loose else _cost_words(step, book)))
    rows += caution_rows([step.id], book, full=task.part == 1)
    if not loose:  # the steps of such a check only list what its questions ask
        rows += _how_rows(step, aloud, ticked)
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


def _how_rows(step: Step, aloud: bool, ticked: Collection[int]) -> list[Row]:
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


def _reason_rows(proposal: Proposal | None, book: RuleBook) -> list[Row]:
    if proposal is None:
        return []
    return [row("", sentence) for sentence in reason_words(proposal, book)]


# ------------------------------------------------------------------ the question


def ask_rows(task: Task, book: RuleBook, marked: str, steps_left: int = 0, roomy: bool = True) -> list[Row]:
    """What is asked, and the keys that answer it; ``roomy`` gives every choice a line of its own."""
    rows = [row("MARK", f"The next answer is marked: {marked}.", "mark")] if marked else []
    return [*rows, *_question(task, book, steps_left, roomy)]


def _question(task: Task, book: RuleBook, steps_left: int, roomy: bool) -> list[Row]:
    if task.kind == "sign":
        sign = book.signs[task.sign]
        rows, means = [row("ASK", sign.ask, "strong")], row("", sign.means)
        if not sign.choices:
            answers = (("y", "yes", "answer:yes"), ("n", "no", "answer:no"), ("u", "not known", f"answer:{NOT_KNOWN}"))
            return [*rows, row("", keys(answers)), means]
        choices = [(str(at), answer.words, f"answer:{answer.id}") for at, answer in enumerate(sign.choices, 1)]
        choices.append(("u", "not known", f"answer:{NOT_KNOWN}"))
        if not roomy:
            return [*rows, row("", keys(choices, "  ")), means]
        return [*rows, *(row("", keys([choice]), hang=4) for choice in choices), means]
    if task.kind == "reading":
        kind, point = book.readings[task.reading], book.points[task.at]
        return [
            row("ASK", f"{kind.ask} ({point.title})", "strong"),
            row("", [Part("Type the value and Enter, with any unit. "), *keys([("u", "not known", "answer:?")])]),
            row("", point.how_taken),
        ]
    if task.kind == "remedy":
        if steps_left:
            words = f"{steps_left} step{'s' * (steps_left != 1)} to go."
            return [row("", [Part(f"{words} "), *keys([("space", "tick the next", "tick_next"),
                                                      ("d", "all done", "done")])])]  # fmt: skip
        return [row("", keys([("d", "carried out: go on to the proof", "done")]))]
    if task.kind == "do":
        return [row("", keys([("d", "done", "done"), ("c", "cannot be done", "cannot"), ("l", "later", "later")]))]
    return [row("", keys(_END_KEYS[task.kind]))]


_END_KEYS = {
    "stop": (("f", "finish or hand on", "finish"), ("g", "hand-over note", "hand_over")),
    "hand on": (("f", "finish or hand on", "finish"), ("g", "hand-over note", "hand_over"), ("t", "tell more", "told")),
    "close": (("f", "finish the job", "finish"), ("x", "the complaint is still there", "not_cured")),
}


def understood_rows(task: Task | None, text: str, book: RuleBook, unit: str) -> list[Row]:
    """How a value that is being typed is understood, or what is wrong with it."""
    if task is None or task.kind != "reading" or not text.strip():
        return []
    kind = book.readings[task.reading]
    try:
        amount = parse(text, kind.quantity, unit if kind.quantity == "pressure" else "", kind.title)
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
        Part(cause_title(name, book), "", f"cause:{name}"),
    ]


def _percent(p: float) -> str:
    if p < 0.005:
        return "<1\xa0%".rjust(5)
    return (">99\xa0%" if p > 0.995 else f"{100 * p:.0f}\xa0%").rjust(5)


def _trend(p: float, before: float, glyphs: Glyphs) -> str:
    if abs(p - before) < 0.01:
        return ""
    return f"{glyphs.up if p > before else glyphs.down} from {_percent(before).strip()}"


def change_rows(change: Comparison | None, last: str) -> list[Row]:
    """What the last answer did."""
    if not last:
        return []
    told = change_words(change)[:2] if change is not None else ()
    words = " ".join(told) or "No cause moved by 1 % or more."
    return [row("SINCE", [Part(f"{last}. "), Part(words, "quiet")])]


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
        *keys([("f", "all good: finish", "finish"), ("x", "the complaint is still there", "not_cured")]),
    ]
    return [row("PROOF", parts)]


def ended_rows(case: Case, book: RuleBook) -> list[Row]:
    """How a finished job ended."""
    ends = [e for e in case.effective() if isinstance(e, Outcome)]
    if not ends:
        return [row("ENDED", "This job is closed.", "strong"), row("", keys([("r", "open it again", "reopen")]))]
    last = ends[-1]
    causes = "; ".join(cause_title(name, book) for name in last.causes)
    proven = "The checks after the repair proved it." if last.proven else "It was not proven."
    rows = [row("ENDED", f"{last.result.capitalize()}{f': {causes}' if causes else ''}.", "strong")]
    rows.append(row("", proven if last.result == "cured" else last.text or "Nothing more was said."))
    return [*rows, row("", keys([("r", "open it again", "reopen"), ("f", "summary and report", "finish")]))]
