"""Things told although nobody asked: signs and readings in everyday words, facts of the car, what is still there."""

from __future__ import annotations

from diag.casework.entries import SignAnswer
from diag.fuelsystem.fields import FIELDS
from diag.rulebook.findings import ABSENT, NOT_KNOWN, PRESENT, Sign
from diag.session import people
from diag.session.answers import said, sign_answer
from diag.session.heard import UNPLACED
from diag.support.errors import UserError
from diag.support.text import one_line
from diag.ui.plain import hearing, words
from diag.ui.plain.room import Room


def tell(room: Room, rest: str) -> None:
    """Hear what is told in everyday words: complaints, figures, facts of the car; enter what is accepted."""
    text = rest.strip()
    if not text:
        text = room.talk.ask("What was seen, heard, smelled or read?") or ""
        if not text:
            return
    if not hearing.hear(room, text):
        room.job.note(f"{UNPLACED}{one_line(text, 2000)}")
        room.talk.say(
            "Nothing in the book speaks of that; it is kept in your words. Say it in other words to be heard."
        )


def tell_sign(room: Room, sign: Sign, text: str, sure: str, source: str) -> None:
    """A sign with its answer; what was told in words counts as present unless said otherwise."""
    if sign.choices:
        at = room.talk.choose(sign.ask, [*(c.words for c in sign.choices), "not known"])
        if at is None:
            return
        answer = sign.choices[at].id if at < len(sign.choices) else NOT_KNOWN
    else:
        answer = _present(room, sign)
        if not answer:
            return
    room.job.answer_sign(sign.id, answer, sure=sure, source=source, text=text)  # type: ignore[arg-type]
    room.talk.say(f"Written down: {sign.title}: {answer}.")


def _present(room: Room, sign: Sign) -> str:
    for _ in range(10):
        line = room.talk.ask(f"{sign.ask} yes, no or u, Enter for yes")
        if line is None:
            return ""
        if not line:
            return PRESENT
        if line == "?":
            room.talk.say(sign.means or sign.ask)
            continue
        answer = sign_answer(sign, said(line).text)
        if answer is not None:
            return answer
        room.talk.say("Say yes, no or u.")
    return ""


def car(room: Room, rest: str) -> None:
    """List the car's facts, or fill one in: FIELD = VALUE."""
    name, equals, value = (part.strip() for part in rest.partition("="))
    if not rest:
        room.talk.lines(words.car_lines(room.now))
        missing = [f"{f.title} ({f.id})" for f in FIELDS.values() if f.id not in room.now.car.values]
        room.talk.say(f"Can be told: {'; '.join(missing)}.")
        room.talk.say("Fill in with: car FIELD = VALUE, such as car return-bore = 8 mm; an empty value takes it back.")
        return
    field = _field(room, name if equals else rest)
    if not equals:
        spec = FIELDS.get(field)
        ask = spec.ask if spec else room.book.contexts[field].ask
        if spec is not None and spec.words:
            room.talk.say(spec.words)
        answer = room.talk.ask(f"{ask} Enter to leave it")
        if not answer:
            return
        value = answer
    tell_field(room, field, value)


def tell_field(room: Room, name: str, value: str) -> None:
    """Write one fact of the car down, and say how its value was understood."""
    room.job.tell_car(name, value)
    room.talk.say(f"Written down: {field_words(room, name, value)}.")


def field_words(room: Room, name: str, value: str) -> str:
    """A fact of the car with its value as it was understood."""
    return people.field_words(room.book, room.job.case.unit_pressure, name, value)


def _field(room: Room, text: str) -> str:
    """A field by id, title or words."""
    told = text.strip().casefold()
    titles = {f.id: f.title for f in FIELDS.values()} | {c.id: c.title for c in room.book.contexts.values()}
    if told in titles:
        return told
    hits = [name for name, title in titles.items() if all(w in f"{name} {title}".casefold() for w in told.split())]
    if len(hits) == 1 and told:
        return hits[0]
    near = f"Did you mean {', '.join(hits[:5])}?" if hits else "Say car for the list."
    raise UserError(f"No one field is called {one_line(text, 60)!r}.", near)


def still(room: Room, rest: str) -> None:
    """After a repair: which complaints are still there. Both answers go into the reasoning."""
    told: dict[str, None] = {}
    for entry in room.job.case.effective():
        sign_told = room.book.signs.get(entry.sign) if isinstance(entry, SignAnswer) else None
        if sign_told is None or (sign_told.choices and entry.check):  # type: ignore[attr-defined]
            continue  # which answer a check gave is no complaint
        if sign_told.symptom and entry.answer not in (ABSENT, NOT_KNOWN):  # type: ignore[attr-defined]
            told[sign_told.id] = None
    if not told:
        raise UserError("No complaint has been told yet.", "Say tell and what is wrong.")
    for name in told:
        sign = room.book.signs[name]
        if sign.choices:
            tell_sign(room, sign, "", "sure", "own eyes")
            continue
        line = room.talk.ask(f"Still there: {sign.title}? yes, no or u")
        if line is None:
            return
        heard = said(line)
        answer = sign_answer(sign, heard.text) if line else NOT_KNOWN
        if answer is None:
            room.talk.say("That is no answer; left as not known.")
            answer = NOT_KNOWN
        room.job.answer_sign(name, answer, sure=heard.sure, source=heard.source, text=line)
