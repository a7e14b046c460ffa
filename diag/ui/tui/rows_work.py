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
from diag.rulebook.model import Check, Remedy, RuleBook, Step, StopRule
from diag.rulebook.typed import read_typed
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
        more = keys([("!", "why, and until when")])
        rows.append(row("", [Part("Now ", "strong"), Part(f"{act_words(left)}.{until} "), *more]))
    return rows


def caution_rows(steps: Sequence[str], book: RuleBook) -> list[Row]:
    """The cautions of some steps, whole."""
    rows: list[Row] = []
    for hazard in cautions_of(steps, book):
        parts = [Part(f"{hazard.title}: ", "care"), Part(" ".join(hazard.cautions))]
        rows.append(Row("CARE" if not rows else "", tuple(parts), "care"))
    return rows


def care_row(step: Step, book: RuleBook, known: Collection[str] = ()) -> list[Row]:
    """The cautions of a step in one paragraph: what is new here with its first sentence, the others by name."""
    found = cautions_of([step.id], book)
    fresh = [hazard for hazard in found if hazard.id not in known]
    parts: list[Part] = []
    for hazard in fresh:
        parts += [Part(f"{hazard.title}: ", "care"), Part(f"{hazard.cautions[0]} " if hazard.cautions else "")]
    old = [hazard.title for hazard in found if hazard.id in known]
    if old:
        parts.append(Part(f"{'Also, as' if fresh else 'As'} before: {', '.join(old).lower()}. "))
    return [Row("CARE", (*parts, *keys([("!", "in full")])), "care")] if parts else []


# ------------------------------------------------------------------ the step


def next_rows(task: Task, book: RuleBook, proposal: Proposal | None) -> list[Row]:
    """What comes next: its title, what it makes ready for, and what it takes."""
    step = find_step(book, task.step)
    label = NEXT_WORDS[proposal.kind] if proposal is not None and proposal.step == task.step else "NEXT"
    if step is None:
        title = proposal.title if proposal is not None else "Nothing more to do"
        return [row(label, title, "strong")]
    rows = [row(label, [Part(step.title, "strong"), Part(_part_words(task), "quiet")])]
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
) -> list[Row]:
    """How it is done, with what care, and why this one now; ``known`` are hazards an earlier step has told of."""
    step = find_step(book, task.step)
    if step is None:
        return _reason_rows(proposal, book)
    rows: list[Row] = []
    if not _is_loose(task, proposal):  # the steps of such a check only list what its questions ask
        rows += _how_rows(step, aloud, ticked)
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


def ask_rows(
    task: Task, book: RuleBook, marked: str, steps_left: int = 0, roomy: bool = True, brief: bool = False
) -> list[Row]:
    """What is asked, and the keys that answer it.

    Args:
        roomy: every choice has a line of its own.
        brief: leave out what the words mean, where a list of questions needs the room; [?] has them.
    """
    rows = [row("MARK", f"The next answer is marked: {marked}.", "mark")] if marked else []
    asked = _question(task, book, steps_left, roomy)
    means = book.signs[task.sign].means if task.kind == "sign" else ""
    return [*rows, *(item for item in asked if not brief or item != row("", means))]


def _question(task: Task, book: RuleBook, steps_left: int, roomy: bool) -> list[Row]:
    if task.kind == "sign":
        sign = book.signs[task.sign]
        rows, means = [row("ASK", sign.ask, "strong")], row("", sign.means)
        if not sign.choices:
            answers = (("y", "yes"), ("n", "no"), ("u", "not known"))
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
                "Type the value with any unit, or u (not known), skip, cannot; then Enter. Esc: letters are keys.",
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
    rows = [row("LIST", parts)]
    if rest_dry:
        rows.append(row("", keys([("r", "each place was named and looked at, and all the rest is dry")])))
    return rows


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
        *keys([("f", "all good: finish"), ("x", "the complaint is still there")]),
    ]
    return [row("PROOF", parts)]


def ended_rows(case: Case, book: RuleBook) -> list[Row]:
    """How a finished job ended."""
    ends = [e for e in case.effective() if isinstance(e, Outcome)]
    if not ends:
        return [row("ENDED", "This job is closed.", "strong"), row("", keys([("r", "open it again")]))]
    last = ends[-1]
    causes = "; ".join(cause_title(name, book) for name in last.causes)
    proven = "The checks after the repair proved it." if last.proven else "It was not proven."
    rows = [row("ENDED", f"{last.result.capitalize()}{f': {causes}' if causes else ''}.", "strong")]
    rows.append(row("", proven if last.result == "cured" else last.text or "Nothing more was said."))
    return [*rows, row("", keys([("r", "open it again"), ("f", "summary and report")]))]
