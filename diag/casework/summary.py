"""What lists, searches and learning need of a case, without replaying it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from diag.casework.entries import (
    Believed,
    CarFact,
    Case,
    Entry,
    HandedOver,
    KeptEvidence,
    Note,
    Outcome,
    ReadingTaken,
    SignAnswer,
    StatusSet,
    StepDone,
)

MOST_TEXT = 20_000


@dataclass(frozen=True, slots=True)
class Summary:
    """One job in a few fields. ``changed`` is the time of the last entry; ``book`` the version last worked with.

    ``steps`` are the steps done in order with the minutes told (None when not told); ``believed`` are the rankings
    written before the outcome, each with how many steps had been done by then.
    """

    id: str
    title: str
    opened: str
    changed: str
    status: str
    result: str
    proven: bool
    causes: tuple[str, ...]
    steps: tuple[tuple[str, float | None], ...]
    believed: tuple[tuple[int, Mapping[str, float]], ...]
    car: Mapping[str, str]
    people: tuple[str, ...]
    book: str
    text: str


def summary_of(case: Case) -> Summary:
    """The summary of one case; pure and quick."""
    counted = case.effective()
    outcome = next((entry for entry in reversed(counted) if isinstance(entry, Outcome)), None)
    return Summary(
        id=case.id,
        title=case.title,
        opened=case.opened,
        changed=case.entries[-1].at if case.entries else case.opened,
        status=status_of(case),
        result=outcome.result if outcome else "",
        proven=outcome.proven if outcome else False,
        causes=outcome.causes if outcome else (),
        steps=tuple((entry.step, entry.minutes) for entry in counted if isinstance(entry, StepDone)),
        believed=predictions_of(counted),
        car={entry.field: entry.text for entry in counted if isinstance(entry, CarFact) and entry.text},
        people=tuple(dict.fromkeys(entry.who for entry in case.entries)),
        book=case.book_version,
        text=_searchable(case, counted),
    )


def status_of(case: Case) -> str:
    """The last status told; a job with an outcome and no later status is closed."""
    for entry in reversed(case.effective()):
        if isinstance(entry, StatusSet):
            return entry.status
        if isinstance(entry, Outcome):
            return "closed"
    return "open"


def predictions_of(counted: Iterable[Entry]) -> tuple[tuple[int, Mapping[str, float]], ...]:
    """The rankings written before the first outcome, each with the number of steps done before it."""
    found: list[tuple[int, Mapping[str, float]]] = []
    steps = 0
    for entry in counted:
        if isinstance(entry, Outcome):
            break
        steps += isinstance(entry, StepDone)
        if isinstance(entry, Believed):
            found.append((steps, dict(entry.ranking)))
    return tuple(found)


def _searchable(case: Case, counted: tuple[Entry, ...]) -> str:
    """Everything a person might search for, small letters, without the numbers' SI values."""
    words: list[str] = [case.id, case.title]
    for entry in counted:
        words.append(entry.who)
        if isinstance(entry, SignAnswer):
            words += [entry.sign, entry.answer, entry.text, entry.place_seen]
        elif isinstance(entry, ReadingTaken):
            words += [entry.reading, entry.point, entry.text]
        elif isinstance(entry, StepDone):
            words += [entry.step, entry.text]
        elif isinstance(entry, Outcome):
            words += [entry.result, *entry.causes, entry.text]
        elif isinstance(entry, CarFact):
            words += [entry.field, entry.text]
        elif isinstance(entry, HandedOver):
            words += [entry.to, entry.text]
        elif isinstance(entry, Note | KeptEvidence | StatusSet):
            words.append(entry.text)
    return " ".join(dict.fromkeys(word.lower() for word in words if word))[:MOST_TEXT]
