"""What was heard, as a short list of ticks: Enter takes what is ticked, numbers choose, and nothing else is entered."""

from __future__ import annotations

import re

from diag.hearing.circumstances import circumstances
from diag.hearing.understood import Heard, Hearing, Item
from diag.session import heard as entering
from diag.support.errors import UserError
from diag.support.text import one_line
from diag.ui.plain.room import Room

MOST_DOUBTFUL = 5  # pieces that fit badly and are shown all the same
_LETTERS = "abcd"
_PART = re.compile(r"([+-]?)(\d+)([a-d]?)")
_VALUE = re.compile(r"[+]?(\d+)([a-d]?)\s*(?:=|is\b)\s*(.+)")
_TICKS = re.compile(r"(?:[\s,]|and|[+-]?\d+[a-d]?(?:\s*=.*)?|none|all|yes|no|ok|nothing)*")
HINT = (
    "Enter takes what is ticked; numbers take just those, -2 leaves one out, +3 adds one, 3b the second meaning, "
    "2 = no corrects one, none"
)


def hear(room: Room, text: str, opening: bool = False) -> bool:
    """Hear a text, show what was understood, and enter what is accepted; True when anything was shown.

    ``opening``: the line that takes the ticks may go on, after a semicolon, with people, tools and papers.
    """
    hearing = room.listener.hear(text, entering.setting_of(room.job))
    pieces = shown(hearing)
    if not pieces:
        return False
    room.talk.say("Understood:")
    room.talk.lines(lines(pieces))
    hidden = [piece.words for piece in hearing.heard if piece not in pieces]
    left = (*hearing.unplaced, *hidden)  # what is not offered is not lost either
    if left:
        room.talk.say(f"Not understood, kept as said: {'; '.join(one_line(words, 200) for words in left)}")
    if opening:
        room.talk.say("After a semicolon, if you like: who is at the car, what is at hand, what the papers say.")
    taken = _accepted(room, pieces, opening)
    if taken is not None:
        _enter(room, pieces, taken, left)
    return True


def means_something(room: Room, text: str) -> bool:
    """Whether something in a text is heard well enough to be ticked."""
    return bool(room.listener.hear(text, entering.setting_of(room.job)).ticked)


def shown(hearing: Hearing) -> list[Heard]:
    """The pieces in the order said: all that are ticked or to be asked, and the best few of the doubtful ones."""
    doubtful = [piece for piece in hearing.heard if not piece.ticked and not piece.ask]
    best = sorted(doubtful, key=lambda piece: -piece.best.confidence)[:MOST_DOUBTFUL]
    return [piece for piece in hearing.heard if piece.ticked or piece.ask or piece in best]


def lines(pieces: list[Heard]) -> list[str]:
    """One line a piece, numbered, with its tick; of what is not ticked, up to three meanings."""
    return [f"{at}. {_line(piece)}" for at, piece in enumerate(pieces, 1)]


def _line(piece: Heard) -> str:
    marks = [mark for mark, there in (("not sure", piece.sure == "unsure"), ("second hand", piece.source != "own eyes"))
             if there]  # fmt: skip
    tail = f" ({', '.join(marks)})" if marks else ""
    if piece.ticked:
        return f"[x] {piece.best.title}{tail}"
    meanings = piece.items[:3]
    if len(meanings) == 1:
        return f"[ ] {piece.best.title}{tail}"
    offered = "; ".join(f"{_LETTERS[at]}: {item.title}" for at, item in enumerate(meanings))
    return f'[ ] "{one_line(piece.words, 60)}"{tail}, which? {offered}'


def _accepted(room: Room, pieces: list[Heard], opening: bool) -> dict[int, Item] | None:
    """Piece number from 0 -> the meaning taken; None when the input ended.

    What an opening line tells of people and papers is left for the room to enter.
    """
    taken = {at: piece.best for at, piece in enumerate(pieces) if piece.ticked}
    for _ in range(20):
        line = room.talk.ask(HINT)
        if line is None:
            return None
        if opening:
            line, room.circumstances = _parted(line)
        text = line.strip().casefold().rstrip(".!")
        if text in ("", "yes", "y", "ok", "all"):
            return taken
        if text in ("none", "no", "n", "nothing"):
            return {}
        try:
            chosen = _chosen(text, pieces, taken)
        except UserError as error:
            if not opening and room.may_wait and room.answers(line):
                room.waiting = line
                return taken
            room.talk.say(error.one_line())
            continue
        return chosen
    return None


def _parted(line: str) -> tuple[str, str]:
    """The ticks of a line, and what it tells of people and papers."""
    ticks, _, rest = line.partition(";")
    told = circumstances(ticks)
    if not _TICKS.fullmatch(ticks.strip().casefold()) and (told.about_people or told.papers):
        return "", line
    return ticks, rest.strip()


def _chosen(text: str, pieces: list[Heard], ticked: dict[int, Item]) -> dict[int, Item]:
    """What a line of ticks takes: corrections first, then the numbers beside them."""
    corrected: dict[int, Item] = {}
    bare = []
    for part in (part.strip() for part in re.split(r",\s+|\s+(?=[+-]?\d+[a-d]?\s*=)", text)):
        value = _VALUE.fullmatch(part)
        if value is None:
            bare.append(part)
            continue
        at = _number(value[1], pieces)
        corrected[at] = _with_answer(_meaning(pieces[at], value[2], at), value[3])
    numbers = " ".join(bare).strip()
    if corrected and not numbers:
        return {**ticked, **corrected}
    return {**_numbered(numbers, pieces, ticked), **corrected}


def _meaning(piece: Heard, letter: str, at: int) -> Item:
    place = _LETTERS.index(letter or "a")
    if place >= len(piece.items):
        raise UserError(f"Number {at + 1} has no meaning {letter}.", "Say one of those shown.")
    return piece.items[place]


def _numbered(text: str, pieces: list[Heard], ticked: dict[int, Item]) -> dict[int, Item]:
    parts = [_PART.fullmatch(part) for part in re.split(r"[\s,]+|(?<=\d)and(?=\d)", text) if part and part != "and"]
    if not parts or not all(parts):
        raise UserError("That was not understood.", "Say Enter, numbers such as 1 3, -2 to leave one out, or none.")
    changes = any(part and part[1] for part in parts)
    found = dict(ticked) if changes else {}
    for part in parts:
        assert part is not None
        at = _number(part[2], pieces)
        if part[1] == "-":
            found.pop(at, None)
            continue
        found[at] = _meaning(pieces[at], part[3], at)
    return found


def _number(text: str, pieces: list[Heard]) -> int:
    if not 1 <= int(text) <= len(pieces):
        raise UserError(f"There is no number {text}.", f"Say numbers from 1 to {len(pieces)}.")
    return int(text) - 1


def _with_answer(item: Item, text: str) -> Item:
    """The same thing with another answer, as the person corrects it."""
    told = {"yes": "present", "no": "absent"}.get(text, text) if item.kind == "sign" else text
    return Item(item.kind, item.id, told, item.point, f"{item.title.rpartition(': ')[0]}: {text}", item.confidence)


def _enter(room: Room, pieces: list[Heard], taken: dict[int, Item], left: tuple[str, ...]) -> None:
    """Enter what was taken, dangers first; what was asked and not chosen is kept in the person's words."""
    pairs = entering.dangers_first([(pieces[at], item) for at, item in sorted(taken.items())], room.book)
    entered = 0
    for piece, item in pairs:
        try:
            entering.take(room.job, piece, item)
            entered += 1
        except UserError as error:
            room.talk.say(error.one_line())
    dropped = [piece.words for at, piece in enumerate(pieces) if at not in taken and not piece.ticked]
    entering.keep_unplaced(room.job, [*dropped, *left])
    room.talk.say(f"Written down: {entered} of {len(pieces)}." if pairs else "Nothing was written down but your words.")
