"""Draws put together from two: the sizes of one that meets a condition, all else of another.

Whether a pair is kept has to be solved for. That waits until somebody asks, goes only as far as the number of cars
asked for needs, and is done for all selections that are asked for together, since many small solutions cost more than
one large one. Pairs are judged in their order, so that fewer cars are always the first of more.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace

import numpy as np

from diag.inference.fault_sets import Bools, Ints

NONE: Ints = np.zeros(0, dtype=np.intp)
NOT_YET: Bools = np.zeros(0, dtype=bool)
FIRST = 4096
"""Pairs that are judged at first, all that a usual pool has; after that twice as many as before. With fewer the first
outcomes come a tenth sooner and every later reading pays more than that back, a small solution at a time."""


@dataclass(frozen=True)
class Pairing:
    """Pairs of one selection: places of the draws that give the sizes, and of those that give the rest.

    ``candidates`` are to be judged first (None: ``own`` and ``rest`` are settled, all of them if ``whole``, else the
    first of them); what was found of the first of them stands in ``fits`` and ``alone``.
    """

    own: Ints
    rest: Ints
    candidates: tuple[Ints, Ints] | None = None
    least: float = 0.0
    whole: bool = True
    fits: Bools = field(default_factory=lambda: NOT_YET)
    alone: Bools = field(default_factory=lambda: NOT_YET)

    def enough(self, count: int) -> bool:
        """Whether the first ``count`` cars are known."""
        if self.candidates is None:
            return self.whole or count <= len(self.own)
        return self._all_judged or bool(self.alone.sum() >= max(self.least, count))

    @property
    def _all_judged(self) -> bool:
        return self.candidates is not None and len(self.alone) == len(self.candidates[0])

    def unjudged(self, count: int) -> tuple[Ints, Ints]:
        """The pairs to be judged next for so many cars; none once they are known."""
        if self.candidates is None or self.enough(count):
            return NONE, NONE
        done = len(self.alone)
        end = max(FIRST, 2 * done)
        return self.candidates[0][done:end], self.candidates[1][done:end]

    def judged(self, fits: Bools, alone: Bools) -> Pairing:
        """With the next ones judged: which meet the conditions, and which of these meet no other one nearly."""
        found = replace(self, fits=np.append(self.fits, fits), alone=np.append(self.alone, alone))
        settled = found.settled()
        return settled if settled is not None and settled.whole else found  # nothing is left to judge

    def settled(self) -> Pairing | None:
        """The pairs that meet the conditions and no other one nearly, if there are ``least`` of them.

        Else those that meet the conditions whatever else they meet, if there are so many; else ``own`` and ``rest``.
        None while it is not known which.
        """
        if self.candidates is None:
            return self
        done = len(self.alone)
        candidates, rest = self.candidates[0][:done], self.candidates[1][:done]
        for good in (self.alone, self.fits):
            if good.sum() >= self.least:
                return Pairing(candidates[good], rest[good], whole=self._all_judged)
            if not self._all_judged:
                return None
        return Pairing(self.own, self.rest)
