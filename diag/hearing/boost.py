"""Whether a pressure that was told is the boost of a charged engine, or only the boost at which something happens."""

from __future__ import annotations

import re

from diag.hearing.figures import Figure

MOST = 45.0  # more than this, in whichever unit, is no boost that is told beside a fuel pressure
_BOOST = re.compile(r"\bboost\b", re.IGNORECASE)
_CHARGED = re.compile(r"\b(?:blower|turbo\w*|supercharg\w*)", re.IGNORECASE)
_UNTIL = r"until|at|above|over|past|beyond|from|under|below|by|around|about|near|round|after|once|when"


def number_of(figure: Figure) -> str:
    """The number of a figure as it was typed."""
    return figure.typed.split()[-2] if " " in figure.typed else figure.typed


def is_boost(figure: Figure, near: str, around: str) -> bool:
    """Whether the figure is boost: "15 psi of boost", "boost is 12 psi", "it has a blower and runs eight pounds"."""
    if figure.number >= MOST:
        return False
    number = re.escape(number_of(figure))
    runs = re.search(rf"\bruns? (?:about |at )?{number}", near, re.IGNORECASE) is not None
    if not _BOOST.search(near):
        return runs and _CHARGED.search(around) is not None
    beside = rf"{number}(?: ?psi| ?bar| ?pounds?| ?lbs?)?(?: of)? boost|boost(?: is| of|:)? (?:about )?{number}"
    return runs or re.search(beside, near, re.IGNORECASE) is not None


def is_condition(figure: Figure, near: str) -> bool:
    """Whether the boost only says where something happens: "until 10 psi boost", "at 15 psi boost"."""
    number = re.escape(number_of(figure))
    condition = rf"\b(?:{_UNTIL}) (?:about |around |it (?:hits|reaches) )?{number}"
    return re.search(condition, near, re.IGNORECASE) is not None
