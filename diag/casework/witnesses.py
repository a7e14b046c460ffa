"""Who answers in a case: the people whose reliability is unknown, with what they said of themselves."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field

from diag.casework.entries import Entry, HandedOver, PersonTold, SignAnswer
from diag.inference.evidence import Witness
from diag.rulebook.model import Knobs
from diag.rulebook.steps import Person

UNTOLD: Person = "hobbyist"  # who is taken to answer while nobody has said who is at the car


@dataclass
class Witnesses:
    """Numbers those who answer, in the order they came to the job.

    Another name, a handing-over, or another training told makes another witness. What somebody passes on from others
    is nobody's own answer.
    """

    knobs: Knobs
    found: list[Witness] = field(default_factory=list)
    _people: dict[tuple[str, int], int] = field(default_factory=dict)
    _person: PersonTold | None = None
    _turn: int = 0

    def hear(self, entry: Entry) -> None:
        """Take note of who is at the car now."""
        if isinstance(entry, HandedOver):
            self._turn += 1
        elif isinstance(entry, PersonTold):
            before = self._person
            if before is not None and (before.person, before.by_phone) != (entry.person, entry.by_phone):
                self._turn += 1
            self._person = entry

    def number(self, entry: SignAnswer) -> int:
        """Which witness gave this answer; -1 where the book has no levels, or the answer is second hand."""
        if not self.knobs.witness_slips or entry.source == "second hand":
            return -1
        key = (entry.who, self._turn)
        if key not in self._people:
            self._people[key] = len(self.found)
            told = self._person
            self.found.append(
                witness_of(told.person if told else UNTOLD, told is not None and told.by_phone, self.knobs)
            )
        return self._people[key]


def witness_of(person: Person, by_phone: bool, knobs: Knobs) -> Witness:
    """The levels of somebody of this training, before anything was heard from them."""
    levels = knobs.witness_levels.get(person, {})
    names = [name for name in knobs.witness_slips if name in levels]
    odds = [levels[name] * (knobs.witness_by_phone if by_phone and at else 1.0) for at, name in enumerate(names)]
    total = sum(odds)
    return Witness(tuple(o / total for o in odds), tuple(knobs.witness_slips[name] for name in names))


def people(entries: Iterable[Entry], knobs: Knobs) -> tuple[Witness, ...]:
    """Everybody who answered in a case."""
    found = Witnesses(knobs)
    for entry in entries:
        found.hear(entry)
        if isinstance(entry, SignAnswer):
            found.number(entry)
    return tuple(found.found)
