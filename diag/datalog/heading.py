"""A column's heading: its name, its unit, and whether a pressure is counted from nothing or from the air."""

from __future__ import annotations

import re
from dataclasses import dataclass

from diag.quantities.kinds import find_unit
from diag.support.text import one_line

KINDS = ("time", "pressure", "vacuum", "speed", "voltage", "flow", "percent", "temperature", "current")
_BRACKETED = re.compile(r"^(.*?)[\s_]*[\[({<]([^\])}>]*)[\])}>]\s*$")
_TAIL = re.compile(r"^(.*?\S)[\s_,;:/-]+([^\s_,;:]+(?: abs| gauge| absolute)?)\s*$")
_ABSOLUTE = re.compile(r"^(.*?)[\s._(]*(?:absolute|abs\.?|\(a\))\)?$|^(psi|bar|kpa)\s?a$", re.IGNORECASE)
_GAUGE = re.compile(r"^(.*?)[\s._(]*(?:gauge|rel\.?|relative|\(g\))\)?$|^(psi|bar|kpa)\s?g$", re.IGNORECASE)
_NOT_UNITS = frozenset({"a", "b", "at", "in", "x", "d", "m", "r", "k", "lb", "p", "t"})
"""Spellings of units that are far more often something else at the end of a heading without brackets."""


@dataclass(frozen=True, slots=True)
class Heading:
    """One column: the name without its unit, the unit as spelled, its kinds, and "absolute", "gauge" or nothing."""

    text: str
    name: str
    unit: str = ""
    kinds: tuple[str, ...] = ()
    counted: str = ""


def read_unit(text: str) -> tuple[str, tuple[str, ...], str]:
    """A unit as spelled in a log: its spelling without abs or gauge, the kinds it may be of, and which of the two."""
    spelled, counted = one_line(text, 24).strip(" .\"'"), ""
    for pattern, word in ((_ABSOLUTE, "absolute"), (_GAUGE, "gauge")):
        found = pattern.match(spelled)
        if found:
            spelled, counted = (found.group(1) or found.group(2) or "").strip(), word
            break
    spelled = spelled.replace("°", "deg").replace("\ufffd", "deg")
    kinds = tuple(kind for kind in KINDS if spelled and find_unit(spelled, kind) is not None)
    return (spelled, kinds, counted) if kinds else ("", (), "")


def read_heading(text: str, unit_below: str = "") -> Heading:
    """A heading with its unit: from a row of units, from brackets, or from the last word."""
    shown = one_line(text, 80).strip().strip('"')
    if unit_below:
        unit, kinds, counted = read_unit(unit_below.strip("[](){} "))
        if kinds:
            return Heading(shown, _BRACKETED.sub(r"\1", shown), unit, kinds, counted or _counted(shown))
    bracketed = _BRACKETED.match(shown)
    if bracketed:
        unit, kinds, counted = read_unit(bracketed.group(2))
        return Heading(shown, bracketed.group(1).strip() or shown, unit, kinds, counted or _counted(shown))
    tail = _TAIL.match(shown)
    if tail and tail.group(2).lower() not in _NOT_UNITS:
        unit, kinds, counted = read_unit(tail.group(2))
        if kinds:
            return Heading(shown, tail.group(1), unit, kinds, counted or _counted(shown))
    return Heading(shown, shown, counted=_counted(shown))


def _counted(text: str) -> str:
    low = text.lower()
    if "absolute" in low or re.search(r"\babs\b", low):
        return "absolute"
    return "gauge" if re.search(r"\b(gauge|relative)\b", low) else ""
