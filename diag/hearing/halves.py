"""One figure told in two halves: a correction ("34 not 43"), a span ("could be 40, could be 45", "between 30 and 50").

Of a fall ("3 to 1.9 bar") the end was read in the state that is told.

For a text in which numbers are digits already. Common practice of speech, no source.
"""

from __future__ import annotations

import re

_UNIT = r"(?: ?(?:psi|pounds?|lbs?|bars?|kpa|volts?|v|amps?|a|inhg|in(?:ches)?))?(?![\w])"
_NUMBER = r"\d+(?:\.\d+)?"
_MAY = r"(?:it )?(?:could|might|may|can)(?: \w+)? be (?:about |around )?"
_CORRECTED = re.compile(
    rf"\b(?P<lead>it(?:'s| is| was)|that(?:'s| is| was)|make (?:it|that))?(?P<gap> ?)(?P<right>{_NUMBER}{_UNIT}),? "
    rf"(?:and )?(?:not|instead of|rather than) (?P<wrong>{_NUMBER}{_UNIT})",
    re.IGNORECASE,
)
_MAYBE = re.compile(rf"\b{_MAY}(?P<low>{_NUMBER})(?P<unit>{_UNIT}),? (?:or )?{_MAY}(?P<high>{_NUMBER})", re.IGNORECASE)
_DOWN = re.compile(rf"\b(?P<from>{_NUMBER}){_UNIT} (?:down )?to (?P<to>{_NUMBER})(?![\w.])", re.IGNORECASE)
_BETWEEN = re.compile(
    rf"\b(?:anywhere |anything |somewhere )?(?:between|from) (?P<low>{_NUMBER}){_UNIT} and (?P<high>{_NUMBER})",
    re.IGNORECASE,
)


def in_one(text: str) -> str:
    """The text with such figures as one; of a correction what holds."""
    text = _CORRECTED.sub(_what_holds, text)
    text = _MAYBE.sub(lambda f: f"could be {_span(f['low'], f['high'])}", text)
    text = _BETWEEN.sub(lambda f: _span(f["low"], f["high"]), text)
    return _DOWN.sub(lambda f: f["to"] if float(f["from"]) > float(f["to"]) else f[0], text)


def _what_holds(found: re.Match[str]) -> str:
    """What was put right is what was read, also where no other word speaks of a gauge."""
    return f"it reads {found['right']}" if found["lead"] else f"{found['gap']}{found['right']}"


def _span(one: str, other: str) -> str:
    low, high = sorted((one, other), key=float)
    return f"{low} to {high}"
