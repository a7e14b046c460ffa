"""The beginning: who is talking, who is at the car, what is wrong, what is known of the car."""

from __future__ import annotations

from collections import Counter
from typing import TYPE_CHECKING

from diag.fuelsystem.fields import CHOICE, FIELDS
from diag.presentation.last_words import PROMISE
from diag.rulebook.model import PERSONS, PRESENT, Person, RuleBook
from diag.safety.situation import Wet
from diag.support.errors import UserError
from diag.support.text import one_line
from diag.ui.plain.answers import yes_or_no

if TYPE_CHECKING:
    from diag.ui.plain.conversation import Conversation

PEOPLE: dict[Person, str] = {
    "untrained": "untrained owner",
    "hobbyist": "hobbyist, used to working on cars",
    "mechanic": "mechanic",
    "shop": "workshop with full equipment",
}
SAFETY = "Before anything else: is any of this so?"
DANGERS = ("fire-or-smoke", "person-affected", "fuel-under-car", "fuel-smell", "fuel-in-cabin")


def greet(room: Conversation) -> None:
    """The first lines, and the person's name."""
    room.talk.say(f"Line by line. help lists what can be said, ? explains a question, quit ends. {PROMISE}")
    if not room.who:
        name = room.talk.ask("Your name or initials, Enter to leave out")
        room.who = one_line(name or "", 60)
        for job in room.jobs:
            job.who = room.who or job.who


def new_job(room: Conversation) -> None:
    """The story of a fresh job: person, complaint, car."""
    _danger(room)
    ask_person(room, "")
    complaint(room)
    if not room.talk.ended:
        room.talk.say("What is known of the car can be told at any time: car lists it, car FIELD = VALUE fills it in.")
        ask_car(room)
    room.mark_ranking()


def _danger(room: Conversation) -> None:
    """What cannot wait for the rest of the story: asked and acted on before anything else."""
    from diag.ui.plain.telling import tell

    signs = [room.book.signs[name] for name in DANGERS if name in room.book.signs]
    room.talk.say(SAFETY)
    room.talk.lines(f"{at}. {one_line(sign.title)}" for at, sign in enumerate(signs, 1))
    line = room.talk.ask("numbers with blanks between, or other words; Enter for none of it")
    while line and yes_or_no(line) is not False and line.casefold() != "none":
        numbers = line.replace(",", " ").split()
        try:
            if all(n.isdecimal() and 1 <= int(n) <= len(signs) for n in numbers):
                for n in numbers:
                    room.job.answer_sign(signs[int(n) - 1].id, PRESENT)
                    room.talk.say(f"Written down: {one_line(signs[int(n) - 1].title)}.")
            elif yes_or_no(line):
                room.talk.say("Say which: its number, or the words.")
            else:
                tell(room, line)
        except UserError as error:
            room.talk.say(error.one_line())
        if room.phone:  # until it is told who is at the car, it is somebody who should only step away
            room.job.tell_person("untrained", by_phone=True)
        if not room.stops_heard():
            return
        line = room.talk.ask("Anything else of that? Enter for no")


def ask_person(room: Conversation, rest: str) -> None:
    """Who is at the car, and what they have."""
    now = room.job.standing.situation
    start = "hobbyist" if room.phone else now.person
    room.talk.say("Who is at the car?")
    at = room.talk.choose("number or words", list(PEOPLE.values()), list(PERSONS).index(start))
    if at is None:
        return
    person = list(PEOPLE)[at]
    phone = room.phone or bool(_flag(room, "Is it done over the phone?", now.by_phone))
    second = bool(_flag(room, "Is a second person there to help?", now.second_person)) if at else now.second_person
    aired = True if not phone and at >= 2 else bool(_flag(room, "Is the car outdoors or the room aired?", True))
    asked = phone or person in ("untrained", "hobbyist")
    tools = (() if away(room, person) else _tools(room, person, phone)) if asked else None
    if not room.talk.ended:
        room.job.tell_person(person, phone, second, aired, tools)


def away(room: Conversation, person: Person) -> bool:
    """Whether this person is to step away from the car, so that neither tools nor figures matter now."""
    now = room.job.standing.situation
    hurt = any(rule.startswith(("fire", "person")) for rule in now.stops)
    return hurt or (person == "untrained" and now.wet in (Wet.WET, Wet.REPAIRED))


def _flag(room: Conversation, question: str, default: bool) -> bool | None:
    for _ in range(10):
        answer = room.talk.ask(f"{question} yes or no, Enter for {'yes' if default else 'no'}")
        if answer is None or not answer:
            return default
        told = yes_or_no(answer)
        if told is not None:
            return told
        room.talk.say("Say yes or no.")
    return default


def tools_for(book: RuleBook, person: Person, phone: bool) -> list[str]:
    """Tools of steps that this person may do here, the most used first; the others need not be asked about."""
    level = PERSONS.index(person)
    steps = (*book.checks.values(), *book.setups.values(), *book.remedies.values())
    used = Counter(
        tool for s in steps if PERSONS.index(s.person) <= level and (s.by_phone or not phone) for tool in s.tools
    )
    return sorted(used, key=lambda tool: (-used[tool], tool))


def _tools(room: Conversation, person: Person, phone: bool) -> tuple[str, ...] | None:
    """The tools at hand; None when everything is there."""
    tools = [(name, room.book.tools.get(name, name)) for name in tools_for(room.book, person, phone)]
    if not tools:
        return ()
    room.talk.say("Which of these are at hand?")
    room.talk.lines(f"{at}. {one_line(words, 100)}" for at, (_, words) in enumerate(tools, 1))
    for _ in range(10):
        answer = room.talk.ask("numbers with blanks between, none, or Enter for all of them")
        if answer is None or not answer or answer.casefold() == "all":
            return None
        if answer.casefold() in ("none", "no", "nothing", "0"):
            return ()
        numbers = answer.replace(",", " ").split()
        if all(n.isdecimal() and 1 <= int(n) <= len(tools) for n in numbers):
            return tuple(tools[int(n) - 1][0] for n in numbers)
        room.talk.say(f"Say numbers from 1 to {len(tools)}, such as 1 4 5.")
    return None


def complaint(room: Conversation) -> None:
    """What is wrong, in everyday words, until nothing more is told."""
    from diag.ui.plain.telling import tell

    room.talk.say("What is wrong? Say it in everyday words, one thing at a time.")
    while True:
        words = room.talk.ask("what is wrong, Enter when that is all")
        if not words:
            return
        try:
            tell(room, words)
        except UserError as error:
            room.talk.say(error.one_line())
        if not room.stops_heard():
            return


STORY_FIELDS = ("fuel", "target-pressure", "idle-vacuum", "pump-flow", "return-bore")


def ask_car(room: Conversation) -> None:
    """The few facts of the car that matter most; each may be left out."""
    from diag.ui.plain.telling import tell_field

    now = room.job.standing.situation
    few = now.person == "untrained" or away(room, now.person)
    for name in STORY_FIELDS[:1] if few else STORY_FIELDS:
        field = FIELDS[name]
        choices = f" ({', '.join(field.choices)})" if field.kind == CHOICE else ""
        for _ in range(5):
            answer = room.talk.ask(f"{field.ask}{choices} Enter: not known")
            if answer is None:
                return
            if answer == "?":
                room.talk.say(field.words)
                continue
            try:
                if answer:
                    tell_field(room, name, answer)
                break
            except UserError as error:
                room.talk.say(error.one_line())
