"""A case: the job's append-only list of entries. Frozen data; nothing here reads files or computes."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

from diag.rulebook.findings import MetIn
from diag.rulebook.steps import Person

Sure = Literal["sure", "unsure"]
Source = Literal["own eyes", "second hand"]
Status = Literal["open", "waiting for part", "closed"]
About = Literal["photo", "mark", "bought", "found inside"]
MOST_MINUTES = 144_000.0
"""The longest that one step may be said to have taken: a hundred days."""
STATUSES: tuple[Status, ...] = ("open", "waiting for part", "closed")


@dataclass(frozen=True, slots=True)
class Entry:
    """What every entry has. ``number`` counts from 1 and never changes; ``at`` is an ISO 8601 time, UTC.

    ``extra`` holds fields that a newer program wrote and this one does not know; they are kept and written back.
    """

    number: int
    at: str
    who: str
    extra: Mapping[str, object] = field(default_factory=dict, kw_only=True)


@dataclass(frozen=True, slots=True)
class CarFact(Entry):
    """A field of the car as told: the field's id and the text as typed; empty text means not known."""

    field: str
    text: str


@dataclass(frozen=True, slots=True)
class SignAnswer(Entry):
    """An answer about a sign: present, absent, not known, or a choice."""

    sign: str
    answer: str
    sure: Sure = "sure"
    source: Source = "own eyes"
    check: str = ""  # the check it came from; empty: told unasked
    text: str = ""
    place_seen: str = ""  # where on the car, for look-overs answered place by place


@dataclass(frozen=True, slots=True)
class ReadingTaken(Entry):
    """A measured value. ``text`` is what was typed; the numbers are SI and derived from it when entered.

    ``error`` is the standard error of this one figure where it is known, SI; 0: the book's for this kind of reading.
    ``met_in`` says whether a fault that comes and goes showed itself then. ``log`` names the data log it was taken
    from; what a log recorded at some time says nothing of the present moment.
    """

    reading: str
    point: str
    text: str
    value: float
    low: float
    high: float
    bound: str = ""
    gauge: str = "main"
    conditions: Mapping[str, float] = field(default_factory=dict)
    check: str = ""
    sure: Sure = "sure"
    error: float = 0.0
    log: str = ""
    source: Source = "own eyes"
    met_in: MetIn = ""


@dataclass(frozen=True, slots=True)
class StepDone(Entry):
    """A check, setup, action or remedy that was carried out. ``minutes`` is the time it took, when told."""

    step: str
    minutes: float | None = None
    text: str = ""


@dataclass(frozen=True, slots=True)
class StepRefused(Entry):
    """A proposed step that was not done: cannot, not now, or skipped."""

    step: str
    why: Literal["cannot", "later", "skip"]
    text: str = ""


@dataclass(frozen=True, slots=True)
class PersonTold(Entry):
    """Who is at the car, and what they have: the wall and the wording depend on it."""

    person: Person
    by_phone: bool = False
    second_person: bool = False
    ventilated: bool = True
    tools: tuple[str, ...] | None = None


@dataclass(frozen=True, slots=True)
class Acknowledged(Entry):
    """A caution or stop rule that was read and accepted."""

    rule: str


@dataclass(frozen=True, slots=True)
class HandedOver(Entry):
    """The job goes to another person; a dry look by the first no longer counts."""

    to: str
    text: str = ""


@dataclass(frozen=True, slots=True)
class Note(Entry):
    """Free text."""

    text: str


@dataclass(frozen=True, slots=True)
class KeptEvidence(Entry):
    """Something kept for a suspect-part report: a photo's name, a mark seen, where bought, as told."""

    about: About
    text: str


@dataclass(frozen=True, slots=True)
class StatusSet(Entry):
    """Open, waiting for part or closed."""

    status: Status
    text: str = ""


@dataclass(frozen=True, slots=True)
class Outcome(Entry):
    """How the job ended: what was cured, and whether that was proven."""

    result: Literal["cured", "not cured", "could not reproduce", "handed on", "normal"]
    causes: tuple[str, ...] = ()
    proven: bool = False
    text: str = ""


@dataclass(frozen=True, slots=True)
class Believed(Entry):
    """What the program ranked at that moment: cause ids with their probability, and the book it used.

    Written before a remedy, at the end of a session and at the outcome. It changes no belief; it lets a later
    replay show what a changed rule book makes of the same job, and it is what calibration is measured on.
    """

    ranking: Mapping[str, float]
    book_version: str = ""
    book_fingerprint: str = ""


@dataclass(frozen=True, slots=True)
class Unread(Entry):
    """An entry of a kind that only a newer program knows: kept and written back, never interpreted."""

    kind: str


@dataclass(frozen=True, slots=True)
class Retracted(Entry):
    """Takes back an earlier entry."""

    target: int
    why: str = ""


@dataclass(frozen=True, slots=True)
class Replaced(Entry):
    """Puts a new answer in the place of an earlier entry; the new one keeps the old one's position."""

    target: int
    by: Entry


@dataclass(frozen=True, slots=True)
class Case:
    """One job. ``format`` is the file format's version; ``book`` names the rule book it was last worked with."""

    id: str
    title: str
    opened: str
    book_version: str
    book_fingerprint: str
    unit_pressure: str = "psi"  # the unit of values typed without one
    format: int = 1
    entries: tuple[Entry, ...] = ()
    minor: int = 0  # minor version of the format; newer minors only add fields
    extra: Mapping[str, object] = field(default_factory=dict)  # header fields only a newer program knows

    def effective(self) -> tuple[Entry, ...]:
        """The entries that count: retractions and replacements applied, in order."""
        gone: set[int] = set()
        new: dict[int, Entry] = {}
        for entry in self.entries:
            if isinstance(entry, Retracted):
                gone.add(entry.target)
                new.pop(entry.target, None)
            elif isinstance(entry, Replaced):
                new[entry.target] = entry.by
                gone.discard(entry.target)
        result: list[Entry] = []
        for entry in self.entries:
            if isinstance(entry, Retracted | Replaced) or entry.number in gone:
                continue
            result.append(new.get(entry.number, entry))
        return tuple(result)
