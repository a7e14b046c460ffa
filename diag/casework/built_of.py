"""What the entries of a case say of the car as built and of the state it is in: contexts that hold or do not."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from diag.casework.certainty import is_certain
from diag.casework.entries import CarFact, Entry, ReadingTaken, SignAnswer, StepDone
from diag.fuelsystem.car import read_field
from diag.fuelsystem.fields import FIELDS
from diag.rulebook.built import NOT, decided_by, named, sign_says
from diag.rulebook.carfacts import contexts_of
from diag.rulebook.derived import derived
from diag.rulebook.findings import ABSENT, NOT_KNOWN
from diag.rulebook.model import Context, RuleBook
from diag.rulebook.steps import Action, Remedy
from diag.safety.steps import find_step
from diag.support.errors import UserError


def told_contexts(entries: Iterable[Entry], book: RuleBook, values: Mapping[str, float | str]) -> dict[str, bool]:
    """Contexts decided by sure answers and by readings, later ones winning, over what follows from the car's fields.

    Args:
        values: the car's fields, SI.
    """
    found: dict[str, bool] = {}
    for entry in entries:
        if isinstance(entry, SignAnswer) and is_certain(entry):
            found.update(_by_sign(entry, book))
        elif isinstance(entry, ReadingTaken) and entry.point in book.points:
            found.update({named(need): not need.startswith(NOT) for need in book.points[entry.point].fits})
        elif isinstance(entry, CarFact) and entry.field in book.contexts and entry.field not in FIELDS:
            found.update(_by_fact(entry, book))
        elif isinstance(entry, StepDone) and isinstance(find_step(book, entry.step), Remedy | Action):
            found = {name: told for name, told in found.items() if not book.contexts[name].lapses}
    return {**contexts_of(book.contexts.values(), values), **found}


def _by_sign(entry: SignAnswer, book: RuleBook) -> dict[str, bool]:
    said = {c.id: sign_says(c, entry.sign, entry.answer) for c in derived(book, _by_its_signs).get(entry.sign, ())}
    sign = book.signs.get(entry.sign)
    if sign is not None and entry.answer not in (ABSENT, NOT_KNOWN):  # what was seen on a part shows the part
        said |= {named(need): not need.startswith(NOT) for need in sign.fits}
    return {name: told for name, told in said.items() if told is not None}


def _by_its_signs(book: RuleBook) -> dict[str, list[Context]]:
    """The contexts that each sign says something of."""
    found: dict[str, list[Context]] = {}
    for context in book.contexts.values():
        for sign in decided_by(context):
            found.setdefault(sign, []).append(context)
    return found


def _by_fact(entry: CarFact, book: RuleBook) -> dict[str, bool]:
    try:
        value = read_field(entry.field, entry.text, "", book.contexts)
    except UserError:
        return {}
    return {} if value is None else {entry.field: value == "yes"}
