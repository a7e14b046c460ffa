"""A step in plain paragraphs: what to do, with what, how dangerous, its question with the answers it takes. Pure."""

from __future__ import annotations

from collections.abc import Collection

from diag.casework.agenda import Task, still_dry
from diag.casework.replay import Standing
from diag.inference.posterior import NOT_IN_BOOK
from diag.presentation.figures import minutes
from diag.presentation.reasons import reason_words, sentences
from diag.quantities import show
from diag.rulebook.model import RuleBook
from diag.rulebook.steps import Check, Remedy, Step
from diag.safety.steps import find_step, questions_only
from diag.support.text import numbered, one_line


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
