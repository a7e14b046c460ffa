"""The desk in questions and answers: what the car does not tell is asked, and every figure may be left out."""

from __future__ import annotations

from diag.design.questions import QUESTIONS, Question, Units, ask, read_figure
from diag.fuelsystem.car import Car, read_field
from diag.fuelsystem.fields import CHOICE, FIELDS
from diag.presentation.report.desk_text import answer_lines
from diag.session.answers import picked
from diag.support.errors import UserError
from diag.ui.plain.room import Room


def desk(room: Room, rest: str) -> None:
    """Pick a question, fill in what is missing, hear the answer."""
    names = list(QUESTIONS)
    at = picked(rest, names) if rest else room.talk.choose("Which question?", [q.title for q in QUESTIONS.values()])
    if at is None:
        if rest:
            raise UserError(f"There is no such desk question: {rest[:40]!r}.", f"Say one of: {', '.join(names)}.")
        return
    question = QUESTIONS[names[at]]
    unit = room.job.case.unit_pressure
    car = _filled(room, question, room.now.car, unit)
    extras = _extras(room, question, unit)
    if room.talk.ended:
        return
    answer = ask(question.id, car, extras, Units(pressure=unit))
    room.talk.lines(answer_lines(answer, plot=False, units={"pressure": unit}))
    room.talk.say("Figures given here are not written into the job; car FIELD = VALUE does that.")


def _filled(room: Room, question: Question, car: Car, unit: str) -> Car:
    for name in question.fields:
        if name in car.values:
            continue
        field = FIELDS[name]
        choices = f" ({', '.join(field.choices)})" if field.kind == CHOICE else ""
        while True:
            line = room.talk.ask(f"{field.ask}{choices} Enter: not known")
            if not line:
                break
            try:
                car = car.changed(name, read_field(name, line, unit))
                break
            except UserError as error:
                room.talk.say(error.one_line())
        if room.talk.ended:
            break
    return car


def _extras(room: Room, question: Question, unit: str) -> dict[str, float]:
    given: dict[str, float] = {}
    for extra in question.extras:
        while not room.talk.ended:
            line = room.talk.ask(f"{extra.title}? Enter to leave it out")
            if not line:
                break
            try:
                given[extra.id] = read_figure(extra, line, unit)
                break
            except UserError as error:
                room.talk.say(error.one_line())
    return given
