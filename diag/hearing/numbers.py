"""Numbers in words, made digits where a figure is meant: before a unit, or as a gauge is read out.

"Eighteen psi", "one hundred and five", "two and a half bar", "the rail shows eighteen". Counts ("three of them",
"twelve years", "fifteen hundred revs") stay words. Common practice of speech, no source.
"""

from __future__ import annotations

import re

_ONES = {
    "one": 1, "two": 2, "three": 3, "four": 4, "five": 5, "six": 6, "seven": 7, "eight": 8, "nine": 9,
}  # fmt: skip
_TEENS = {
    "ten": 10, "eleven": 11, "twelve": 12, "thirteen": 13, "fourteen": 14, "fifteen": 15, "sixteen": 16,
    "seventeen": 17, "eighteen": 18, "nineteen": 19,
}  # fmt: skip
_TENS = {
    "twenty": 20, "thirty": 30, "forty": 40, "fifty": 50, "sixty": 60, "seventy": 70, "eighty": 80,
    "ninety": 90,
}  # fmt: skip
_SMALL = {"zero": 0, "nought": 0, **_ONES, **_TEENS}
_BELOW = rf"(?:(?:{'|'.join(_TENS)})(?:[ -](?:{'|'.join(_ONES)}))?|{'|'.join(_TEENS)}|{'|'.join(_ONES)}|zero|nought)"
_NUMBER = re.compile(
    rf"\b(?:(?P<many>a|{'|'.join(_ONES)})[ -]hundred(?:(?: and)? (?P<more>{_BELOW}))?|(?P<below>{_BELOW}))"
    rf"(?: point (?P<part>(?:zero|nought|oh|{'|'.join(_ONES)})(?: (?:zero|{'|'.join(_ONES)}))?)\b"
    r"|(?P<half> and a half))?\b",
    re.IGNORECASE,
)
_TIMED = re.compile(r"\s*(?:minutes?|mins?|seconds?|secs?)\b", re.IGNORECASE)
_READ_OUT = re.compile(
    r"\b(?:shows?|showing|showed|reads?|reading|says?|said|gives?|gave|gauge|needle|pressure|rail|dial|"
    r"(?:stands?|stood|sits?|sat|holds?|held|stays?|stayed|settles?|settled|stuck|steady|hovers?) at|"
    r"(?:drops?|dropped|falls?|fell|sags?|sagged|sinks?|sank|down|up|goes|went|comes?|came|gets?|got|rises?|rose|"
    r"climbs?|climbed|jumps?|jumped|shoots?|shot|crept|creeps|only makes|makes) (?:straight )?(?:down |up |back )?to|"
    r"still|at|about|around|roughly|nearly|only|just|is|was|(?:on|off),?)\s+(?:about |around |only |just |at |"
    r"roughly |nearly |a steady |still )*$",
    re.IGNORECASE,
)
_ENDS_IT = re.compile(
    r"\s*(?:$|[.,;:!?)]|(?:at|on|with|when|while|and|but|then|hose|idle|idling|crank\w*|now|flat|under|in|after|"
    r"only|steady|whatever|or|to|there|again|all|same|off)\b)",
    re.IGNORECASE,
)
_SECOND_OF_TWO = re.compile(
    rf"\bfrom (?:about |around )?(?:{_BELOW}|(?:a|one|two) hundred(?: and {_BELOW})?|\d+(?:\.\d+)?)"
    r"(?: ?(?:psi|bar|kpa))?(?: down| up)? to (?:about |around )?$",
    re.IGNORECASE,
)
_SPAN = re.compile(r"\s+(?:to|or|and)\s+(?=\S)", re.IGNORECASE)


def number_of(words: str) -> float | None:
    """The number that some words spell, from nought to nine hundred and ninety-nine and a half; None for others."""
    found = _NUMBER.fullmatch(" ".join(words.replace("-", " ").split()))
    return _value(found) if found is not None else None


def spelled_out(text: str, unit: re.Pattern[str], not_meant: re.Pattern[str]) -> str:
    """The text with digits for every number in words that is a figure.

    Args:
        text: what was said.
        unit: a unit at the beginning of what follows a number.
        not_meant: what a count, a time or an engine speed is followed by.
    """

    def digits(found: re.Match[str]) -> str:
        before, after = text[: found.start()], text[found.end() :]
        value = _value(found)
        shown = f"{value:g}"
        timed = _TIMED.match(after) is not None
        if unit.match(after.lstrip(" -")) and not not_meant.match(after):
            return shown if value != 1 or not re.match(r"\s*(?:in|ins|a|v|l|m)\b", after) else found[0]
        other = _SPAN.match(after)
        second = _NUMBER.match(after, other.end()) if other else None
        if second is not None and _value(second) > value and unit.match(after[second.end() :].lstrip()):
            return shown  # "thirty to thirty-five psi"
        if not_meant.match(after):
            return shown if timed else found[0]
        if found["part"] or value >= 20 or _SECOND_OF_TWO.search(before):
            return shown
        read_out = _READ_OUT.search(before) is not None and _ENDS_IT.match(after) is not None
        plain = value >= 10 or value == 0 or _strong(before)
        return shown if read_out and plain and not _is_count(before, value) else found[0]

    return _NUMBER.sub(digits, text)


def _strong(before: str) -> bool:
    """Whether what stands before can only speak of a gauge, so that even a small number is a reading."""
    return (
        re.search(r"\b(?:shows?|showed|reads?|gauge|needle|psi|pressure)\b[^,.;]*$", before, re.IGNORECASE) is not None
    )


def _is_count(before: str, value: float) -> bool:
    """ "Runs on three", "at nine", "about twelve": a count, the time of the day, or anything at all."""
    if value == 0:
        return False
    weak = re.search(r"\b(?:at|about|around|only|just|on|is|was|off)\s+$", before, re.IGNORECASE)
    speaks = re.search(
        r"\b(?:gauge|needle|rail|pressure|reads?|shows?|psi|idl\w+|hose|dial|return|stay\w*|held|settl\w*)\b",
        before,
        re.IGNORECASE,
    )
    return weak is not None and speaks is None


def _value(found: re.Match[str]) -> float:
    value = 0.0
    if found["many"]:
        value += 100 * _ONES.get(found["many"].lower(), 1)
    for said in (found["more"], found["below"]):
        value += sum(({**_SMALL, **_TENS}).get(word, 0) for word in (said or "").lower().replace("-", " ").split())
    if found["part"]:
        digits = "".join(str(_SMALL.get(word, 0)) for word in found["part"].lower().split())
        value += float(f"0.{digits}")
    return value + (0.5 if found["half"] else 0.0)
