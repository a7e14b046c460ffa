"""Commands that only show something."""

from __future__ import annotations

from diag.casework.agenda import in_progress
from diag.hearing.search import find
from diag.presentation.drawing.letters import letters
from diag.presentation.drawing.system import system_drawing
from diag.presentation.figures import minutes
from diag.presentation.ranking import ranking
from diag.presentation.stop_rules import as_told, is_danger
from diag.presentation.wording import EXITS
from diag.safety.steps import find_step
from diag.support.errors import UserError
from diag.support.text import numbered, one_line
from diag.ui.plain import cause_words, step_words, words
from diag.ui.plain.commands import COMMANDS, listed
from diag.ui.plain.room import Room


def why(room: Room, rest: str) -> None:
    """All reasons for the present proposal."""
    begun = in_progress(room.job.case, room.book)
    room.talk.lines(words.why_lines(room.now, room.task, begun is not None and begun.id == room.task.step))


def steps(room: Room, rest: str) -> None:
    """The steps again."""
    _steps(room, aloud=room.by_phone)


def aloud(room: Room, rest: str) -> None:
    """The steps as said on the phone."""
    _steps(room, aloud=True)


def _steps(room: Room, aloud: bool) -> None:
    step = find_step(room.book, room.task.step)
    room.talk.lines((step_words.step_lines(step, aloud) if step else []) or ["There are no steps here."])


def cautions(room: Room, rest: str) -> None:
    """The cautions of this step in full."""
    step = find_step(room.book, room.task.step)
    lines = step_words.caution_lines(step, room.book, ()) if step else []
    room.talk.lines(lines or ["No particular caution belongs to this step."])


def stops(room: Room, rest: str) -> None:
    """Stop rules in force."""
    rules = as_told(room.now.stops)
    if not rules:
        room.talk.say("No stop rule is in force.")
    for rule in rules:
        room.talk.lines(words.stop_lines(rule, is_danger(rule)))


def causes(room: Room, rest: str) -> None:
    """The ranking."""
    most = int(rest) if rest.isdecimal() else 8
    room.talk.lines(words.ranking_lines(room.now, most, room.job.before))
    misfit = room.now.misfit
    if misfit.entry is not None and misfit.surprise >= 1.0:
        room.talk.say(f"Entry {misfit.entry} fits least with the others; it is worth repeating.")
    room.talk.say("More of one: cause and its number.")


def cause(room: Room, rest: str) -> None:
    """One cause, looked at closely."""
    # By number: the likeliest of that place of the ranking; by name or words: any cause.
    ranked = [place.causes[0] for place in ranking(room.now).values()]
    room.talk.lines(cause_words.cause_lines(cause_of(room, rest, ranked), room.now))


def cause_of(room: Room, text: str, ranked: list[str]) -> str:
    """A cause by its number in the ranking, its name or words.

    Raises:
        UserError: none fits.
    """
    told = text.strip().casefold()
    if told.isdecimal():
        if not 1 <= int(told) <= len(ranked):
            raise UserError(f"There is no cause number {told}.", "Say causes for the list.")
        return ranked[int(told) - 1]
    if not told:
        return ranked[0]
    if told in room.book.causes or told in EXITS:
        return told
    found = [f for f in find(room.book, told, 20) if f.kind == "cause"]
    if not found:
        raise UserError(f"No cause speaks of {one_line(text, 60)!r}.", "Say causes for the list.")
    return found[0].id


def readings(room: Room, rest: str) -> None:
    """Read and predicted, in words: what the picture of rail over manifold pressure shows."""
    room.talk.lines(cause_words.reading_lines(room.now))


def drawing(room: Room, rest: str) -> None:
    """The fuel system in letters, with its key; for those who listen the key says the same."""
    drawn = system_drawing(room.now)
    room.talk.lines([*letters(drawn, ascii_only=True), *drawn.key])


def change(room: Room, rest: str) -> None:
    """What the last change did."""
    made = room.job.change
    room.talk.lines(words.change_lines(made) if made is not None else ["Nothing has changed yet."])


def others(room: Room, rest: str) -> None:
    """Other steps."""
    lines, room.listed = words.other_lines(room.now)
    room.talk.lines(lines or ["There is nothing else worth doing now."])
    if lines:
        room.talk.say("To choose one: do and its number.")


def entries(room: Room, rest: str) -> None:
    """Everything told so far."""
    room.talk.lines(words.entry_lines(room.now))
    room.talk.lines(room.now.problems)


def time(room: Room, rest: str) -> None:
    """Minutes spent."""
    room.talk.say(f"{minutes(room.job.minutes)} since the job was opened.")


def shop(room: Room, rest: str) -> None:
    """Shop procedures."""
    book = room.book
    told = rest.casefold().split()
    hits = [p for p in book.procedures.values() if all(w in f"{p.id} {p.title} {p.why}".casefold() for w in told)]
    if rest.isdecimal():
        hits = [p for at, p in enumerate(book.procedures.values(), 1) if at == int(rest)]
    if not hits:
        raise UserError(f"No procedure speaks of {one_line(rest, 60)!r}.", "Say shop for the list.")
    if len(hits) > 1:
        room.talk.say("Say shop and words of the title:")
        room.talk.lines(f"- {p.title}" for p in hits)
        return
    found = hits[0]
    room.talk.lines([f"{found.title}.", found.why])
    for name in found.hazards:
        if name in book.hazards:
            hazard = book.hazards[name]
            room.talk.say(f"Caution, {hazard.title.lower()}: {' '.join(hazard.cautions)}")
    room.talk.lines(numbered(found.steps))


def help_me(room: Room, rest: str) -> None:
    """The commands."""
    told = rest.casefold().strip()
    if told:
        if told not in COMMANDS:
            raise UserError(f"There is no command {one_line(rest, 40)!r}.", "Say help for the list.")
        command = COMMANDS[told]
        also = f" Also: {', '.join(command.also)}." if command.also else ""
        room.talk.say(f"{command.name} {command.after}".strip() + f": {command.about}.{also}")
        return
    room.talk.say(
        "Answer the question; add unsure or second hand when it is. ? explains the question, Enter repeats it."
    )
    for command in listed():
        room.talk.say(f"{command.name} {command.after}".strip() + f": {command.about}")


def quit_now(room: Room, rest: str) -> None:
    """End."""
    room.over = room.talk.leaving = True
