"""Carrying jobs from one store to another, byte for byte; the source is left as it is."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Literal

from diag.casework.keeping import JobStore
from diag.support.errors import UserError

Outcome = Literal["carried", "there already", "differs", "not carried"]


@dataclass(frozen=True, slots=True)
class Carried:
    """What became of one job. ``why`` says why it could not be carried, empty otherwise."""

    id: str
    outcome: Outcome
    why: str = ""


def carry(source: JobStore, target: JobStore, ids: Iterable[str]) -> Iterator[Carried]:
    """Bring jobs into another store, and read each back to see that it is the same.

    A job that the target has already is left alone there, whether it is the same or differs.
    """
    there = set(target.ids())
    for name in ids:
        try:
            yield _one(source, target, name, name in there)
        except UserError as error:
            yield Carried(name, "not carried", error.one_line())


def _one(source: JobStore, target: JobStore, name: str, there: bool) -> Carried:
    whole = source.take_out(name)
    if there:
        return Carried(name, "there already" if target.take_out(name) == whole else "differs")
    target.bring_in(whole)
    if target.take_out(name) != whole:
        return Carried(name, "not carried", "What arrived is not what was sent.")
    if source.take_out(name) != whole:
        return Carried(name, "not carried", "It was worked on while it was carried; carry it again under another name.")
    return Carried(name, "carried")
