"""Facts that follow from the car's fields instead of being asked: "fuel: E85, methanol" or "altitude: over 1500 m"."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import lru_cache

from diag.fuelsystem.fields import CHOICE
from diag.quantities import parse
from diag.rulebook.model import Context
from diag.rulebook.physics import CAR_FIELDS, CAR_KINDS
from diag.support.errors import QuantityError, UnknownNameError

_LIMIT = re.compile(r"(over|under)\s+(.+)")


@dataclass(frozen=True, slots=True)
class CarFact:
    """A field with the words that make the fact true, or with a limit in SI and its side."""

    field: str
    words: frozenset[str] = frozenset()
    side: str = ""
    limit: float = 0.0

    def holds(self, values: Mapping[str, str | float]) -> bool | None:
        """Whether the fact is true of a car with these field values (SI); None when the field is not known."""
        value = values.get(self.field)
        if value is None:
            return None
        if self.side:
            number = float(value)
            return number > self.limit if self.side == "over" else number < self.limit
        return str(value) in self.words


@lru_cache(maxsize=256)
def car_fact(text: str) -> CarFact:
    """Read ``when_car``.

    Raises:
        UnknownNameError: no such field, or a word the field cannot take.
        QuantityError: a limit that is no amount of the field's kind.
    """
    field, _, rest = (part.strip() for part in text.partition(":"))
    if field not in CAR_FIELDS:
        raise UnknownNameError("car field", field, CAR_FIELDS)
    match = _LIMIT.fullmatch(rest)
    if match:
        if CAR_KINDS[field] == CHOICE:
            raise QuantityError(f"The car field {field!r} has no amount.", "List the words that make it true.")
        return CarFact(field, frozenset(), match[1], parse(match[2], CAR_KINDS[field]).value)
    words = frozenset(word.strip() for word in rest.split(","))
    for word in sorted(words):
        if CAR_FIELDS[field] and word not in CAR_FIELDS[field]:
            raise UnknownNameError(f"value of {field!r}", word, CAR_FIELDS[field])
        if not CAR_FIELDS[field] and CAR_KINDS[field] != CHOICE:
            raise QuantityError(f"The car field {field!r} is an amount.", "Write 'over' or 'under' and an amount.")
    return CarFact(field, words)


def holds(when_car: str, values: Mapping[str, str | float]) -> bool | None:
    """Whether a context's ``when_car`` is true of a car; None when there is none or the field is not known."""
    return car_fact(when_car).holds(values) if when_car else None


def contexts_of(contexts: Iterable[Context], values: Mapping[str, str | float]) -> dict[str, bool]:
    """The contexts that follow from the fields of a car (SI); those whose field is not known are left out."""
    found = {context.id: holds(context.when_car, values) for context in contexts}
    return {name: told for name, told in found.items() if told is not None}
