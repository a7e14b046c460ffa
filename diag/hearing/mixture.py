"""The mixture and the fuel trim told as a number: "point nine five lambda", "fourteen to one", "plus 18 percent".

Which finding a number means depends on the load: at full load an engine is meant to run rich of lambda 1, so that the
same 0.97 is lean there and nothing at a cruise. Bounds: about five parts in a hundred from the usual target (lambda 1
at idle and cruise, 0.8 to 0.92 at full load; common practice, no source). Parts of air to one of fuel are read on the
scale of petrol, 14.7 to lambda 1, as the instruments show them whatever the fuel. A trim up to five per cent is usual,
one above eight is not (common practice, no source).
"""

from __future__ import annotations

import re
from dataclasses import dataclass

STOICHIOMETRIC = 14.7  # parts of air to one of petrol by mass
_LAMBDA, _PARTS = (0.55, 1.7), (8.5, 22.0)  # what can be meant by such a number
LEAN, RICH = 1.05, 0.95
LEAN_AT_LOAD, RICH_AT_LOAD = 0.95, 0.75
_DOUBTFUL = 0.015  # so near the bound the finding is offered and not ticked
TRIM_USUAL, TRIM_OFF = 5.0, 8.0  # per cent

_NUMBER = r"(?P<number>\d{1,2}(?:\.\d{1,2})?)"
_METER = r"(?:lambda|wide ?band|afrs?|air[ -/]?fuel(?: ratio)?|mixture|sniffer|o2|analyser|a/f)"
_MIXTURE = re.compile(
    rf"\b{_METER}\b[^.;!?\d]{{0,40}}?(?<![\d.]){_NUMBER}(?![\d.]*\d)(?: ?(?:lambda|afr|to (?:one|1)\b|: ?1))?|"
    rf"(?<![\d.]){_NUMBER.replace('number', 'other')} ?(?:lambda\b|afr\b|: ?1\b|to (?:one|1)\b)",
    re.IGNORECASE,
)
_BOOST = re.compile(r"\bboost\w*|on the turbo|spool\w*", re.IGNORECASE)
_LOAD = re.compile(
    r"\b(?:full|heavy|high|under|wide open|wot|flat out|floored|foot down|load|pull\w*|hill|top end|red ?line|climbing|"
    r"accelerat\w*|power)\b",
    re.IGNORECASE,
)
_IDLE = re.compile(r"\b(?:idl\w+|tick ?over|ticking over|standing still)\b", re.IGNORECASE)
_TRIM = re.compile(
    r"\b(?:(?:(?:long|short)(?:[- ]?term)?(?: fuel)?|fuel|both|ltft|stft)[- ]?)?(?:trims?|terms?|ltft|stft|"
    r"corrections?)\b"
    r"(?P<way>[^.;!?\d]{0,36}?)(?<![\d.])(?P<number>\d{1,2}(?:\.\d)?)(?: ?(?:%|per ?cent))?(?P<after>(?: \w+){0,2})",
    re.IGNORECASE,
)
_DOWN = re.compile(
    r"\b(?:minus|negative|pulling|taking|taken|takes|removing|subtract\w*|cutting|out|away|down)\b|-$", re.I
)
_NOT = re.compile(r"\b(?:no|not|never|nowhere)\b|n't\b", re.IGNORECASE)
_TRIMS_NAMED = re.compile(r"\b(?:fuel|long|short|term)\b|trim|[ls]tft", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Mixture:
    """What a number says: findings, the likeliest first, where it stands, and whether it is beyond doubt."""

    signs: tuple[str, ...]
    start: int
    end: int
    clear: bool


def mixtures(text: str) -> list[Mixture]:
    """Every mixture and trim told as a number, in a text in which numbers are digits already."""
    found = [_trim(m) for m in _TRIM.finditer(text) if _TRIMS_NAMED.search(m[0]) and not _NOT.search(m["way"])]
    plain = text
    for trim in found:
        plain = f"{plain[: trim.start]}{' ' * (trim.end - trim.start)}{plain[trim.end :]}"
    return [*found, *(made for m in _MIXTURE.finditer(plain) if (made := _mixture(m, text)) is not None)]


def _mixture(found: re.Match[str], text: str) -> Mixture | None:
    number = float(found["number"] or found["other"])
    if _PARTS[0] <= number <= _PARTS[1]:
        number /= STOICHIOMETRIC
    elif not _LAMBDA[0] <= number <= _LAMBDA[1]:
        return None
    boost, load, idle = (says.search(text) is not None for says in (_BOOST, _LOAD, _IDLE))
    high = (boost or load) and not idle
    lean, rich = (LEAN_AT_LOAD, RICH_AT_LOAD) if high else (LEAN, RICH)
    if number >= lean - _DOUBTFUL:
        signs = ("lean-in-boost", "lean-readings") if boost and high else ("lean-readings",) if high else ()
        signs = signs or (("runs-lean", "lean-readings") if idle else ("lean-readings", "runs-lean"))
        return Mixture(signs, *found.span(), number >= lean + _DOUBTFUL)
    if number <= rich + _DOUBTFUL:
        signs = ("rich-under-load",) if high else ("rich-at-idle", "runs-rich") if idle else ("runs-rich",)
        return Mixture(signs, *found.span(), number <= rich - _DOUBTFUL)
    return Mixture((), *found.span(), True)


def _trim(found: re.Match[str]) -> Mixture:
    down = _DOWN.search(found["way"]) or _DOWN.search(found["after"])
    size = float(found["number"])
    sign = "trims-negative" if down else "trims-positive"
    end = found.end() if down and _DOWN.search(found["after"]) else found.end() - len(found["after"])
    if size <= TRIM_USUAL:
        return Mixture((f"!{sign}",), found.start(), end, True)
    return Mixture((sign,), found.start(), end, size >= TRIM_OFF)
