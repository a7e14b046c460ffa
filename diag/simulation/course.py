"""What became of one simulated job, from the first proposal to its end."""

from __future__ import annotations

from dataclasses import dataclass, field


@dataclass
class Course:
    """What became of one job.

    ``ranking`` is what was believed when the first remedy, close or hand-on was proposed, likeliest first;
    ``end`` is cured, closed wrongly, handed on, stopped, or ran out.
    """

    number: int
    generator: str
    kit: str
    truth: tuple[str, ...]
    end: str = "ran out"
    right_end: bool = False
    first_step_right: bool = False
    ranking: tuple[tuple[str, float], ...] = ()
    remedy_ranking: tuple[tuple[str, float], ...] = ()
    minutes: float = 0.0
    finding_minutes: float = 0.0  # until the first remedy, close or hand-on
    finding_checks: int = 0
    finding_lines: int = 0
    checks: int = 0
    lines: int = 0  # a line mode's prompts answered: set-ups done in one go, a look-over in one, else every question
    questions: int = 0
    talk: int = 0  # questions answered by telling, without a tool in hand or a hand on the car
    measured: int = 0  # readings taken
    remedies: tuple[str, ...] = ()
    needless: int = 0  # remedies carried out that cured nothing
    proposals: int = 0
    forbidden: tuple[str, ...] = ()
    steps: tuple[str, ...] = ()
    left: tuple[str, ...] = ()
    misled: tuple[str, ...] = ()
    again: int = 0  # how often the very same thing was proposed, at most
    calibration: tuple[tuple[float, bool], ...] = ()  # (chance, true) of every cause at that moment
    later: list[tuple[float, bool]] = field(default_factory=list)  # leader's chance and truth at every proposal
    case: str = ""  # the written case it comes from
    right_names: frozenset[str] = frozenset()  # what a ranking should name
