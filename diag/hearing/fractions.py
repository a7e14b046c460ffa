"""Figures told in parts of a whole: "a litre and a quarter", "half a bar", "three eighths", "nineteen hundred metres".

They are written out as the reader of figures wants them before it looks. Common practice of speech, no source.
"""

from __future__ import annotations

import re

from diag.hearing.numbers import number_of

_UNIT = r"lit(?:re|er)s?|bars?|volts?|amps?|pints?|gallons?|pounds?"
_PART = {"half": 0.5, "quarter": 0.25, "third": 0.33, "three quarters": 0.75}
_PARTS = r"three quarters|half|quarter|third"
_AND_PART = re.compile(rf"\b(?P<count>an?|\w+) (?P<unit>{_UNIT}) and (?:an? )?(?P<part>{_PARTS})\b", re.IGNORECASE)
_PART_THEN = re.compile(
    rf"\b(?P<count>\w+) and (?:a )?(?P<part>quarter|three quarters) (?P<unit>{_UNIT})\b", re.IGNORECASE
)
_PART_OF = re.compile(rf"\b(?:a )?(?P<part>{_PARTS}) (?:of )?(?:an? )(?P<unit>{_UNIT})\b", re.IGNORECASE)
_ONE = re.compile(r"\b(?:a|one) (?P<unit>bar|lit(?:re|er)|quart|pint|gallon)(?= (?:of|in|every|out)\b)", re.IGNORECASE)
_HUNDREDS = re.compile(
    r"\b(?P<count>eleven|twelve|thirteen|fourteen|fifteen|sixteen|seventeen|eighteen|nineteen) hundred"
    r"(?: and (?P<more>[a-z]+(?:[ -][a-z]+)?))?(?= ?(?:m|ft|met(?:re|er)s?|feet|foot)\b)",
    re.IGNORECASE,
)
_CAUGHT = re.compile(
    r"\b(?P<amount>\d+(?:\.\d+)? ?(?:lit(?:re|er)s?|pints?|ml|cc))\b(?P<between>(?: (?!in\b)\w+){1,7}?)"
    r"(?P<time> in (?:about )?\S+ (?:seconds?|secs?|minutes?))",
    re.IGNORECASE,
)
_IN_A_MINUTE = re.compile(r"\b(?P<of>lit(?:re|er)s?|pints?|ml|cc) in (?:a|one) minute\b", re.IGNORECASE)
_BORES = re.compile(
    r"\b(?P<top>one|three|five|seven|1|3|5|7)[ -](?P<bottom>eighths?|sixteenths?|quarters?)\b(?!(?: full| of a tank))"
    r"(?: (?:of an )?inch(?:es)?)?",
    re.IGNORECASE,
)
_OF_A_PIPE = re.compile(r"\b(?:return|feed|supply|pipe|hose|line|tube|bore)", re.IGNORECASE)
_BOTTOM = {"eighth": 8, "sixteenth": 16, "quarter": 4}
INCHES = re.compile(r"(?<![\d/])(([1-9])/(2|4|8|16))(?: ?(?:inch(?:es)?|in|\"))(?!\w)", re.IGNORECASE)
"""A bore in parts of an inch, as digits."""


def in_parts(text: str) -> str:
    """The text with every such figure in digits and with its unit behind it."""
    text = _AND_PART.sub(_added, text)
    text = _PART_THEN.sub(_added, text)
    text = _PART_OF.sub(lambda f: f"{_PART[f['part'].lower()]:g} {f['unit']}", text)
    text = _ONE.sub(lambda f: f"1 {f['unit']}", text)
    text = _HUNDREDS.sub(_hundreds, text)
    text = _IN_A_MINUTE.sub(lambda f: f"{f['of']} in 60 seconds", text)
    text = _CAUGHT.sub(lambda f: f"{f['amount']}{f['time']}{f['between']}", text)
    return _BORES.sub(_inches, text) if _OF_A_PIPE.search(text) else text


def _count(said: str) -> float | None:
    if said.lower() in ("a", "an"):
        return 1.0
    return float(said) if said.isdigit() else number_of(said)


def _added(found: re.Match[str]) -> str:
    count = _count(found["count"])
    return found[0] if count is None else f"{count + _PART[found['part'].lower()]:g} {found['unit']}"


def _hundreds(found: re.Match[str]) -> str:
    count, more = number_of(found["count"]), number_of(found["more"]) if found["more"] else 0.0
    return found[0] if count is None or more is None else f"{100 * count + more:g}"


def _inches(found: re.Match[str]) -> str:
    top = found["top"] if found["top"].isdigit() else f"{number_of(found['top']):g}"
    bottom = _BOTTOM[found["bottom"].lower().rstrip("s")]
    return found[0] if bottom == 4 and top not in ("1", "3") else f"{top}/{bottom} in"
