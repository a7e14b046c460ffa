"""Second thoughts: taking back, changing an earlier answer, and asking what another answer would do."""

from __future__ import annotations

import re

from diag.casework import record
from diag.casework.entries import Case, SignAnswer
from diag.session.answers import said, sign_answer
from diag.support.errors import UserError
from diag.ui.plain import words
from diag.ui.plain.room import Room

_CHANGE = re.compile(r"(\d+)\s*(?:=|:|to)?\s+(.+)|(\d+)\s*=\s*(.+)")


def undo(room: Room, rest: str) -> None:
    """Take the newest answer back."""
    if not room.job.undo():
        raise UserError("There is nothing to take back.", "Nothing has been told yet.")
    room.talk.say("Taken back.")
    _tell(room)


def take_back(room: Room, rest: str) -> None:
    """Take an earlier entry back: ``take back 5 because``."""
    words_ = rest.split()
    if words_ and words_[0].casefold() == "back":
        words_ = words_[1:]
    if not words_ or not words_[0].isdecimal():
        raise UserError("Which entry?", "Say take back and its number; entries lists them.")
    room.job.take_back(int(words_[0]), " ".join(words_[1:]))
    room.talk.say(f"Entry {words_[0]} no longer counts.")
    _tell(room)


def edit(room: Room, rest: str) -> None:
    """Give an earlier question another answer: ``edit 5 = no``."""
    number, text = _change(rest)
    told = said(text)
    room.job.change_answer(number, _as_answer(room, number, told.text), told.sure)
    room.talk.say(f"Entry {number} is changed.")
    _tell(room)


def what_if(room: Room, rest: str) -> None:
    """What another answer would do, without giving it: ``what if 5 = no``."""
    told = rest.strip()
    number, text = _change(told[2:].strip() if told.casefold().startswith("if") else told)
    heard = said(text)
    changed = room.job.changed_answer(number, _as_answer(room, number, heard.text), heard.sure)
    _, compared = room.job.what_if(lambda _: changed)
    room.talk.say(f"If entry {number} were: {text}")
    room.talk.lines(words.change_lines(compared))
    room.talk.say("Nothing was changed.")


def _change(rest: str) -> tuple[int, str]:
    found = _CHANGE.fullmatch(rest.strip())
    if found is None:
        raise UserError("Which entry, and what instead?", "Say it like 5 = no; entries lists the numbers.")
    return int(found[1] or found[3]), (found[2] or found[4]).lstrip("= ").strip()


def _as_answer(room: Room, number: int, text: str) -> str:
    """A sign's answer in any wording as the book knows it; other texts stay."""
    case: Case = room.job.case
    entry = record.entry_of(case, number)
    if isinstance(entry, SignAnswer) and entry.sign in room.book.signs:
        answer = sign_answer(room.book.signs[entry.sign], text)
        if answer is not None:
            return answer
    return text


def _tell(room: Room) -> None:
    """Before and after."""
    change = room.job.change
    if change is not None:
        room.talk.lines(words.change_lines(change))
    room.mark_ranking()
    room.show_again()
