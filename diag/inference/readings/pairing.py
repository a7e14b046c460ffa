"""Draws put together from two: the sizes of one that meets a condition, all else of another; judged as they are needed.

Whether a pair is kept has to be solved for, and most callers want a few hundred of the thousands there could be. Pairs
are judged in their fixed order, so that the first ones are the same however many are asked for.
"""

from __future__ import annotations

import numpy as np

from diag.inference.fault_sets import Bools, Ints

AT_FIRST, GROWTH = 512, 4  # pairs judged before it is known how many of them are kept; by how much it is more then


class Pairing:
    """The kept pairs of one selection: places of the draws that give the sizes, and of those that give the rest."""

    def __init__(self, own: Ints, rest: Ints, candidates: tuple[Ints, Ints] | None = None, least: float = 0.0) -> None:
        """Pairs to choose from, and what to make do with when fewer than ``least`` of them are good.

        Args:
            own, rest: the pairs taken when too few are good; all there is when there are no ``candidates``.
            candidates: pairs to be judged, in this order.
        """
        self._without = own, rest
        self._candidates = candidates
        self._least = least
        self._fits = self._alone = np.zeros(0, dtype=bool)

    def unjudged(self, count: int) -> tuple[Ints, Ints]:
        """The next pairs to be judged before the first ``count`` kept ones are known; none when they are."""
        if self._candidates is None or self._alone.sum() >= max(count, self._least):
            return np.zeros(0, dtype=np.intp), np.zeros(0, dtype=np.intp)
        part = slice(len(self._alone), max(AT_FIRST, GROWTH * len(self._alone)))
        own, rest = self._candidates
        return own[part], rest[part]

    def judged(self, fits: Bools, alone: Bools) -> None:
        """Of the pairs that were next: which meet the conditions, and which of those meet no other one nearly."""
        self._fits, self._alone = np.append(self._fits, fits), np.append(self._alone, alone)

    def kept(self) -> tuple[Ints, Ints]:
        """The kept pairs among those judged so far."""
        if self._candidates is not None:
            own, rest = self._candidates
            for good in (self._alone, self._fits):
                if good.sum() >= self._least:
                    return own[: len(good)][good], rest[: len(good)][good]
        return self._without
