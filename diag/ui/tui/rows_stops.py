"""Stop rules and cautions as rows. Pure."""

from __future__ import annotations

from collections.abc import Collection, Sequence

from diag.casework.replay import cautions_of
from diag.presentation.stop_rules import act_words
from diag.rulebook.hazards import StopRule
from diag.rulebook.model import RuleBook
from diag.rulebook.steps import Step
from diag.ui.tui.card import Part, Row, keys, row


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
