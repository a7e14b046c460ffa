"""Everything a report can say about one job, as plain words and numbers; the writers beside it only lay it out.

This is the only report module that knows cases, rule books and standings. Text in a Sheet is clean (no control
characters) but not yet escaped for Markdown or HTML; that is each writer's duty.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from diag.presentation.drawing.parts import SystemDrawing


@dataclass(frozen=True, slots=True)
class Line:
    """A label and what belongs to it."""

    label: str
    text: str


@dataclass(frozen=True, slots=True)
class LogLine:
    """One entry of the case. ``state`` is empty, "taken back" or "corrected"; ``by`` is the entry that did it."""

    number: int
    at: str
    who: str
    kind: str
    text: str
    state: str = ""
    by: int = 0
    weight: str = ""  # what it said for or against the leading cause, in words


@dataclass(frozen=True, slots=True)
class Ranked:
    """A cause with its chance from 0 to 1."""

    id: str
    title: str
    chance: float
    in_words: str
    area: str = ""


@dataclass(frozen=True, slots=True)
class CourseStep:
    """The ranking after one entry: cause id to chance, and the causes' titles."""

    entry: int
    label: str
    chances: Mapping[str, float]
    titles: Mapping[str, str]


@dataclass(frozen=True, slots=True)
class Dot:
    """A reading in the picture: manifold and rail pressure, gauge Pa; ``assumed``: the vacuum was not measured."""

    number: int
    label: str
    manifold: float
    rail: float
    low: float
    high: float
    bound: str = ""
    assumed: bool = False
    after: bool = False  # taken after a remedy or another change of the car


@dataclass(frozen=True, slots=True)
class Chart:
    """Rail pressure over manifold pressure; ``target`` is the wanted rail pressure with the hose off, gauge Pa.

    ``band`` is what nine sound cars in ten like this one show: manifold pressure with the low and high end, gauge Pa.
    """

    dots: tuple[Dot, ...] = ()
    target: float | None = None
    unit: str = "psi"
    band: tuple[tuple[float, float, float], ...] = ()


@dataclass(frozen=True, slots=True)
class Work:
    """A step in words: what to do, with what, minding what."""

    id: str
    title: str
    steps: tuple[str, ...] = ()
    parts: tuple[str, ...] = ()
    minutes: float = 0.0
    cautions: tuple[Line, ...] = ()
    done: bool = False
    decided: bool = True  # False: the likely remedy, while checks are still to be done

    @property
    def stage(self) -> str:
        """Done, to do, or only likely to be needed."""
        if self.done:
            return "Done"
        return "To do" if self.decided else "Likely to be needed, not decided yet"


@dataclass(frozen=True, slots=True)
class Stop:
    """A stop rule in force."""

    title: str
    why: str
    until: str
    do_now: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class PartFacts:
    """What was kept about a suspect part, as told; judgement is not among it."""

    photos: tuple[str, ...] = ()
    marks: tuple[str, ...] = ()
    bought: tuple[str, ...] = ()
    inside: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class DataLog:
    """A data log that the report shows: its name, what it says, and finished pictures as SVG made by this program."""

    name: str
    lines: tuple[str, ...]
    pictures: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Sheet:
    """One job, ready to be laid out."""

    id: str
    title: str
    opened: str
    changed: str
    status: str
    people: tuple[str, ...]
    book: str
    car: tuple[Line, ...]
    complaint: tuple[str, ...]
    log: tuple[LogLine, ...]
    ranking: tuple[Ranked, ...]
    course: tuple[CourseStep, ...]
    chart: Chart
    stops: tuple[Stop, ...]
    cautions: tuple[Line, ...]
    remedies: tuple[Work, ...]
    proof: tuple[Work, ...]
    outcome: str
    outcome_causes: tuple[Ranked, ...]
    proven: bool
    outcome_text: str
    advice: tuple[str, ...]
    setting: tuple[Line, ...]
    part: PartFacts
    problems: tuple[str, ...] = ()
    surprise: str = ""
    drawing: SystemDrawing | None = None
    data_logs: tuple[DataLog, ...] = ()

    @property
    def leader(self) -> Ranked | None:
        """The likeliest cause; None when nothing was ranked."""
        return self.ranking[0] if self.ranking else None
