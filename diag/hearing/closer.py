"""What is general, told beside what is closer: "no power uphill, it just holds back" is one complaint and not two."""

from __future__ import annotations

from dataclasses import replace

from diag.hearing.understood import Heard
from diag.rulebook.findings import PRESENT

_CLOSER = {
    "low-power": frozenset({
        "flat-at-full-load", "weak-above-a-load", "fades-after-minutes", "collapses-after-seconds", "dies-under-load",
        "worse-when-tank-low", "dims-with-loads",
    }),
    "fuel-smell": frozenset({"oil-smells-of-fuel", "smell-at-reference-hose", "jar-stale"}),
}  # fmt: skip
"""A general sign, and those that say the same more closely. Judgement."""


def told_closer(heard: list[Heard]) -> list[Heard]:
    """The pieces of one sentence with what is general only offered where another piece tells it more closely."""
    told = {piece.best.id for piece in heard if piece.best.answer == PRESENT}
    return [
        replace(piece, ticked=False) if piece.ticked and _CLOSER.get(piece.best.id, frozenset()) & told else piece
        for piece in heard
    ]
