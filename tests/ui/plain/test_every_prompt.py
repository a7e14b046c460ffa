"""Help, car, jobs, ? and quit at every prompt there is: the same question comes again, and nothing was answered."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from diag.casework.replay import ModelCache
from diag.casework.store import CaseStore
from diag.ui.plain.conversation import Conversation
from diag.ui.plain.talk import Talk
from tests.ui.plain.person import Line, the_book

ASIDES = ("?", "help", "car", "jobs")
CACHE: ModelCache = {}  # the same cars come again in every test here
ROADS: dict[str, list[Line]] = {
    "from the complaint to the first value": [
        "gibberish qwertz", "won't start, no hum from the pump", "", "mechanic, no clamp", "all dry", "others", "do 1",
        "tell", "it smells of petrol", "none", "car target-pressure", "43.5 psi", "note", "the owner waits",
    ],
    "wet fuel and what follows": [
        "puddle of petrol under the car", "", "understood", "mechanic", "one by one", "u", "yes", "understood", "undo",
    ],
    "beside the job": [
        "runs rich", "", "mechanic", "all dry", "hand over", "Oskar", "log nowhere.csv", "", "log", "",
        "desk return", "", "", "quit",
    ],
    "a second job": ["runs rich", "", "", "new", "runs lean", "", "", "all dry", "do pressure in the return"],
    "after a repair": [
        "regulator weeping", "", "understood", "mechanic", "still", "no", "finish", "1", "", "", "",
    ],
}  # fmt: skip


class Asking:
    """Says the lines of a road, and at every prompt of a new kind an aside first."""

    def __init__(self, road: list[Line], store: CaseStore, quit_at: str = "") -> None:
        self.road, self.quit_at = list(road), quit_at
        self.chunks: list[str] = []
        self.kinds: list[str] = []
        self.waiting: list[str] = []
        self.before: tuple[str, int] = ("", 0)
        self.wrong: list[str] = []
        self.room = Conversation(store, the_book(), Talk(self._read, self.chunks.append), "Mira")
        self.room.cache = CACHE

    def _state(self) -> tuple[str, int]:
        told = sum(len(job.case.entries) for job in self.room.jobs)
        return self.chunks[-1].rstrip("> \n"), told

    def _read(self) -> str | None:
        assert len(self.chunks) < 6000, "round in circles:\n" + "".join(self.chunks)[-2000:]
        here = self._state()
        kind = re.sub(r"\d+|'.*'", "", here[0])[:40]
        if self.waiting and here != self.before:
            self.wrong.append(f"{self.said!r} at {self.before} led to {here}")
        if not self.waiting and kind not in self.kinds:
            self.kinds.append(kind)
            if kind == self.quit_at:
                self.road = ["quit"]
                return self.road.pop()
            self.waiting = [] if self.quit_at else list(ASIDES)
        elif self.waiting:
            self.waiting.pop(0)
        if self.waiting:
            self.before, self.said = here, self.waiting[0]
            return self.said
        if not self.road:
            return None
        line = self.road.pop(0)
        assert isinstance(line, str)
        return line


@pytest.mark.parametrize("road", ROADS)
def test_an_aside_leads_back_to_the_same_question(road: str, tmp_path: Path) -> None:
    """At each kind of prompt of a whole job, each aside: the prompt comes again and no entry was made."""
    found = Asking(ROADS[road], CaseStore(tmp_path))
    found.room.run()
    assert found.wrong == []
    assert len(found.kinds) >= 5, found.kinds


@pytest.mark.parametrize("road", ROADS)
def test_quit_ends_at_every_prompt(road: str, tmp_path: Path) -> None:
    """Said at each kind of prompt it ends the conversation: nothing else is asked, and every answer is on disk."""
    first = Asking(ROADS[road], CaseStore(tmp_path / "first"))
    first.room.run()
    for at, kind in enumerate(first.kinds):
        found = Asking(ROADS[road], CaseStore(tmp_path / str(at)), quit_at=kind)
        found.room.run()
        assert found.kinds[-1] == kind, f"{kind!r} was followed by {found.kinds[-1]!r}"
        assert all(job.is_kept and not job.unsaved for job in found.room.open)
