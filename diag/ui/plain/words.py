"""What the line mode says, as plain paragraphs. Pure: from a job's standing to lines."""

from __future__ import annotations

from collections.abc import Collection, Sequence

from diag.casework.agenda import Task, still_dry
from diag.casework.replay import Comparison, Standing
from diag.inference import explain
from diag.inference.expected_reading import Spread
from diag.inference.posterior import NOT_IN_BOOK
from diag.presentation.changes import change_words
from diag.presentation.figures import minutes, percent, title_of
from diag.presentation.ranking import ranking
from diag.presentation.reasons import leader_title, note_words, reason_words, sentences
from diag.presentation.report.sheet import chance_words
from diag.presentation.stop_rules import act_words
from diag.presentation.wording import EXITS, Words, entry_words
from diag.quantities import show
from diag.rulebook.hazards import StopRule
from diag.rulebook.model import RuleBook
from diag.rulebook.steps import Check, Remedy, Step
from diag.rulebook.typed import shown_as_read
from diag.safety.steps import find_step, questions_only
from diag.support.text import one_line

LEAST_CHANCE = 0.01


def numbered(texts: Sequence[str]) -> list[str]:
    """One option a line, numbered from 1."""
    return [f"{at}. {one_line(text, 400)}" for at, text in enumerate(texts, 1)]


# ------------------------------------------------------------------ steps and questions


def step_lines(step: Step, aloud: bool) -> list[str]:
    """What to do, or what to say when somebody else does it."""
    texts = step.aloud if aloud and step.aloud else step.steps
    head = "Read aloud:" if aloud and step.aloud else "Steps:"
    lines = [head, *numbered(texts)] if texts else []
    passes = step.passes if isinstance(step, Check) else ()
    return [*lines, *(f"A sound car: {one_line(figure.words, 200)}." for figure in passes)]


def tool_line(step: Step, book: RuleBook) -> list[str]:
    """The tools a step needs."""
    if not step.tools:
        return []
    return [f"Needs: {', '.join(one_line(book.tools.get(tool, tool), 100) for tool in step.tools)}."]


def caution_lines(step: Step, book: RuleBook, known: Collection[str]) -> list[str]:
    """The cautions of a step: in full the first time a danger comes up, by name afterwards."""
    fresh = [book.hazards[name] for name in step.hazards if name in book.hazards and name not in known]
    lines = [f"Caution, {one_line(h.title).lower()}: {' '.join(one_line(c, 400) for c in h.cautions)}" for h in fresh]
    old = [
        one_line(book.hazards[name].title).lower() for name in step.hazards if name in known and name in book.hazards
    ]
    if old:
        lines.append(f"Cautions as before: {', '.join(old)}. (cautions: hear them again)")
    return lines


def head_lines(now: Standing, task: Task, step: Step, chosen: str = "") -> list[str]:
    """What comes next and the first reason for it; ``chosen``: what the person wants to do in place of the proposed."""
    kinds = {"remedy": "Remedy", "do": "Do this", "sign": "Next check", "reading": "Next check"}
    head = kinds.get(task.kind, "Next")
    aim = chosen or now.proposal.toward or now.proposal.step
    first = task.kind == "do" and task.step in (*now.proposal.setups, *([task.step] if chosen else ()))
    first = first and task.step != (chosen or now.proposal.step)
    if now.proposal.kind == "prove" and task.step == now.proposal.step:
        head = "Proof of the repair"
    elif first:
        head = "First"
    taken = "" if is_loose(task, now) else f" About {minutes(step.minutes)}."
    lines = [f"{head}: {one_line(step.title)}.{taken}"]
    if task.step == now.proposal.step and now.proposal.reason:
        lines.append(f"Why: {_first_reason(now, step)} (why: all reasons)")
    elif step.why:
        lines.append(f"Why: {one_line(step.why, 600)}")
    target = find_step(now.book, aim)
    if first and target is not None:
        kind = "the remedy: " if isinstance(target, Remedy) else ""
        lines.append(f"It leads to {kind}{one_line(target.title)}. (why: the reasons)")
    if isinstance(step, Remedy) and step.parts:
        lines.append(f"Parts: {', '.join(one_line(part, 120) for part in step.parts)}.")
    return lines


def is_loose(task: Task, now: Standing) -> bool:
    """Whether this is one question out of a list that is weighed anew after every answer: no work, no minutes."""
    step = find_step(now.book, task.step)
    asked = task.step == now.proposal.step and bool(now.proposal.ask)
    return asked and isinstance(step, Check) and questions_only(step)


def _first_reason(now: Standing, step: Step) -> str:
    """What the check is for, and the answer that would tell most; of anything else the first reason.

    The ranking was read out just before, so it is not read again.
    """
    told = now.proposal.reason
    first = one_line(reason_words(now.proposal, now.book)[0], 600)
    if now.proposal.kind != "check" or not isinstance(step, Check) or step.look_over or not step.why:
        return first
    telling = (r for r in told if r.move is not None and NOT_IN_BOOK not in r.move.leader.causes)
    said = [sentences(r, now.book)[0] for r in telling][:1]
    return one_line(" ".join([step.why, *said]), 600)


def question_lines(task: Task, book: RuleBook, counted: bool = False) -> list[str]:
    """The question itself with the answers it takes; ``counted`` says which of how many it is."""
    count = f"Question {task.part} of {task.parts}: " if task.parts > 1 and counted else "Question: "
    if task.kind == "sign":
        sign = book.signs[task.sign]
        lines = [f"{count}{one_line(sign.ask, 400)}"]
        if sign.choices:
            lines += numbered([*(choice.words for choice in sign.choices), "not known"])
        return lines
    kind, point = book.readings[task.reading], book.points[task.at]
    return [f"{count}{one_line(kind.ask, 300)}", f"Taken like this: {one_line(point.title)}."]


def spared_lines(task: Task, now: Standing) -> list[str]:
    """After our own deed at one joint: why only some places of the look-over are asked about."""
    check = now.book.checks.get(task.step)
    if check is None or not check.look_over or not still_dry(now.situation):
        return []
    return ["Only the places are asked about that were not just seen dry."]


def explained(task: Task, now: Standing) -> list[str]:
    """What the question means, for people who never heard the term."""
    book = now.book
    if task.kind == "sign":
        sign = book.signs[task.sign]
        return [one_line(sign.means or sign.ask, 1500), "Not known is a good answer: say u."]
    if task.kind == "reading":
        kind, point = book.readings[task.reading], book.points[task.at]
        unit = now.case.unit_pressure if kind.quantity == "pressure" else None
        limits = f"{show(kind.low, kind.quantity, unit)} to {show(kind.high, kind.quantity, unit)}"
        assumed = f" A number alone is taken as {now.case.unit_pressure}." if kind.quantity == "pressure" else ""
        return [
            one_line(point.how_taken or point.title, 1500),
            f"Say a value with any unit, a span such as 38 to 44, or a limit such as over 100, between {limits}."
            f"{assumed}",
        ]
    step = find_step(book, task.step)
    return [one_line(step.why, 1500)] if step is not None and step.why else ["Say done when it is done."]


def prompt_of(task: Task, book: RuleBook) -> str:
    """The short reminder before the answer."""
    if task.kind == "sign":
        answers = "number or words" if book.signs[task.sign].choices else "yes, no, u (not known)"
        return f"{answers}; skip, why, help"
    return {
        "reading": "value, u (not known); skip, why, help",
        "do": "done, cannot, later; why, help",
        "remedy": "done, cannot, later; others, help",
        "stop": "tell, undo, hand over, finish, help",
        "hand on": "others, tell, hand over, finish, help",
        "close": "finish, tell, others, help",
    }[task.kind]


# ------------------------------------------------------------------ stops, ranking, changes


def stop_lines(rule: StopRule, finding: bool = True) -> list[str]:
    """A stop rule in words that cannot be missed."""
    lines = [f"{'STOP' if finding else 'Not yet'}: {one_line(rule.title)}. {one_line(rule.why, 600)}"]
    lines += [f"! {one_line(text, 300)}" for text in rule.do_now]
    lines.append(f"Now: {act_words(rule.forbids)}.")
    lines.append(f"Until: {one_line(rule.until, 600)}")
    return lines


def ranking_lines(now: Standing, most: int = 5, before: Standing | None = None) -> list[str]:
    """The likeliest causes with chance and trend."""
    old = ranking(before) if before is not None else {}
    lines = []
    for at, (name, found) in enumerate(list(ranking(now).items())[:most], 1):
        if found.chance < LEAST_CHANCE and at > 1:
            break
        trend, was = "", old[name].chance if name in old else 0.0
        if before is not None and abs(found.chance - was) >= LEAST_CHANCE:
            trend = f", {'up' if found.chance > was else 'down'} from {percent(was)}"
        title = one_line(leader_title(found, now.book))
        lines.append(f"{at}. {title}: {percent(found.chance)}, {chance_words(found.chance)}{trend}.")
    return lines


def change_lines(change: Comparison, most: int = 3) -> list[str]:
    """What changed between two standings."""
    if change.nothing:
        return ["The ranking did not change."]
    return list(change_words(change)[: most + 3])


def why_lines(now: Standing, task: Task, begun: bool = False) -> list[str]:
    """Every reason of the proposal, with its worth; of a step chosen instead, what it is for and what is proposed.

    ``begun``: the step is a check in progress, beside which nothing else is proposed.
    """
    proposal = now.proposal
    own = find_step(now.book, task.step)
    if own is not None and task.step not in (proposal.step, *proposal.setups):
        lines = [f"{one_line(own.title)}: {one_line(own.why, 600)}".rstrip(": ")]
        other = next((a for a in proposal.alternatives if a.step == task.step), None)
        if other is not None and other.note:
            lines.append(one_line(note_words(other), 300))
        if proposal.step and not begun:
            lines.append(
                f"Proposed otherwise: {one_line(proposal.title)}. {one_line(reason_words(proposal, now.book)[0], 600)}"
            )
        return lines
    lines = [f"{one_line(proposal.title)}:", *(one_line(text, 600) for text in reason_words(proposal, now.book))]
    if own is not None and task.step in proposal.setups and task.step != proposal.step:
        lines[:1] = [f"{one_line(own.title)}: {one_line(own.why, 600)}".rstrip(": "), f"It leads to {lines[0]}"]
    if proposal.worth >= 0.5:
        lines.append(f"It should save about {minutes(proposal.worth)} of later work on average.")
    step = find_step(now.book, proposal.step)
    if isinstance(step, Check) and step.why:
        lines.append(one_line(step.why, 600))
    return lines


def other_lines(now: Standing, most: int = 8) -> tuple[list[str], list[str]]:
    """The other steps and their ids: what they would tell, what they take, and what the wall says."""
    lines: list[str] = []
    ids: list[str] = []
    shut = ("", "")  # the reason told last, which is not told again for each step it keeps shut
    for other in sorted(now.proposal.alternatives, key=lambda o: not o.verdict.allowed):
        if other.step == now.proposal.step or len(ids) >= most:
            continue
        ids.append(other.step)
        words = f"{len(ids)}. {one_line(other.title)}, about {minutes(other.minutes)}"
        if other.kind == "remedy":
            words += ", a remedy"
        if not other.verdict.allowed:
            reason = (one_line(other.verdict.why, 400), one_line(other.verdict.until, 300))
            if reason != shut:
                shut = reason
                words += f". Not now: {reason[0]} Until: {reason[1]}"
            else:
                words += ". Not now, for the same reason"
        elif other.note:
            words += f". {one_line(note_words(other), 300)}"
        lines.append(words.rstrip(".") + ".")
    return lines, ids


# ------------------------------------------------------------------ one cause, looked at closely


def cause_lines(cause_id: str, now: Standing) -> list[str]:
    """One cause: what it is, the reasons for and against, what it predicts beside what was read, what cures it."""
    book = now.book
    chance = dict(now.belief.ranked()).get(cause_id, 0.0)
    if cause_id in EXITS:
        return [f"{EXITS[cause_id][0]}: {percent(chance)}.", EXITS[cause_id][1]]
    cause = book.causes[cause_id]
    lines = [f"{one_line(cause.title)}: {percent(chance)}, {chance_words(chance)}.", one_line(cause.in_words, 2000)]
    lines += _reasons(cause_id, now)
    lines += _predictions(cause_id, now)
    if cause.mistaken_for:
        names = ", ".join(title_of(other, book) for other in cause.mistaken_for)
        lines.append(f"Easily taken for: {names}. {one_line(cause.tell_apart, 600)}".rstrip())
    if cause.confirmed_by:
        titles = [one_line(step.title) for name in cause.confirmed_by if (step := find_step(book, name)) is not None]
        lines.append(f"Confirmed by: {'; '.join(titles)}.")
    remedies = [one_line(book.remedies[name].title) for name in cause.remedies if name in book.remedies]
    if remedies:
        lines.append(f"Cured by: {'; or: '.join(remedies)}.")
    if cause.source:
        lines.append(f"From: {one_line(cause.source, 400)}")
    return lines


def _reasons(cause_id: str, now: Standing) -> list[str]:
    words = Words(now.book, now.case.unit_pressure)
    entries = {entry.number: entry_words(entry, words)[1] for entry in now.case.effective()}
    found = [(w.log10.get(cause_id, 0.0), w.entry) for w in explain.weights(now.model, now.evidence)]
    said = sorted((pair for pair in found if abs(pair[0]) >= 0.05), key=lambda pair: (-abs(pair[0]), pair[1]))
    lines = []
    for value, entry in said[:8]:
        side = "For it" if value > 0 else "Against it"
        lines.append(f"{side}, {_times(value)}: {entries.get(entry, '')} (entry {entry})")
    return lines or ["Nothing told so far speaks for or against it."]


def _times(log10: float) -> str:
    factor = 10.0 ** abs(log10)
    return f"{factor:.1f} times" if factor < 10 else f"{min(factor, 9999):.0f} times"


def _predictions(cause_id: str, now: Standing) -> list[str]:
    """Predicted against read, for causes that the physics can see."""
    if not now.book.causes[cause_id].is_physical or not now.evidence.readings:
        return []
    return [_view_line(view, now, {"with this cause": cause_id}) for view in _views(now, [cause_id])]


def reading_lines(now: Standing, most: int = 2) -> list[str]:
    """Every value read, beside what a sound car and the leading causes that the physics sees would show."""
    ranked = [c for c, p in now.belief.ranked() if p >= LEAST_CHANCE and c in now.book.causes]
    leading = [c for c in ranked if now.book.causes[c].is_physical][:most]
    named = {f"with {title_of(c, now.book).lower()}": c for c in leading}
    return [_view_line(view, now, named) for view in _views(now, leading)] or ["Nothing has been read yet."]


def _views(now: Standing, causes: list[str]) -> list[explain.ReadingView]:
    return explain.reading_views(now.model, now.evidence, causes) if now.model.physics is not None else []


def _view_line(view: explain.ReadingView, now: Standing, named: dict[str, str]) -> str:
    kind = now.book.readings[view.reading]
    unit = now.case.unit_pressure if kind.quantity == "pressure" else None

    def span(spread: Spread) -> str:
        return f"{shown_as_read(spread.p05, kind, unit)} to {shown_as_read(spread.p95, kind, unit)}"

    parts = [f"{one_line(kind.title)}, {one_line(now.book.points[view.point].title)}: read "
             f"{shown_as_read(view.value, kind, unit)}", f"with nothing wrong {span(view.healthy)}"]  # fmt: skip
    return "; ".join([*parts, *(f"{words} {span(view.causes[cause])}" for words, cause in named.items())]) + "."


# ------------------------------------------------------------------ entries and the car


def entry_lines(now: Standing) -> list[str]:
    """Every entry that counts, numbered as in the file."""
    words = Words(now.book, now.case.unit_pressure)
    lines = []
    for entry in now.case.effective():
        kind, text = entry_words(entry, words)
        lines.append(f"{entry.number}. {entry.at[11:16]} {one_line(entry.who, 40)}, {kind}: {text}")
    return lines or ["Nothing has been told yet."]


def car_lines(now: Standing) -> list[str]:
    """What is known of the car, as typed, and what would be worth finding out."""
    from diag.casework.entries import CarFact

    words = Words(now.book, now.case.unit_pressure)
    told = {e.field: e.text for e in now.case.effective() if isinstance(e, CarFact)}
    lines = [f"{words.field(name)} ({name}): {one_line(text, 200)}" for name, text in told.items() if text]
    lines = lines or ["Nothing is known of the car yet."]
    worth = explain.unknown_worth(now.model, now.evidence)
    if worth:
        lines.append(f"Worth finding out, the first most: {'; '.join(words.field(w.field) for w in worth[:4])}.")
    return [*lines, *now.car.contradictions()]
