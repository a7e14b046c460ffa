"""What comes of one simulated job of a trial, as its processes hand it back and its file keeps it."""

from __future__ import annotations

from dataclasses import dataclass

from diag.simulation.course import Course


@dataclass(frozen=True)
class Ceiling:
    """What the answers to every allowed check would have ranked: places of the truth, by cause and by remedy."""

    number: int
    by_cause: int
    by_remedy: int
    leader: str


Worked = tuple[int, Course, Ceiling | None, float]
"""Which of the trials that run together, what became of the job, its ceiling, and the seconds it took."""
