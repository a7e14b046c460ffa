"""What a drawing of a fuel system holds: a mark for each place, and the key below. Plain data."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Mark:
    """One place: its word, what is fitted there, and what there is to say of it.

    ``suspected`` is the chance that something there is wrong, 0 when it is not worth drawing; ``readings`` are the
    letters of the newest readings taken there, as in the key; ``here``: the proposed step is done at this place.
    """

    place: str
    title: str
    fitted: str
    suspected: float = 0.0
    wet: bool = False
    here: bool = False
    readings: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class SystemDrawing:
    """The places by name, and the key below the drawing, one line each."""

    marks: Mapping[str, Mark]
    key: tuple[str, ...]
