"""Why something is proposed, as data: a kind, the causes, the answers that would move them, the prices.

What people read is made of it in ``diag.presentation.reasons``.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, get_args

from diag.safety.situation import Verdict

ReasonKind = Literal[
    "stop rule",  # ``rule``
    "untrained and wet",
    "handed over",  # ``step`` gave the car to somebody else
    "proof needs training",  # ``stage``
    "no look-over",
    "not proven",  # ``verdict`` bars the next stage
    "stage",  # ``stage``
    "look over",  # ``step``
    "look on the way",  # ``step`` is what it leads to
    "proof",  # ``remedy`` was done, ``step`` proves it
    "frees",  # ``step`` asks again about what ``verdict`` rests on
    "complaint",  # ``signs``
    "leaders",  # ``leaders``
    "answer moves",  # ``move``
    "confirm",
    "part first",  # ``step`` waits for the answer to ``signs``
    "one question",
    "asked again",  # ``signs`` were answered before, and the answer does not fit the rest
    "cost",  # ``minutes``, ``setups`` and ``minutes_before``
    "borrow",  # ``tools``
    "tells more",  # ``step`` at ``minutes``
    "tells less",  # ``step``
    "barred",  # ``step`` and ``verdict``
    "needed",  # ``chance`` of the remedy
    "cures",  # ``leaders``
    "no check pays",
    "nothing wrong",  # ``chance``
    "wipe",
    "places unseen",
    "wet without repair",
    "second fault",
    "would tell",  # ``step`` and ``verdict``
    "reads wrong",  # ``readings``
    "read again",  # ``readings``
    "set again",
    "for another",  # ``step``, ``leaders``, ``chance``; ``verdict`` when it is barred and not only refused
    "hand over now",
    "remedy barred",  # ``step``, ``chance``, ``verdict``
    "nothing tells",
    "trace first",  # ``step`` reads the trace that wiping would take away
    "measure first",  # ``remedy`` waits for a measurement
    "makes safe",  # ``rule`` bars the rest, ``step`` is what it names
    "over limit",  # ``leaders``, the ``pressure`` they would give at ``step`` and the ``limit`` at which to stop
]
REASON_KINDS: tuple[ReasonKind, ...] = get_args(ReasonKind)


@dataclass(frozen=True, slots=True)
class Leader:
    """Causes that one remedy cures: the likeliest, or the two likeliest when neither stands out; an exit stands alone.

    ``causes`` are ids; ``chance`` that at least one of all that the remedy cures is there.
    """

    causes: tuple[str, ...]
    chance: float


@dataclass(frozen=True, slots=True)
class Move:
    """What an answer would do: the leader now, its chance then, and the answer by sign or reading.

    ``outcome`` is empty when the check has too many answers to name one.
    """

    leader: Leader
    then: float
    outcome: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True, slots=True)
class Reason:
    """One reason; which fields count is written beside the kind. Minutes and chances are plain numbers."""

    kind: ReasonKind
    step: str = ""
    remedy: str = ""
    rule: str = ""
    stage: str = ""
    setups: tuple[str, ...] = ()
    tools: tuple[str, ...] = ()
    signs: tuple[str, ...] = ()
    readings: tuple[tuple[str, str, float], ...] = ()  # reading, point, value in SI
    leaders: tuple[Leader, ...] = ()
    move: Move | None = None
    minutes: float = 0.0
    minutes_before: float = 0.0
    chance: float = 0.0
    verdict: Verdict | None = None
    pressure: float = 0.0  # Pa gauge, as the limit
    limit: float = 0.0
