"""Notes, status, hand-over, summary, report and the end of a job."""

from __future__ import annotations

from typing import Literal

from diag.casework.entries import About
from diag.casework.summary import status_of
from diag.inference.posterior import NOTHING_WRONG
from diag.inference.titles import title_of
from diag.presentation.figures import percent
from diag.presentation.report.build import sheet_of
from diag.presentation.report.sheet import Sheet
from diag.presentation.report.text import closing_summary, hand_over_note, note_to_send, text_report, unplaced_lines
from diag.safety.steps import find_step
from diag.session.answers import yes_or_no
from diag.session.ending import NOT_YET_CURED, RESULTS, endings, may_be_cured
from diag.session.heard import unplaced_in
from diag.session.job import Result
from diag.support.errors import UserError
from diag.support.text import one_line
from diag.ui.plain.looking import cause_of
from diag.ui.plain.room import Room

TAKEN = ("yes", "y")  # the usual end, when it was read out
KEPT: dict[str, About] = {
    "photo": "photo",
    "mark": "mark",
    "bought": "bought",
    "inside": "found inside",
    "found": "found inside",
}


def sheet(room: Room, workings: bool = False) -> Sheet:
    """The job's sheet."""
    return sheet_of(room.job.case, room.book, room.now, workings)


def note(room: Room, rest: str) -> None:
    """Free text."""
    room.job.note(rest or room.talk.ask("Note") or "")
    room.talk.say("Noted.")


def keep(room: Room, rest: str) -> None:
    """For the report on a suspect part."""
    about, _, text = rest.partition(" ")
    if about.casefold() not in KEPT or not text.strip():
        raise UserError(
            "Say what it is and then the words.",
            "keep photo NAME, keep mark TEXT, keep bought WHERE, keep inside WHAT.",
        )
    room.job.keep(KEPT[about.casefold()], text.strip())
    room.talk.say("Kept for the report on a suspect part.")


def status(room: Room, rest: str) -> None:
    """Open, waiting for part, closed."""
    word, _, text = rest.partition(" ")
    known = {"open": "open", "waiting": "waiting for part", "closed": "closed"}
    if word.casefold() not in known:
        raise UserError("Which status?", "Say status open, status waiting or status closed.")
    text = text.strip().removeprefix("for part").strip()
    room.job.set_status(known[word.casefold()], text)  # type: ignore[arg-type]
    room.talk.say(f"Status: {known[word.casefold()]}.")


def hand_over(room: Room, rest: str) -> None:
    """Give the job to somebody else: ``hand over Oskar: pump is out``."""
    told = rest.strip()
    for lead in ("over to ", "over "):
        if told.casefold().startswith(lead):
            told = told[len(lead) :]
            break
    else:
        told = "" if told.casefold() in ("over", "over to") else told
    name, _, text = (part.strip() for part in told.partition(":"))
    if not name:
        name = room.talk.ask("Who takes the job over?") or ""
    room.job.hand_over(name, text)
    room.talk.lines(hand_over_note(sheet(room)).splitlines())


def summary(room: Room, rest: str) -> None:
    """What to read back."""
    room.talk.lines(closing_summary(sheet(room)).splitlines())


def report(room: Room, rest: str) -> None:
    """The whole job as text."""
    audience: Literal["customer", "workshop"] = "customer" if rest.casefold().startswith("c") else "workshop"
    room.talk.lines(text_report(sheet(room, audience == "workshop"), audience).splitlines())


def send(room: Room, rest: str) -> None:
    """The note for the workshop or the customer between two marks, ready to be copied."""
    audience: Literal["customer", "workshop"] = "customer" if rest.casefold().startswith("c") else "workshop"
    room.talk.say(f"---- note for the {audience}, copy from here ----")
    room.talk.lines(note_to_send(sheet(room), audience, unplaced_in(room.job.case)).splitlines())
    room.talk.say("---- to here ----")


def said_and_not_placed(room: Room) -> list[str]:
    """What was said in the job and never found a place, in the person's words."""
    return unplaced_lines(unplaced_in(room.job.case))


def waits(room: Room, rest: str) -> None:
    """Who waits for what."""
    now, book = room.now, room.book
    lines = [f"Waiting: {status_of(room.job.case)}."] if status_of(room.job.case) != "open" else []
    for name in sorted(now.situation.later):
        step = find_step(book, name)
        lines.append(f"Put off: {one_line(step.title) if step else name}.")
    lines += [f"Not before: {one_line(rule.until, 300)} ({one_line(rule.title)})." for rule in now.stops]
    step = find_step(book, room.task.step)
    if step is not None:
        who = "The caller" if room.by_phone else "The program"
        lines.append(f"{who} waits for: {one_line(step.title)}.")
        missing = [] if now.situation.tools is None else [t for t in step.tools if t not in now.situation.tools]
        lines += [f"To be fetched first: {one_line(book.tools.get(tool, tool), 100)}." for tool in missing]
    room.talk.lines(lines or ["Nobody waits for anything."])


def finish(room: Room, rest: str) -> None:
    """How the job ended."""
    talk = room.talk
    usual = usual_end(room)
    word, _, added = rest.partition(" ")
    if usual and word.casefold() in TAKEN:
        _close(room, "cured", usual, True, added)
        return
    talk.say(f"yes closes it as: {end_words(room, usual)}" if usual else "How did it end?")
    ends = endings(room.job.case, room.book)
    if len(ends) < len(RESULTS):
        talk.say(NOT_YET_CURED)
    at = talk.choose("number", [*(words for _, words in ends), *(["yes, as said above"] if usual else [])])
    if usual and at == len(ends):
        _close(room, "cured", usual, True, "")
        return
    if at is None:
        talk.say("Nothing was written down; the job stays open.")
        return
    result = ends[at][0]
    causes = _causes(room) if result == "cured" else ()
    proven = _proven(room) if result == "cured" else False
    text = talk.ask("Anything to add? Enter for nothing") or ""
    if talk.ended:
        talk.say("The input ended; the job stays open.")
        return
    _close(room, result, causes, proven, text)


def _close(room: Room, result: Result, causes: tuple[str, ...], proven: bool, text: str) -> None:
    room.job.finish(result, causes, proven, text)
    room.talk.say(f"Closed as: {result}.")
    summary(room, "")
    room.talk.lines(said_and_not_placed(room))
    room.finished()


def usual_end(room: Room) -> tuple[str, ...]:
    """The causes of a cure that every check after the repair proved; empty where something is open."""
    works = sheet(room).proof
    if not works or not all(work.done for work in works) or not may_be_cured(room.job.case, room.book):
        return ()
    now = room.now
    ever = dict(zip(now.belief.causes, (float(p) for p in now.belief.ever), strict=True))
    cured = {cause for epoch in now.evidence.epochs for cause in epoch.cured}
    return tuple(sorted(cured, key=lambda cause: (-ever.get(cause, 0.0), cause))[:1])


def end_words(room: Room, causes: tuple[str, ...]) -> str:
    """A proven cure in words."""
    return f"cured: {'; '.join(title_of(cause, room.book) for cause in causes)}, proven by the checks after the repair."


def _causes(room: Room) -> tuple[str, ...]:
    """The causes that were cured: what the remedies done were for, unless told otherwise."""
    now, book = room.now, room.book
    cured = {c for epoch in now.evidence.epochs for c in epoch.cured}
    ever = dict(zip(now.belief.causes, (float(p) for p in now.belief.ever), strict=True))
    likely = sorted(cured or set(ever), key=lambda c: (-ever.get(c, 0.0), c))[:6]
    room.talk.say("Which cause was it? The remedies done speak for these:" if cured else "Which cause was it?")
    options = [f"{title_of(c, book)}, {percent(ever.get(c, 0.0))}" for c in likely]
    for at, option in enumerate(options, 1):
        room.talk.say(f"{at}. {option}")
    for _ in range(10):
        line = room.talk.ask("numbers or words, Enter for the first, none when it is not known")
        if line is None or line.casefold() == "none":
            return ()
        if not line:
            return tuple(likely[:1])
        parts = line.replace(",", " ").split()
        if all(p.isdecimal() and 1 <= int(p) <= len(likely) for p in parts):
            return tuple(likely[int(p) - 1] for p in parts)

        try:
            found = cause_of(room, line, likely)
        except UserError as error:
            room.talk.say(error.one_line())
            continue
        if found != NOTHING_WRONG and found in book.causes:
            room.talk.say(f"Taken as: {title_of(found, book)}.")
            return (found,)
    return ()


def _proven(room: Room) -> bool:
    """Whether the proof steps were done after the repair, as the person says; what is open is named first."""
    works = sheet(room).proof
    missing = [work.title for work in works if not work.done]
    if missing:
        room.talk.say(f"Not yet done: {'; '.join(missing)}.")
    default = bool(works) and not missing
    line = room.talk.ask(f"Did the checks after the repair prove the cure? Enter for {'yes' if default else 'no'}")
    told = yes_or_no(line or "")
    return default if told is None else told
