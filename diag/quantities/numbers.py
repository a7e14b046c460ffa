"""The number at the start of a typed value: decimal point or comma, thousands, fractions, a few words."""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass

_WORDS = {
    word: number
    for number, word in enumerate(
        "zero one two three four five six seven eight nine ten eleven twelve".split()  # noqa: SIM905
    )
}
_WORD = re.compile(rf"\b({'|'.join(_WORDS)})\b", re.IGNORECASE)
_HALF = re.compile(r"^(?:an? )?(half|quarter)(?: an?| of an?)? ", re.IGNORECASE)
_VULGAR = re.compile(r"(?<=\d)(?=[¼-¾⅐-⅞])")
_DASHES = str.maketrans(dict.fromkeys("‐‑‒–—―−﹣－", "-") | dict.fromkeys("“”″„", '"') | dict.fromkeys("‘’′", "'"))
_SIGNS = str.maketrans({"⁄": "/", "µ": "u", "μ": "u", "×": "x", "≥": ">=", "≤": "<=", "≈": "~", "º": "°"})

NUMBER = (
    r"[-+]?(?:\d+[ -]\d+/\d+(?![\d.])|\d+/\d+(?![\d.])|\d{1,3}(?: \d{3})+(?:[.,]\d+)?(?![\d.])"
    r"|\d[\d.,]*\d(?:[eE][-+]?\d+)?|\d[.,]?(?:[eE][-+]?\d+)?|[.,]\d+(?:[eE][-+]?\d+)?)"
)
_NUMBER = re.compile(NUMBER)
_BELOW = frozenset({2, 3, 4, 5, 8, 10, 16, 32, 64})


@dataclass(frozen=True, slots=True)
class Number:
    """A number as typed; ``step`` is the size of its last digit.

    ``1,234`` can be read in two ways: ``value`` takes the comma for a decimal point, ``other`` for thousands. Where the
    number ends in two zeros (``1,000``, ``6,500``) it is ``round``: nobody writes three decimals like that.
    """

    value: float
    step: float
    other: float | None = None
    fraction: bool = False

    @property
    def round(self) -> bool:
        return self.other is not None and self.other % 100 == 0


def tidy(text: str) -> str:
    """One spelling for what keyboards and phones write differently: dashes, quotes, fractions, blanks, digits."""
    text = _VULGAR.sub(" ", text).translate(_DASHES).translate(_SIGNS)
    text = unicodedata.normalize("NFKC", text).translate(_SIGNS).translate(_DASHES)
    text = re.sub(r"\s+", " ", text).strip()
    text = _HALF.sub(lambda m: "1/2 " if m.group(1).lower() == "half" else "1/4 ", text)
    text = re.sub(r"^an? (?=[a-z])", "1 ", text, flags=re.IGNORECASE)
    return _WORD.sub(lambda m: str(_WORDS[m.group(1).lower()]), text)


def split_number(text: str) -> tuple[Number, str] | None:
    """The number at the start of a tidy text, and the rest; None when there is no number to understand."""
    found = _NUMBER.match(text)
    if found is None or len(found.group()) > 40:
        return None
    number = _number(found.group())
    return None if number is None else (number, text[found.end() :].strip())


def _number(text: str) -> Number | None:
    sign = -1.0 if text.startswith("-") else 1.0
    body = text.lstrip("+-")
    if "/" in body:
        return _fraction(body, sign)
    body, _, exponent = body.lower().partition("e")
    body = body.replace(" ", "")
    plain, other = _separators(body)
    if plain is None:
        return None
    power = int(exponent) if exponent else 0
    if abs(power) > 300:
        power = 300 if power > 0 else -300
    decimals = len(plain.partition(".")[2])
    scale = 10.0**power
    second = None if other is None else sign * float(other) * scale
    return Number(sign * float(plain) * scale, 10.0**-decimals * scale, second)


def _fraction(body: str, sign: float) -> Number | None:
    whole, _, part = body.replace("-", " ").rpartition(" ")
    above, _, below = part.partition("/")
    # 40/45 is no fraction but two readings: only what a rule or a measuring cup shows counts.
    if int(below) not in _BELOW or int(above) >= int(below):
        return None
    value = (int(whole) if whole else 0) + int(above) / int(below)
    return Number(sign * value, 0.0, None, True)


def _separators(body: str) -> tuple[str | None, str | None]:
    """The number with a decimal point, and the other way to read it when a comma leaves two."""
    points, commas = body.count("."), body.count(",")
    if points and commas:
        decimal = max(".,", key=body.rfind)
        thousands = "," if decimal == "." else "."
        head, _, tail = body.rpartition(decimal)
        if body.count(decimal) > 1 or not _grouped(head, thousands):
            return None, None
        return f"{head.replace(thousands, '')}.{tail}", None
    if points > 1 or commas > 1:
        mark = "." if points else ","
        return (body.replace(mark, ""), None) if _grouped(body, mark) else (None, None)
    if commas and _grouped(body, ",") and not body.startswith("0"):
        return body.replace(",", "."), body.replace(",", "")
    return body.replace(",", ".").rstrip(".") or None, None


def _grouped(text: str, mark: str) -> bool:
    first, *rest = text.split(mark)
    return 1 <= len(first) <= 3 and first.isdigit() and all(len(part) == 3 and part.isdigit() for part in rest)
