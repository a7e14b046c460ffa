"""A measured value as a person types it, read for what the book says is measured."""

from __future__ import annotations

import re

from diag.quantities import Amount, parse, show, show_dial
from diag.rulebook.findings import MetIn, ReadingKind

# A vacuum and boost gauge counts vacuum in inches or millimetres of mercury; boost in these units is said to be boost.
_MERCURY = re.compile(r"\d\s*(?:in(?:ch(?:es)?)?\.?\s*(?:of\s*)?hg|mm\s*hg|cm\s*hg|inches|in|\")\s*$", re.IGNORECASE)
_BARE_INCHES = re.compile(r"(\d)\s*(?:inches|in|\")\s*$", re.IGNORECASE)


_IT = r"(?:it|the fault|the car|the engine|all)"
_WHILE = rf"[\s,;(]*\b(?:while|when(?:ever)?|as(?: long as)?|at the moment|the moment)\s+(?:{_IT}\s+)?"
_END = r"[\s).]*$"
_FAILS = r"(?:fails|is failing|fades|cuts(?: out)?|dies|is dying|stalls|plays up|acts up|goes wrong|is bad)"
_WELL = r"(?:(?:is|runs|was|ran)\s+)?(?:well|good|fine|all right|as it should)"
_BOUT = re.compile(rf"{_WHILE}{_FAILS}{_END}|[\s,;(]*\bon a bad day{_END}", re.IGNORECASE)
_REST = re.compile(rf"{_WHILE}{_WELL}{_END}|[\s,;(]*\bon a good day{_END}", re.IGNORECASE)


def met_in(text: str) -> MetIn:
    """Whether a value was said to be read while a fault that comes and goes showed itself, or while all was well."""
    return "bout" if _BOUT.search(text) else "rest" if _REST.search(text) else ""


def read_typed(text: str, kind: ReadingKind, unit_pressure: str) -> Amount:
    """The value somebody typed; a pressure without a unit is in the case's unit.

    Of "12 psi while it fails" and "43 psi while it is well" the value: see ``met_in``. On a vacuum and boost gauge
    "17.5 inHg", and "17.5 in", are a vacuum: common practice, no source.

    Raises:
        QuantityError: it cannot be understood.
    """
    text = _REST.sub("", _BOUT.sub("", text)) if met_in(text) else text
    if kind.quantity == "pressure" and kind.on_vacuum_gauge and _MERCURY.search(text) and "-" not in text:
        text = _BARE_INCHES.sub(r"\1 inHg", text.strip()) + " vacuum"
    return parse(text, kind.quantity, unit_pressure if kind.quantity == "pressure" else "", kind.title)


def shown_as_read(value: float, kind: ReadingKind, unit: str | None = None) -> str:
    """A value (SI) of this reading as its instrument shows it."""
    return (show_dial if kind.on_vacuum_gauge else show)(value, kind.quantity, unit)
