"""What follows from the rule book alone, whatever the car in hand: worked out once a book and kept with it.

How much there was to complain of besides the first complaint, and how often the draws of an unknown car meet each
sizing condition, cost a second to find and never change while the book and the program stay what they are. A front
end may carry them from one run to the next (``as_plain``, ``take``); they are the same numbers, never others.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any

import numpy as np

from diag.inference.fault_sets import Floats
from diag.inference.readings.predictor import Physics
from diag.rulebook.derived import derived
from diag.rulebook.model import RuleBook

ToldFirst = tuple[Floats, float]


@dataclass
class BookNumbers:
    """What was worked out so far.

    ``told_first``: complaint -> log factors per cause (C,) and that of "not in the book". ``shares``: number of draws
    -> share of an unknown car's draws that meet the sizing condition, by cause index.
    """

    told_first: dict[str, ToldFirst] = field(default_factory=dict)
    shares: dict[int, dict[int, float]] = field(default_factory=dict)
    grown: bool = False  # something was worked out since they were taken over
    _anybody: Physics | None = field(default=None, repr=False)

    def first(self, sign: str, make: Callable[[], ToldFirst]) -> ToldFirst:
        """The factors of a complaint; made when they are not known yet."""
        if sign not in self.told_first:
            self.told_first[sign], self.grown = make(), True
        return self.told_first[sign]

    def unknown(self, draws: int, make: Callable[[], dict[int, float]]) -> dict[int, float]:
        """The shares of an unknown car in so many draws."""
        if draws not in self.shares:
            self.shares[draws], self.grown = make(), True
        return self.shares[draws]

    def anybody(self, make: Callable[[], Physics]) -> Physics:
        """Imagined copies of an unknown car, made when something is to be worked out on them."""
        if self._anybody is None:
            self._anybody = make()
        return self._anybody

    def as_plain(self) -> dict[str, Any]:
        """Everything as JSON has it, digit for digit."""
        told = {sign: [factors.tolist(), out] for sign, (factors, out) in sorted(self.told_first.items())}
        shares = {str(n): {str(at): s for at, s in by.items()} for n, by in sorted(self.shares.items())}
        return {"told_first": told, "shares": shares}

    def take(self, plain: Mapping[str, Any], causes: int) -> None:
        """Take over what an earlier run worked out.

        Raises:
            KeyError, TypeError, ValueError: it is not what ``as_plain`` makes of a book with so many causes.
        """
        told = {str(sign): (np.array(factors, dtype=float), float(out))
                for sign, (factors, out) in plain["told_first"].items()}  # fmt: skip
        if any(factors.shape != (causes,) for factors, _ in told.values()):
            raise ValueError("these numbers belong to another book")
        shares = {int(n): {int(at): float(s) for at, s in by.items()} for n, by in plain["shares"].items()}
        self.told_first.update(told)
        self.shares.update(shares)


def numbers_of(book: RuleBook) -> BookNumbers:
    """The numbers kept with this book."""
    return derived(book, _none_yet)


def _none_yet(book: RuleBook) -> BookNumbers:
    return BookNumbers()
