"""The levels of practice: what is wrong, what is at hand, and what of what one is told is not so."""

from __future__ import annotations

from dataclasses import dataclass

from diag.support.errors import UnknownNameError
from diag.support.text import one_line

GAUGES = frozenset({"pressure-gauge", "second-gauge"})


@dataclass(frozen=True, slots=True)
class Level:
    """One kind of practice car.

    ``loud`` keeps to frequent faults that show clearly; ``told`` is the share of the car's papers that the owner has;
    ``missing`` names tools that are not at hand; ``misread`` makes one pressure reading come out wrong;
    ``wrong_fact`` makes one figure of the papers wrong.
    """

    id: str
    title: str
    words: str
    faults: int = 1
    loud: bool = False
    told: float = 0.6
    missing: frozenset[str] = frozenset()
    misread: bool = False
    wrong_fact: bool = False


LEVELS: tuple[Level, ...] = (
    Level(
        "loud-fault",
        "One loud fault",
        "One frequent fault that shows itself clearly. Every tool is at hand and the papers are complete.",
        loud=True,
        told=1.0,
    ),
    Level("one-fault", "One fault", "One fault from anywhere in the book. Some of the papers are missing."),
    Level(
        "no-gauge",
        "No pressure gauge",
        "One fault, and no pressure gauge in the box. A gauge can be borrowed, which takes its time.",
        missing=GAUGES,
    ),
    Level(
        "misread-gauge",
        "A misread gauge",
        "One fault, and one pressure reading of the job comes out wrong. What does not fit is worth reading again.",
        misread=True,
    ),
    Level(
        "wrong-papers",
        "Wrong papers",
        "One fault, and one figure that the owner tells about the car is wrong. Figures can be measured.",
        told=1.0,
        wrong_fact=True,
    ),
    Level("two-faults", "Two faults", "Two faults at once, in different places. The first cure is half the job.", 2),
)


def level_of(text: str) -> Level:
    """A level by its number, counted from 1, or by its name.

    Raises:
        UnknownNameError: there is none.
    """
    told = one_line(text, 80).strip().casefold()
    if told.isdecimal() and 1 <= int(told) <= len(LEVELS):
        return LEVELS[int(told) - 1]
    for level in LEVELS:
        if told in (level.id, level.title.casefold()):
            return level
    raise UnknownNameError("level", told, (*(str(n) for n in range(1, len(LEVELS) + 1)), *(x.id for x in LEVELS)))
