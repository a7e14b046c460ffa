"""Where the job stands physically: what the safety wall and the choice of the next check must know."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum
from typing import Literal

from diag.rulebook.steps import Act, Person

LOG = "earlier-log"  # stands among the tools: one that was made before, and can be neither borrowed nor made now
HELPER = "helper"  # stands among the tools: a second person, there or to be called
BORROWED = frozenset(("pressure-gauge", "hand-tools", "torch", "stopwatch", "container"))
"""What is fetched or borrowed where it is missing: the gauge shortens most jobs, and the rest is in every house."""


class Wet(Enum):
    """What is known about fuel outside the system. Anything but DRY counts as wet."""

    UNKNOWN = "unknown"
    DRY = "dry"
    WET = "wet"
    REPAIRED = "repaired, not yet proven"


class Pressure(Enum):
    """What is known about pressure in the fuel system."""

    UNKNOWN = "unknown"
    UP = "up"
    RELEASED = "released"


@dataclass(frozen=True, slots=True)
class Situation:
    """The state the wall reasons about, all of it derived from the entries of the case.

    ``setups`` are the enabling steps in place; ``tools`` the tools at hand (None: all); ``refused`` the steps
    the person said they cannot do; ``later`` those put off; ``done`` checks already answered in the present epoch.
    """

    wet: Wet = Wet.UNKNOWN
    pressure: Pressure = Pressure.UNKNOWN
    system_open: bool = False
    fuse_out: bool = False
    engine_running: bool = False
    person: Person = "mechanic"
    by_phone: bool = False
    second_person: bool = False
    ventilated: bool = True
    fuel: str = ""  # "", petrol, E10, E85, ethanol, methanol
    setups: frozenset[str] = frozenset()
    tools: frozenset[str] | None = None
    refused: frozenset[str] = frozenset()
    later: frozenset[str] = frozenset()
    out_of_reach: frozenset[str] = frozenset()  # tools that were told not to be had, so not to be borrowed either
    done: frozenset[str] = frozenset()
    stops: frozenset[str] = frozenset()  # stop rules in force, by id
    proof_stage: str = ""  # "", "dry look", "two second prime", "look again", "sixty second run", "final look"
    own_joint: bool = False  # dry until we opened a joint ourselves, named where; nothing has run since
    dry_places: frozenset[str] = frozenset()  # wet signs whose dry answer still counts
    looked: bool = False  # a look-over was tried since the last lapse, but some place could not be told dry
    unanswered: frozenset[str] = frozenset()  # signs asked about in the present epoch that could not be told
    lacks: frozenset[str] = frozenset()  # needs of steps that this car, or its state, excludes (diag.rulebook.built)
    measured: frozenset[str] = frozenset()  # of what remedies wait for: figures taken for certain, checks done
    turns: int = 0  # checks answered since something was last measured
    doubtful: frozenset[int] = frozenset()  # numbers of the readings that were not sure or not first-hand
    facts: frozenset[str] = frozenset()  # what stop rules listen to besides: "sign:ID", "reading:KIND above VALUE"
    boost: Literal["unknown", "yes", "no"] = "unknown"  # whether the engine is told to be boosted
    likely: frozenset[str] = frozenset()  # causes that whoever weighs them calls likely; this layer weighs nothing
    tried: frozenset[str] = frozenset()  # checks answered or refused since the car was last changed

    @property
    def alone(self) -> bool:
        """Whether it was told that there is nobody to help; while nothing is told somebody may be called."""
        return not self.second_person and self.tools is not None and HELPER not in self.tools


@dataclass(frozen=True, slots=True)
class Verdict:
    """Whether a step may be done now; when not: why, and when it becomes allowed."""

    allowed: bool
    why: str = ""
    until: str = ""
    forbids: tuple[Act, ...] = ()


def refused(why: str, until: str, acts: tuple[Act, ...] = ()) -> Verdict:
    """Not now: why, until when, and for the sake of which acts."""
    return Verdict(False, why, until, acts)
