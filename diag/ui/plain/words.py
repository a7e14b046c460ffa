"""A job in plain paragraphs: stops, ranking, what changed and why, entries and the car. Pure."""

from __future__ import annotations

from diag.casework.agenda import Task
from diag.casework.entries import CarFact
from diag.casework.replay import Comparison, Standing
from diag.inference import explain
from diag.presentation.changes import change_words
from diag.presentation.figures import chance_words, minutes, percent
from diag.presentation.ranking import ranking
from diag.presentation.reasons import leader_title, note_words, reason_words
from diag.presentation.stop_rules import act_words
from diag.presentation.wording import Words, entry_words
from diag.rulebook.hazards import StopRule
from diag.rulebook.steps import Check
from diag.safety.steps import find_step
from diag.support.text import one_line

LEAST_CHANCE = 0.01


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
    words = Words(now.book, now.case.unit_pressure)
    told = {e.field: e.text for e in now.case.effective() if isinstance(e, CarFact)}
    lines = [f"{words.field(name)} ({name}): {one_line(text, 200)}" for name, text in told.items() if text]
    lines = lines or ["Nothing is known of the car yet."]
    worth = explain.unknown_worth(now.model, now.evidence)
    if worth:
        lines.append(f"Worth finding out, the first most: {'; '.join(words.field(w.field) for w in worth[:4])}.")
    return [*lines, *now.car.contradictions()]
