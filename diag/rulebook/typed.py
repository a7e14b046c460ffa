"""A measured value as a person types it, read for what the book says is measured."""

from __future__ import annotations

import re

from diag.quantities import Amount, parse, show, show_dial
from diag.rulebook.findings import ReadingKind

# A vacuum and boost gauge counts vacuum in inches or millimetres of mercury; boost in these units is said to be boost.
_MERCURY = re.compile(r"\d\s*(?:in(?:ch(?:es)?)?\.?\s*(?:of\s*)?hg|mm\s*hg|cm\s*hg|inches|in|\")\s*$", re.IGNORECASE)
_BARE_INCHES = re.compile(r"(\d)\s*(?:inches|in|\")\s*$", re.IGNORECASE)


def read_typed(text: str, kind: ReadingKind, unit_pressure: str) -> Amount:
    """The value somebody typed; a pressure without a unit is in the case's unit.

    On a vacuum and boost gauge "17.5 inHg", and "17.5 in", are a vacuum: common practice, no source.

    Raises:
        QuantityError: it cannot be understood.
    """
    if kind.quantity == "pressure" and kind.on_vacuum_gauge and _MERCURY.search(text) and "-" not in text:
        text = _BARE_INCHES.sub(r"\1 inHg", text.strip()) + " vacuum"
    return parse(text, kind.quantity, unit_pressure if kind.quantity == "pressure" else "", kind.title)


def shown_as_read(value: float, kind: ReadingKind, unit: str | None = None) -> str:
    """A value (SI) of this reading as its instrument shows it."""
    return (show_dial if kind.on_vacuum_gauge else show)(value, kind.quantity, unit)
