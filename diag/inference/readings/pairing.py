"""Draws put together from two: the sizes of one that meets a condition, all else of another.

Whether a pair is kept has to be solved for. That waits until somebody asks, and is then done for all selections that
are asked for together, since many small solutions cost more than one large one.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from diag.inference.fault_sets import Bools, Ints

NONE: Ints = np.zeros(0, dtype=np.intp)


@dataclass(frozen=True)
class Pairing:
    """Pairs of one selection: places of the draws that give the sizes, and of those that give the rest.

    ``candidates`` are to be judged first (None: ``own`` and ``rest`` are settled).
    """

    own: Ints
    rest: Ints
    candidates: tuple[Ints, Ints] | None = None
    least: float = 0.0

    @property
    def unjudged(self) -> tuple[Ints, Ints]:
        """The pairs to be judged; none once they are."""
        return (NONE, NONE) if self.candidates is None else self.candidates

    def judged(self, fits: Bools, alone: Bools) -> Pairing:
        """The pairs that meet the conditions and no other one nearly, if there are ``least`` of them.

        Else those that meet the conditions whatever else they meet, if there are so many; else ``own`` and ``rest``.
        """
        candidates, rest = self.unjudged
        for good in (alone, fits):
            if good.sum() >= self.least:
                return Pairing(candidates[good], rest[good])
        return replace(self, candidates=None)
