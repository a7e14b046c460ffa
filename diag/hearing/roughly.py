"""How people say a figure that they do not mean exactly: "fifty odd", "just shy of forty", "mid thirties".

Each is put into the few words that ``diag.hearing.figures`` and the reader of quantities know. Common practice of
speech, no source.
"""

from __future__ import annotations

import re

from diag.hearing.numbers import number_of

_TENS = "twent|thirt|fort|fift|sixt|sevent|eight|ninet"
_IN_THE = re.compile(
    rf"\b(?:in the |the )?(?P<where>low|lower|mid|middle|high|upper|early|late)?(?:[- ](?:to[- ]\w+[- ])?)?"
    rf"(?P<tens>{_TENS})ies\b",
    re.IGNORECASE,
)
_WITHIN = {"low": 2, "lower": 2, "early": 2, "mid": 5, "middle": 5, "high": 8, "upper": 8, "late": 8, "": 5}
_A_LITTLE = r"(?:just|only just|a (?:tad|shade|touch|whisker|bit|hair|gnat'?s \w+|fraction|little|smidge\w*))"
_SAID: tuple[tuple[str, str], ...] = (
    (r"(?P<n>\d+|[a-z]+ty(?:[- ](?:one|two|three|four|five|six|seven|eight|nine))?|hundred)[- ]odd\b", r"about \g<n>"),
    (r"(?P<n>\d+(?:\.\d+)?|[a-z]+(?:ty|teen)(?:[- ](?:one|two|three|four|five|six|seven|eight|nine))?)[- ]?ish\b",
     r"about \g<n>"),
    (rf"{_A_LITTLE} (?:shy of|short of|less than|off|under|below)(?= (?:\d|[a-z]+(?:ty|teen)|one|two|three|four|ten))",
     "just under"),
    (rf"{_A_LITTLE} (?:more than|over|above|north of)(?= (?:\d|[a-z]+(?:ty|teen)|one|two|three|four|ten))",
     "just over"),
    (r"(?:getting on for|knocking on|pushing|nigh on|close on|close to|the best part of|(?:the )?thick end of|"
     r"hovering (?:around|about|at)|somewhere (?:around|about|near)|give or take|ballpark|in the region of|call it|say)"
     r"(?= (?:\d|[a-z]+(?:ty|teen)|one|two|three|four|ten))", "about"),
    (r"(?:north of|upwards of|well over|comfortably over)(?= (?:\d|[a-z]+(?:ty|teen)))", "over"),
    (r"(?:south of|well under|not even|barely|hardly)(?= (?:\d|[a-z]+(?:ty|teen))\b)", "under"),
    (r"(?:bang on|dead on|spot on|smack on|exactly|precisely|a (?:solid|steady|rock steady|good|healthy|constant))"
     r"(?= (?:\d|[a-z]+(?:ty|teen)|one|two|three|four|ten))", "at"),
    (r"(?<![\w.])(?:nought |zero |oh |o )?point (?P<a>zero|nought|one|two|three|four|five|six|seven|eight|nine)"
     r"(?: (?P<b>zero|nought|one|two|three|four|five|six|seven|eight|nine))?\b", ""),
)  # fmt: skip
_PATTERNS = tuple((re.compile(rf"\b{said}" if not said.startswith("(?<") else said, re.I), put) for said, put in _SAID)
_SIGNED = re.compile(
    r"\b(?P<sign>plus|minus|negative|positive) (?P<number>one|two|three|four|five|six|seven|eight|nine|ten|eleven|"
    r"twelve|thirteen|fourteen|fifteen|sixteen|seventeen|eighteen|nineteen)\b(?! degrees)",
    re.IGNORECASE,
)
_COUNTED = re.compile(
    r"\b(?:zero|nought|oh|one|two|three|four|five|six|seven|eight|nine|ten|eleven|twelve|thirteen|fourteen|fifteen|"
    r"sixteen|seventeen|eighteen|nineteen|[a-z]+ty(?:[- ]\w+)?|\d+)\s+$",
    re.IGNORECASE,
)


def said_plainly(text: str) -> str:
    """The text with every rough figure in the words that are read as one."""
    text = _SIGNED.sub(lambda f: f"{f['sign']} {number_of(f['number']):g}", _IN_THE.sub(_within, text))
    for pattern, put in _PATTERNS:
        text = pattern.sub(put or _part, text)
    return text


def _within(found: re.Match[str]) -> str:
    tens = number_of(f"{found['tens']}y") or 0.0
    return f"about {tens + _WITHIN[(found['where'] or '').lower()]:g}"


def _part(found: re.Match[str]) -> str:
    """ "Point nine five" where no whole number stands before it; one that does is read with its part elsewhere."""
    if _COUNTED.search(found.string[: found.start()]):
        return found[0]
    digits = "".join(f"{number_of(word) or 0:g}" for word in (found["a"], found["b"]) if word)
    return f"0.{digits}"
