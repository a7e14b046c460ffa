"""A place where something was measured, and the states of the car that more than one kind of figure is told with."""

from __future__ import annotations

import re
from dataclasses import dataclass

_NOT_A_PLACE = r"(?!\w)"


def says(pattern: str) -> re.Pattern[str]:
    return re.compile(rf"\b(?:{pattern}){_NOT_A_PLACE}", re.IGNORECASE)


CRANK = says(r"crank\w*|on the starter|starter turns")
LOADS = says(r"(?:lights|lamps|headlamps|fans?) on")


@dataclass(frozen=True, slots=True)
class Place:
    """What was measured and where; ``fact`` names a field of the car instead."""

    reading: str = ""
    point: str = ""
    fact: str = ""
    fit: float = 1.0
