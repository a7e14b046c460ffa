"""A job as plain text: a message, a summary to read back before closing, a note for whoever takes over."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence
from typing import Literal

from diag.presentation.drawing.letters import letters
from diag.presentation.figures import chance_words, percent
from diag.presentation.report.sheet import Line, LogLine, Sheet, Work
from diag.support.text import clean, one_line

Audience = Literal["customer", "workshop"]
WIDTH = 76
FUEL_SMELT = Line(  # common practice, no source
    "If you smell fuel or see it drip",
    "Switch off, do not start and do not drive. Keep flames, smoking and switches away, open doors, and call for help.",
)
_DONE_BY = "The workshop's copy holds the steps."
_DO_BY = "Work on a fuel system is for trained people; the workshop's copy holds the steps."


def text_report(sheet: Sheet, audience: Audience = "customer") -> str:
    """A message of a page or less for the customer; the whole job for the workshop."""
    out = _Lines()
    out.head(sheet.title or sheet.id)
    out.say(f"Job {sheet.id}, opened {sheet.opened[:10]}, {sheet.status}.")
    out.stops(sheet)
    out.items("The car", [f"{line.label}: {line.text}" for line in sheet.car])
    out.items("What was told", sheet.complaint)
    out.items("What was found", found_words(sheet, audience))
    if audience == "workshop":
        out.items("Ranking", [f"{percent(r.chance):>9}  {r.title}" for r in sheet.ranking if r.chance >= 0.005])
        out.items("Remark", [sheet.surprise] if sheet.surprise else [])
        if sheet.drawing is not None:
            out.picture("Where it is", letters(sheet.drawing), sheet.drawing.key)
    for work in sheet.remedies:
        out.work(work, audience)
    out.items("Proof", [proof_words(work) for work in sheet.proof])
    out.items("Outcome", outcome_words(sheet))
    out.items("Take care", [f"{line.label}: {line.text}" for line in cautions(sheet, audience)])
    if audience == "workshop":
        for one in sheet.data_logs:
            out.items(f"Data log {one.name}", one.lines)
        out.items("Next", sheet.advice)
        out.items("Entries", [log_words(line) for line in sheet.log])
        out.items("Problems", sheet.problems)
        out.say(f"Rule book {sheet.book}.")
    return out.text()


def closing_summary(sheet: Sheet) -> str:
    """What to read back to the other person before the job is closed: short sentences, spoken English."""
    out = _Lines()
    out.head("To read back before closing")
    if sheet.complaint:
        out.say(f"You called about this: {', '.join(part.lower() for part in sheet.complaint)}.")
    causes = [r.title for r in sheet.outcome_causes]
    if sheet.outcome == "cured" and causes:
        whole = sheet.proven and all(work.done for work in sheet.proof)
        sure = "and the checks afterwards proved it" if whole else "but it has not been proven in full yet"
        out.say(f"We found: {', '.join(causes)}. It was put right, {sure}.")
    elif sheet.outcome:
        out.say(f"The job ends as: {sheet.outcome}.")
    elif sheet.leader:
        out.say(f"The likeliest cause is: {sheet.leader.title} ({chance_words(sheet.leader.chance)}).")
    for work in sheet.remedies:
        out.say(f"{work.stage}: {work.title}.")
    open_proof = [work.title for work in sheet.proof if not work.done]
    if open_proof:
        out.say(f"Not yet checked: {'; '.join(open_proof)}.")
    for stop in sheet.stops:
        out.say(f"Please do not forget: {stop.title}. {' '.join(stop.do_now)} Until: {stop.until}")
    out.say("Is that right? Is there anything I have not asked?")
    return out.text()


def hand_over_note(sheet: Sheet) -> str:
    """What the next person must know before touching the car."""
    out = _Lines()
    out.head(f"Hand-over: {sheet.title or sheet.id}")
    out.say(f"Job {sheet.id}, {sheet.status}, last entry {sheet.changed.replace('T', ' ')[:16]}.")
    out.stops(sheet)
    out.items("How the car stands", [f"{line.label}: {line.text}" for line in sheet.setting])
    out.say("A dry look by another person no longer counts: look for fuel yourself before the pump runs.")
    out.items("What was told", sheet.complaint)
    out.items("What is likely", [f"{percent(r.chance)} {r.title}" for r in sheet.ranking[:4] if r.chance >= 0.05])
    out.items("Done", [work.title for work in sheet.remedies if work.done])
    out.items("Next", sheet.advice)
    out.items("Not yet proven", [work.title for work in sheet.proof if not work.done])
    refused = [log_words(line) for line in sheet.log if line.kind == "not done" and not line.state]
    out.items("Could not be done or was put off", refused)
    return out.text()


def note_to_send(sheet: Sheet, audience: Audience, unplaced: Sequence[str] = ()) -> str:
    """The note for the workshop or the customer, with what was said and found no place, in the person's words."""
    text = text_report(sheet, "customer") if audience == "customer" else hand_over_note(sheet)
    return "\n".join([text.rstrip("\n"), *unplaced_lines(unplaced)])


def unplaced_lines(unplaced: Sequence[str]) -> list[str]:
    """What was said in the job and never found a place."""
    return [f"Said, and not placed: {one_line(text, 600)}" for text in unplaced]


def found_words(sheet: Sheet, audience: Audience) -> list[str]:
    """What was found: the proven causes, else the likeliest with how sure that is."""
    if sheet.outcome_causes:
        return [f"{r.title}. {r.in_words}".strip() for r in sheet.outcome_causes]
    leader = sheet.leader
    if leader is None:
        return []
    sure = chance_words(leader.chance)
    if audience == "workshop":
        sure = f"{sure}, {percent(leader.chance)}"
    lines = [f"Likeliest ({sure}): {leader.title}. {leader.in_words}".strip()]
    if leader.chance < 0.8:
        others = [r.title for r in sheet.ranking[1:4] if r.chance >= 0.1]
        if others:
            lines.append(f"Also possible: {'; '.join(others)}.")
    return lines


def proof_words(work: Work) -> str:
    """A proof check and whether it was done."""
    return f"[{'x' if work.done else ' '}] {work.title}"


def outcome_words(sheet: Sheet) -> list[str]:
    """How the job ended; empty while it is open."""
    if not sheet.outcome:
        return []
    proven = "proven by the checks after the repair" if sheet.proven else "not proven"
    lines = [f"{sheet.outcome} ({proven})" if sheet.outcome in ("cured", "normal") else sheet.outcome]
    missing = sum(not work.done for work in sheet.proof)
    if sheet.proven and missing:
        lines.append(f"Marked as proven, but {missing} of {len(sheet.proof)} checks of the proof are not on record.")
    return lines + ([sheet.outcome_text] if sheet.outcome_text else [])


def cautions(sheet: Sheet, audience: Audience = "workshop") -> list[Line]:
    """Every caution once; for the customer those of work still to be done, and what to do when fuel is smelt."""
    if audience == "customer":
        seen = {line.label: line for work in sheet.remedies if not work.done for line in work.cautions}
        return [FUEL_SMELT, *seen.values()]
    seen = {line.label: line for line in sheet.cautions}
    for work in sheet.remedies:
        for line in work.cautions:
            seen.setdefault(line.label, line)
    return list(seen.values())


def log_words(line: LogLine) -> str:
    """One entry on one line."""
    state = f" [{line.state} by entry {line.by}]" if line.state else ""
    weight = f" -> {line.weight}" if line.weight else ""
    return f"{line.number}. {line.at.replace('T', ' ')[:16]} {line.who}, {line.kind}: {line.text}{state}{weight}"


class _Lines:
    """Paragraphs and lists, wrapped."""

    def __init__(self) -> None:
        self._parts: list[str] = []

    def head(self, text: str) -> None:
        shown = clean(text, 200)
        self._parts += [shown, "=" * min(len(shown), WIDTH)]

    def say(self, text: str) -> None:
        self._parts += textwrap.wrap(clean(text, 4000), WIDTH) or [""]

    def items(self, title: str, lines: Sequence[str]) -> None:
        listed = list(lines)
        if not listed:
            return
        self._parts += ["", title, "-" * len(title)]
        for line in listed:
            self._parts += textwrap.wrap(clean(line, 4000), WIDTH, initial_indent="- ", subsequent_indent="  ")

    def picture(self, title: str, rows: Sequence[str], key: Sequence[str]) -> None:
        """A drawing in letters, whose lines are never wrapped, and its key."""
        self._parts += ["", title, "-" * len(title), *(clean(row, 200) for row in rows)]
        for line in key:
            self._parts += textwrap.wrap(clean(line, 600), WIDTH, subsequent_indent="  ")

    def stops(self, sheet: Sheet) -> None:
        for stop in sheet.stops:
            self._parts.append("")
            self.say(f"STOP: {stop.title}. {stop.why}")
            for line in stop.do_now:
                self._parts += textwrap.wrap(clean(line, 600), WIDTH, initial_indent="! ", subsequent_indent="  ")
            self.say(f"Until: {stop.until}")

    def work(self, work: Work, audience: Audience) -> None:
        title = f"{work.stage}: {work.title}"
        lines = list(work.steps) if audience == "workshop" else []
        if work.parts:
            lines.append(f"Parts: {', '.join(work.parts)}")
        if audience == "workshop" and work.minutes:
            lines.append(f"About {work.minutes:g} minutes.")
        self.items(title, lines or [_DONE_BY if work.done else _DO_BY])

    def text(self) -> str:
        return "\n".join(part.rstrip() for part in self._parts).strip() + "\n"
