"""A job at the Larkhill Hillclimb Club with hostile words in every text, and its sheet."""

from __future__ import annotations

from functools import cache

from diag.casework import entries as e
from diag.casework.replay import Standing, standing
from diag.presentation.report.build import sheet_of
from diag.presentation.report.sheet import Sheet
from diag.rulebook.load import load_book
from diag.rulebook.model import RuleBook
from tests import ROOT

T = "2026-11-25T13:00:00Z"
PSI = 6894.757
HOSTILE = (
    "<script>alert(1)</script><img src=x onerror=alert(1)>\"'`&amp; \x1b[31m\x9b2J\x00 \u202eeilrahc ](javascript:1) "
    "| # *b* _i_ ~~s~~ $x$ ![p](//x) <!-- --> </style></title> &#60;b&#62;\n# head\n- item\n1. one\n> quote\n```\ncode"
)


@cache
def the_book() -> RuleBook:
    """The shipped rule book."""
    return load_book(ROOT / "rules")


def reading(number: int, point: str, psi: float, **more: object) -> e.ReadingTaken:
    """A rail pressure in psi."""
    value = psi * PSI
    return e.ReadingTaken(number, T, "Mira", "rail pressure", point, f"{psi:g}", value, value, value, **more)  # type: ignore[arg-type]


def job() -> e.Case:
    """Wren's rail pressure will not come down; the return line is too small and is renewed."""
    return e.Case(
        "2026-11-25-wren-1a2b",
        "Wren: pressure too high",
        T,
        "1.0",
        "x",
        entries=(
            e.CarFact(1, T, "Mira", "target-pressure", "43.5 psi"),
            e.CarFact(2, T, "Mira", "return-bore", "6 mm"),
            e.CarFact(3, T, "Mira", "idle-vacuum", "18 inHg"),
            e.SignAnswer(4, T, "Mira", "pressure-wont-come-down", "present", "unsure", "second hand",
                         text="it stays up"),
            reading(5, "pump-on-engine-off", 58.4, check="base-pressure"),
            reading(6, "idle-hose-on", 49.0),
            reading(7, "screw-out", 58.0),
            e.SignAnswer(8, T, "Mira", "needle", "steady"),
            e.KeptEvidence(9, T, "Mira", "photo", "cap-1.jpg"),
            e.KeptEvidence(10, T, "Mira", "mark", "stamped 'L2'"),
            e.KeptEvidence(11, T, "Mira", "bought", "at a swap meet, no box"),
            e.KeptEvidence(12, T, "Mira", "found inside", "flat piece of rubber in the outlet"),
            e.Note(13, T, "Mira", "typing error"),
            e.Retracted(14, T, "Oskar", 13, "not this car"),
            e.Replaced(15, T, "Oskar", 6, reading(6, "idle-hose-on", 49.5)),
        ),
    )  # fmt: skip


def hostile_job() -> e.Case:
    """The same with hostile words wherever a person can type."""
    from dataclasses import replace

    case = job()
    number = len(case.entries)
    return replace(
        case,
        title=HOSTILE,
        entries=(
            *case.entries,
            e.CarFact(number + 1, T, HOSTILE, "pump-flow", HOSTILE),
            e.SignAnswer(number + 2, T, HOSTILE, HOSTILE, HOSTILE, text=HOSTILE, place_seen=HOSTILE),
            e.StepDone(number + 3, T, HOSTILE, HOSTILE, 3.0, HOSTILE),
            e.StepRefused(number + 4, T, HOSTILE, HOSTILE, "cannot", HOSTILE),
            e.HandedOver(number + 5, T, HOSTILE, HOSTILE, HOSTILE),
            *(e.KeptEvidence(number + 6 + i, T, HOSTILE, about, HOSTILE)
              for i, about in enumerate(("photo", "mark", "bought", "found inside"))),  # type: ignore[arg-type]
            e.Acknowledged(number + 10, T, HOSTILE, HOSTILE),
            e.Outcome(number + 11, T, HOSTILE, "cured", (HOSTILE,), True, HOSTILE),
            e.Unread(number + 12, T, HOSTILE, HOSTILE),
            e.Note(number + 13, T, HOSTILE, HOSTILE),
        ),
    )  # fmt: skip


@cache
def job_standing() -> Standing:
    """Where the job stands."""
    return standing(job(), the_book())


@cache
def job_sheet() -> Sheet:
    """Its sheet with all workings."""
    return sheet_of(job(), the_book(), job_standing())


@cache
def hostile_sheet() -> Sheet:
    """The hostile job's sheet."""
    case = hostile_job()
    return sheet_of(case, the_book(), standing(case, the_book()))
