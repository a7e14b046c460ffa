"""Answers that no car gives at one look: an example that held both would teach nonsense. Data, and the question of it.

How likely the answers of a check are is worked out one by one, so that two which exclude each other may come out as the
ones that tell most. Such an example is not shown. What the words of two questions exclude; common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterable
from itertools import product

from diag.rulebook.findings import ABSENT, PRESENT

_NO_CRANK = ("no-start", "starts-then-dies", "dies-when-key-released", "long-crank-cold", "long-crank-hot")
_STARTS = ("starts-then-dies", "dies-when-key-released")
_PARTS = ("filter", "check-valve", "jet-or-stub", "cooler")

Answer = tuple[str, str]
NEVER_AT_ONCE: frozenset[frozenset[Answer]] = frozenset(
    frozenset(pair)
    for pair in (
        (("reads-low-runs-well", PRESENT), ("reads-high-runs-well", PRESENT)),
        (("pressure-climbs-hot", PRESENT), ("pressure-falls-hot", PRESENT)),
        (("adjuster-coarse", PRESENT), ("adjuster-does-nothing", PRESENT)),
        (("no-rise-in-boost", PRESENT), ("rise-too-steep", PRESENT)),
        (("lamp-dark-at-pump", PRESENT), ("lamp-dark-while-cranking", PRESENT)),
        *product([("no-crank", PRESENT)], [(sign, PRESENT) for sign in _NO_CRANK]),
        *product([("no-start", PRESENT)], [(sign, PRESENT) for sign in _STARTS]),
        (("return-parts-in-line", PRESENT), ("return-part-found", "nothing")),
        *product([("return-parts-in-line", ABSENT)], [("return-part-found", part) for part in _PARTS]),
        *product([("pressure-creeps-up", PRESENT)], [("needle", "steady"), ("needle", "falling")]),
        (("known-key-cures", ABSENT), ("only-the-new-key-fails", PRESENT)),
        (("pump-never-stops", ABSENT), ("stops-with-relay-out", PRESENT)),
        (("lean-readings", ABSENT), ("runs-well-reads-lean", PRESENT)),
        (("thaws-and-runs", PRESENT), ("worse-in-frost", ABSENT)),
        (("more-fuel-cures", PRESENT), ("worse-when-tank-low", ABSENT)),
        (("good-hose-follows", PRESENT), ("plenum-nipple-follows", PRESENT)),
    )
)


def contradicts_itself(outcome: Iterable[Answer]) -> bool:
    """Whether some answers to one check hold two that exclude each other."""
    told = frozenset(outcome)
    return any(pair <= told for pair in NEVER_AT_ONCE)
