"""What the engine proposes, as plain data for screens and scripts."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from diag.decision.reason import Reason
from diag.rulebook.steps import Yield
from diag.safety.situation import Verdict

Kind = Literal["check", "remedy", "prove", "stop", "hand on", "close"]
NoteKind = Literal["", "refused", "put off", "barred", "way refused"]


@dataclass(frozen=True, slots=True)
class Alternative:
    """Another step that could be taken: what it would tell, what it costs, and what the wall says to it.

    ``verdict.allowed`` means that there is a safe way to it, over ``setups``; ``note`` says why it was not chosen.
    """

    step: str
    title: str
    kind: Literal["check", "remedy"]
    gain: float
    minutes: float
    rate: float
    setups: tuple[str, ...]
    verdict: Verdict
    note: NoteKind = ""


@dataclass(frozen=True, slots=True)
class Proposal:
    """The next step. ``setups`` are done first, in order; ``toward`` is the check that a look-over opens the way to.

    Kinds: check; remedy; prove (part of proving a remedy); stop (unsafe to go on, ``reason`` says what to do now);
    hand on (nothing here is worth doing by this person); close (nothing more is wrong).
    ``gain`` in nats, ``worth`` in minutes saved on average, ``minutes`` with setups and risk as priced.
    ``ask`` names the questions of the check that are worth asking now; empty: all of them.
    """

    kind: Kind
    step: str
    title: str
    setups: tuple[str, ...]
    reason: tuple[Reason, ...]
    worth: float = 0.0
    gain: float = 0.0
    minutes: float = 0.0
    alternatives: tuple[Alternative, ...] = ()
    toward: str = ""
    ask: tuple[Yield, ...] = ()
