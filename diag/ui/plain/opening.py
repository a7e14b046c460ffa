"""The beginning: what is wrong, heard whole; then in one line who is at the car, what is at hand, what is known."""

from __future__ import annotations

from dataclasses import replace

from diag.casework.agenda import Task
from diag.casework.entries import PersonTold
from diag.hearing.circumstances import Circumstances, circumstances, not_taken, tools_named
from diag.rulebook.steps import PERSONS, Person
from diag.safety.situation import BORROWED, HELPER, Situation, Wet
from diag.safety.steps import find_step
from diag.session.heard import UNPLACED, keep_unplaced
from diag.session.people import PeopleTold, parted, tell_papers, tell_people, tools_left
from diag.support.errors import UserError
from diag.support.text import one_line
from diag.ui.plain import hearing
from diag.ui.plain.room import Room

PEOPLE: dict[Person, str] = {
    "untrained": "untrained",
    "hobbyist": "hobbyist",
    "mechanic": "mechanic",
    "shop": "workshop with full equipment",
}
DANGER_FIRST = "Fire, smoke, fuel on the ground, a smell of fuel, somebody unwell: say that first."
WRONG = "What is wrong? All of it in everyday words, with the figures you have"
WHO = "Who is at the car, what is at hand, what is known of it? One line"


def greet(room: Room) -> None:
    """The first lines."""
    room.talk.say("Line by line. help lists what can be said, ? explains a question, quit ends; all at any prompt.")
    room.talk.say(DANGER_FIRST)
    room.talk.say("New to this: say what is wrong, then answer what is asked; why tells why a master would do it now.")


def new_job(room: Room, told: str) -> None:
    """The story of a fresh job: everything in the first line, then the circumstances where they matter."""
    if complaint(room, told) and not room.talk.ended and not room.over:
        told, room.circumstances = room.circumstances, ""
        ask_person(room, told)
    room.mark_ranking()


def complaint(room: Room, told: str) -> bool:
    """Hear the first line; ask once more where nothing in it was understood. False when going on makes no sense."""
    told, rest = parted(told, room.job.case.unit_pressure)
    line: str | None = told
    for _ in range(2):
        if line and hearing.hear(room, line, opening=True):
            break
        if line and line != told:
            room.job.note(f"{UNPLACED}{one_line(line, 2000)}")
        line = room.talk.ask(f"{WRONG}, Enter to go on without")
        if not line:
            break
    room.circumstances = "; ".join(part for part in (rest, room.circumstances) if part)
    caller_steps_away(room)
    return room.stops_heard()


def caller_steps_away(room: Room) -> None:
    """By phone, until it is told who is at the car, it is somebody who should only step away."""
    if room.phone and any(rule.startswith(("fire", "person", "wet", "smell")) for rule in room.now.situation.stops):
        room.job.tell_person("untrained", by_phone=True)


def ask_person(room: Room, rest: str) -> None:
    """Who is at the car, what they have and what the papers say: one line, every part of it may be left out."""
    usual = _usual(room)
    line = rest
    if not line:
        room.talk.say(
            "Such as: hobbyist with a helper, no gauge; petrol, target 43.5 psi, pump 255 L/h, return 8 mm, no turbo"
        )
        line = room.talk.ask(f"{WHO}, Enter for {said_of(usual)}") or ""
    if room.talk.ended or room.over:
        return
    told = circumstances(line, room.job.case.unit_pressure)
    if told.about_people or not _person_told(room):
        _tell_people(room, usual, told)
    _tell_papers(room, told)
    if line and not told.about_people and not told.papers:
        hearing.hear(room, line)
        return
    left = not_taken(line, room.job.case.unit_pressure) if line else ()
    if left and hearing.means_something(room, ". ".join(left)):
        hearing.hear(room, ". ".join(left))
    elif left:
        room.talk.say(PeopleTold(left=left).left_words)
        keep_unplaced(room.job, left)


def _person_told(room: Room) -> bool:
    return any(isinstance(entry, PersonTold) for entry in room.job.case.effective())


def _usual(room: Room) -> Situation:
    """What is taken where nothing is told: on the phone somebody used to cars, else whoever was there before."""
    now = room.now.situation
    person: Person = "hobbyist" if room.phone else now.person
    return replace(now, person=person, by_phone=room.phone or now.by_phone)


def said_of(who: Situation) -> str:
    """A person and what they have, in a few words."""
    parts = [PEOPLE[who.person]]
    parts += ["by phone"] if who.by_phone else []
    parts.append("with a helper" if who.second_person else "alone, nobody to call" if who.alone else "alone")
    parts.append("in fresh air" if who.ventilated else "in a closed room")
    parts.append("all tools" if who.tools is None else f"{len(who.tools - {HELPER})} tools")
    return ", ".join(parts)


def _tell_people(room: Room, usual: Situation, told: Circumstances) -> None:
    """Enter person, phone, helper, air and tools, and say them back."""
    tell_people(room.job, usual, told)
    if told.about_people:
        room.talk.say(f"Written down: {said_of(room.now.situation)}.")
    tools = room.now.situation.tools
    if told.only is not None and tools:
        names = ", ".join(one_line(room.book.tools.get(t, t), 80) for t in sorted(tools - {HELPER}))
        room.talk.say(f"At hand: {names}; nothing else. What there is besides: have and its name.")


def _tell_papers(room: Room, told: Circumstances) -> None:
    """Enter what the papers say, and say it back."""
    said, refused = tell_papers(room.job, told)
    room.talk.lines(refused)
    if said:
        room.talk.say(f"Of the car: {'; '.join(said)}.")


def tool_missing(room: Room, rest: str) -> None:
    """``no gauge``: a tool that is not at hand."""
    task = room.task
    before = room.now.situation.tools
    _change_tools(room, f"no {rest}")
    refuse_without(room, task, before, f"no {rest}")


def refuse_without(room: Room, task: Task, before: frozenset[str] | None, text: str) -> None:
    """Where the step at hand needs a tool that was now told not to be there, that step cannot be done."""
    step = find_step(room.book, task.step)
    tools = room.now.situation.tools
    if step is None or tools is None or task.step in room.now.situation.refused:
        return
    gone = (frozenset(room.book.tools) if before is None else before) - tools - BORROWED - {HELPER}
    if gone & set(step.tools):
        room.job.refuse(task.step, "cannot", text)


def no_tool(room: Room, text: str) -> None:
    """Take "no scan tool", said as the reason why a step cannot be done, as told of the whole job."""
    if circumstances(text, room.job.case.unit_pressure).missing:
        _change_tools(room, text)


def tool_there(room: Room, rest: str) -> None:
    """``have gauge``: a tool that is at hand after all."""
    named = tools_named(rest)
    if not named:
        raise UserError("Which tool?", "Say have and its name, such as have gauge.")
    now = room.now.situation
    if now.tools is not None:
        tools = tuple(sorted(now.tools | named))
        helped = now.second_person or HELPER in named
        room.job.tell_person(now.person, now.by_phone, helped, now.ventilated, tools)
    room.talk.say(f"At hand: {', '.join(one_line(room.book.tools.get(t, t), 80) for t in sorted(named))}.")


def _change_tools(room: Room, text: str) -> None:
    told = circumstances(text)
    if not told.missing and told.helper is None and told.only is None:
        raise UserError("Which tool is not at hand?", "Say no and its name, such as no gauge or no helper.")
    now = room.now.situation
    helper = now.second_person if told.helper is None else told.helper
    tools = tools_left(room.book, now.tools, told)
    room.job.tell_person(now.person, now.by_phone, helper, now.ventilated, tools)
    names = ", ".join(one_line(room.book.tools.get(t, t), 80) for t in sorted(told.missing))
    if names:
        lent = told.missing <= BORROWED
        after = (
            "What needs it counts as borrowed." if lent else "What needs it is left out. It turns up: have, its name."
        )
        room.talk.say(f"Not at hand: {names}. {after}")
    if told.helper is not None:
        room.talk.say("A helper is there." if helper else "Nobody to help: what takes two is not proposed.")


def away(room: Room, person: Person) -> bool:
    """Whether this person is to step away from the car, so that neither tools nor figures matter now."""
    now = room.job.standing.situation
    hurt = any(rule.startswith(("fire", "person")) for rule in now.stops)
    return hurt or (person == "untrained" and now.wet in (Wet.WET, Wet.REPAIRED))


__all__ = ["PERSONS", "ask_person", "complaint", "greet", "new_job", "tool_missing", "tool_there"]
