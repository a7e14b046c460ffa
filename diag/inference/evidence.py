"""What the engine is told about one job: plain data, built by casework from the entries of a case."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from diag.fuelsystem.constants import SET_TO_TARGET
from diag.rulebook.findings import BOTH, PRESENT, MetIn
from diag.rulebook.steps import Action, Remedy

Chance = TypeVar("Chance", float, NDArray[np.float64])


@dataclass(frozen=True, slots=True)
class Finding:
    """One answer about a sign. ``wrong`` is the overall chance that the answer is not what is really there.

    ``witness`` numbers who gave it (-1: nobody whose level is in question); then ``own_wrong`` is what this answer has
    of error beside the level of its witness (told unsurely), and ``care`` scales the slip of the level (below one for
    an answer to a question asked again). ``lean`` says how far an answer in between leans to "present".
    """

    sign: str
    answer: str  # "present", "absent", a choice id, or something in between; "not known" is never passed on
    wrong: float
    epoch: int
    entry: int  # number of the case entry it came from, for explanations
    volunteered: bool = False  # a complaint brought along, not an answer to a question
    witness: int = -1
    own_wrong: float = 0.0
    care: float = 1.0
    between: float | None = None  # how far an answer in between leans to "present"; None for a plain answer
    invents: float = 1.0  # share of a slip's chance with which "present" is said of what is not there
    unasked: bool = False  # told without a check that asked for it, at whatever time of the job

    @property
    def lean(self) -> float:
        """How far the answer leans to "present": 1 for present, 0 for absent."""
        return self.between if self.between is not None else float(self.answer == PRESENT)

    def invented(self, wrong: Chance) -> Chance:
        """The chance that "present" is said of what is absent, where ``wrong`` is that of overlooking what is there.

        People overlook more than they make up; what was told unsurely is wrong either way.
        """
        return self.own_wrong + self.invents * (wrong - self.own_wrong)

    def sides(self, wrong: Chance) -> tuple[Chance, Chance]:
        """P(this answer | really present) and P(this answer | really absent), at the chance ``wrong`` of a slip.

        An answer in between leans to one side by ``lean``; only the ratio of the two counts.
        """
        lean, invented = self.lean, self.invented(wrong)
        return (1.0 - wrong) * lean + wrong * (1.0 - lean), (1.0 - invented) * (1.0 - lean) + invented * lean

    @property
    def choices(self) -> tuple[str, ...]:
        """The choices told; two when both hold."""
        return tuple(self.answer.split(BOTH))


@dataclass(frozen=True, slots=True)
class Witness:
    """Somebody who answers: ``shares`` of the levels (they sum to one), and the chance of a slip at each."""

    shares: tuple[float, ...]
    slips: tuple[float, ...]

    @property
    def mean(self) -> float:
        """The chance of a slip while nothing is known of the level."""
        return sum(share * slip for share, slip in zip(self.shares, self.slips, strict=True))


@dataclass(frozen=True, slots=True)
class Reading:
    """One measured value at a point, SI. Exactly one of value, interval or bound is meant.

    ``value`` with ``low == high == value`` is a plain number; ``low < high`` an interval ("38 to 44");
    ``bound`` "above" or "below" means the gauge only showed a limit ("pegged").
    ``met_in`` says whether it was read while a fault that comes and goes showed itself, or between two bouts.
    ``conditions`` refine the point with measured numbers, for example {"vacuum": 61000.0} in Pa below atmosphere.
    """

    reading: str
    point: str
    value: float
    low: float
    high: float
    bound: str = ""
    gauge: str = "main"  # readings on one gauge share its offset
    error: float | None = None  # None: the book's figure for this kind of reading
    conditions: Mapping[str, float] = field(default_factory=dict)
    epoch: int = 0
    entry: int = 0
    met_in: MetIn = ""


def redraws_of(step: Remedy | Action) -> frozenset[str]:
    """The parameters that are new after a step. Repairs of the regulator end with setting the base pressure."""
    aimed = isinstance(step, Remedy) and "set pressure" in step.redraws
    return frozenset((*step.redraws, SET_TO_TARGET) if aimed else step.redraws)


@dataclass(frozen=True, slots=True)
class Epoch:
    """What changed at the start of this stretch of the job: parameters drawn anew, causes thought cured."""

    redraws: frozenset[str] = frozenset()
    cured: frozenset[str] = frozenset()  # cause ids
    botch: float = 0.0
    step: str = ""  # the remedy or action that began it
    entry: int = 0


@dataclass(frozen=True, slots=True)
class Evidence:
    """Everything told so far. ``epochs[0]`` is the car as it came in and changes nothing.

    ``witnesses`` are all who answered, in the order they came to the job; the last one answers now.
    """

    findings: tuple[Finding, ...] = ()
    readings: tuple[Reading, ...] = ()
    epochs: tuple[Epoch, ...] = (Epoch(),)
    contexts: Mapping[str, bool] = field(default_factory=dict)
    witnesses: tuple[Witness, ...] = ()

    @property
    def complaint(self) -> str:
        """The sign that the job began with; empty when nothing was complained of."""
        return min(((f.entry, f.sign) for f in self.findings if f.volunteered), default=(0, ""))[1]

    def without_entry(self, entry: int) -> Evidence:
        """The same evidence with everything that one case entry said left out."""
        return replace(
            self,
            findings=tuple(f for f in self.findings if f.entry != entry),
            readings=tuple(r for r in self.readings if r.entry != entry),
        )
