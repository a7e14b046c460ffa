"""Somebody who talks to the line mode: fixed lines, and lines that depend on what is asked."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import cache

from diag.casework.store import CaseStore
from diag.rulebook.load import load_book
from diag.rulebook.model import RuleBook
from diag.session.job import Job
from diag.session.kept import new_case
from diag.ui.plain import checklist
from diag.ui.plain.conversation import Conversation
from diag.ui.plain.talk import Talk
from tests import ROOT

Line = str | Callable[[Conversation], str | None]
MOST_LINES = 400


@cache
def the_book() -> RuleBook:
    """The shipped rule book."""
    return load_book(ROOT / "rules")


class Person:
    """Gives the lines of a script, one at each prompt; a callable is asked again and again until it gives None."""

    def __init__(self, script: Sequence[Line], source: Job | CaseStore | None = None, **more: object) -> None:
        self.script = list(script)
        self.chunks: list[str] = []
        self.given = 0
        if source is None:
            source = Job(new_case(the_book(), "Wren"), the_book(), who="Mira")
        talk = Talk(self._read, self.chunks.append)
        self.room = Conversation(source, the_book(), talk, **{"who": "Mira", **more})  # type: ignore[arg-type]
        self.marks: list[int] = []

    def _read(self) -> str | None:
        self.given += 1
        assert self.given < MOST_LINES, "the conversation goes round in circles:\n" + self.said[-3000:]
        while self.script:
            line = self.script[0]
            if isinstance(line, str):
                self.script.pop(0)
                self.marks.append(len(self.chunks))
                return line
            text = line(self.room)
            if text is not None:
                return text
            self.script.pop(0)
        return None

    def run(self, case_id: str = "", title: str = "") -> Person:
        """Talk until the script is used up."""
        self.code = self.room.run(case_id, title)
        return self

    @property
    def said(self) -> str:
        """Everything the program said."""
        return "".join(self.chunks)

    def after(self, number: int) -> str:
        """What was said between the ``number``-th fixed line (from 0) and the next one."""
        end = self.marks[number + 1] if number + 1 < len(self.marks) else len(self.chunks)
        return "".join(self.chunks[self.marks[number] : end])


def dry(room: Conversation) -> str | None:
    """Answer the look-over dry, in one line."""
    return "all dry" if checklist.is_look_over(room, room.task) else None


def ready(room: Conversation) -> str | None:
    """Do what must be done first, looking over wherever asked."""
    if room.task.kind == "do":
        return "done"
    return dry(room)
