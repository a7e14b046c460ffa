"""What going straight to the remedies costs on average, and how open the question is which of them are needed.

``weights`` always is a probability per row (fault set); a ``table`` holds P(outcome | row), shape (rows, outcomes).

Sources: order of p/c for conclusive tests (Kalagnanam and Henrion 1988), expected cost of repair (Heckerman, Breese
and Rommelse 1995), gain of information (de Kleer and Williams 1987).
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]


def joint_table(first: Floats, second: Floats) -> Floats:
    """P(both outcomes | row) of two tests that are independent once the row is known."""
    return (first[:, :, None] * second[:, None, :]).reshape(len(first), -1)


@dataclass(frozen=True)
class Grouping:
    """Which rows need which of some groups; a row counts once for a group however often it names it."""

    rows: NDArray[np.intp]  # group by group
    starts: NDArray[np.intp]  # where each group that any row needs begins among them
    needed: NDArray[np.intp]  # those groups
    groups: int

    def sums(self, weights: Floats) -> Floats:
        """Sum ``weights`` (rows, cases) over the groups each row needs: (groups, cases).

        Adds up instead of multiplying matrices: most rows need one group, and a threaded product waits for cores that
        other programs use.
        """
        result = np.zeros((self.groups, weights.shape[1]))
        if len(self.rows):
            result[self.needed] = np.add.reduceat(weights[self.rows], self.starts, axis=0)
        return result


def grouping(members: NDArray[np.intp], groups: int) -> Grouping:
    """From the groups that each row names (rows, up to m), padded with the number of groups."""
    rows = np.arange(len(members))[:, None] * np.ones(members.shape[1], dtype=np.intp)
    inside = members < groups
    group, row = np.divmod(np.unique(members[inside] * len(members) + rows[inside]), len(members))
    starts = np.flatnonzero(np.append(True, group[1:] != group[:-1])) if len(group) else np.zeros(0, dtype=np.intp)
    return Grouping(row, starts, group[starts], groups)


def summed_entropy(shares: Floats) -> Floats:
    """Sum over the last axis of the entropies of yes/no facts with these chances, in nats."""
    p = np.clip(shares, 1e-15, 1 - 1e-15)
    return np.asarray(-(p * np.log(p) + (1 - p) * np.log1p(-p)).sum(axis=-1), dtype=np.float64)


@dataclass(frozen=True)
class RepairPrices:
    """Prices of going straight to the remedies, for fault sets over groups of causes cured together.

    ``members`` (rows, up to m) holds the groups a row needs cured, padded with the number of groups; ``minutes``
    (groups,) what each remedy costs with its proof; ``curable`` (groups,) whether the remedy is open to this person;
    ``hand_on`` the price of handing on; ``stranger`` (rows,) rows that no remedy cures (not in the book).
    """

    members: NDArray[np.intp]
    minutes: Floats
    curable: NDArray[np.bool_]
    hand_on: float
    stranger: NDArray[np.bool_]

    def shares(self, weights: Floats) -> Floats:
        """P(group needs curing) per column of ``weights`` (rows, cases), each column normalised: (groups, cases)."""
        total = np.maximum(weights.sum(axis=0), 1e-300)
        return np.asarray(self._grouping.sums(weights) / total)

    @cached_property
    def _grouping(self) -> Grouping:
        return grouping(self.members, len(self.minutes))

    def orders(self, weights: Floats) -> NDArray[np.intp]:
        """Groups by falling probability over cost, those not curable here last: (cases, groups)."""
        rate = np.where(self.curable[:, None], self.shares(weights) / self.minutes[:, None], -1.0)
        return np.argsort(-rate, axis=0, kind="stable").T

    def expected(self, weights: Floats) -> Floats:
        """Mean minutes of repairing by p/c with the best moment to hand the car on, per column of ``weights``.

        A row is done at its last member in the order; one with a member that cannot be cured here, or that lies
        behind the moment of handing on, costs the minutes spent so far, the price of handing on, and its own repair,
        which somebody has to do as well: nobody hands a car on because the repair is long.
        """
        cases = weights.shape[1]
        total = np.maximum(weights.sum(axis=0), 1e-300)
        order = self.orders(weights)
        last, bins = self._last(order), int(self.curable.sum()) + 2
        flat = (np.arange(cases)[:, None] * bins + last + 1).ravel()
        mass = np.bincount(flat, weights=(weights / total).T.ravel(), minlength=cases * bins).reshape(cases, bins)
        spent = np.concatenate([np.zeros((cases, 1)), np.cumsum(self.minutes[order[:, : bins - 2]], axis=1)], axis=1)
        solved = mass[:, :-1]
        left = np.maximum(1.0 - np.cumsum(solved, axis=1), 0.0)
        paid = np.cumsum(solved * spent, axis=1)
        labour = np.bincount(flat, weights=(weights * self.labour[:, None] / total).T.ravel(), minlength=cases * bins)
        labour = labour.reshape(cases, bins)
        owed = labour.sum(axis=1, keepdims=True) - np.cumsum(labour[:, :-1], axis=1)
        return np.asarray((paid + left * (spent + self.hand_on) + owed).min(axis=1), dtype=np.float64)

    @cached_property
    def labour(self) -> Floats:
        """Minutes of what each row needs cured: (rows,)."""
        prices = np.append(self.minutes, 0.0)
        total = np.zeros(len(self.members))
        for slot, column in enumerate(self.members.T):
            fresh = ~(self.members[:, :slot] == column[:, None]).any(axis=1)
            total += np.where(fresh, prices[column], 0.0)
        return np.where(self.stranger, 0.0, total)

    def _last(self, order: NDArray[np.intp]) -> NDArray[np.intp]:
        """Place in the order of each row's last member, (cases, rows); -1 nothing to cure, count: never done here."""
        cases, groups = order.shape
        count = int(self.curable.sum())
        position = np.full((cases, groups + 1), -1, dtype=np.intp)
        np.put_along_axis(position, order, np.broadcast_to(np.arange(groups), (cases, groups)), axis=1)
        last = np.minimum(position[:, self.members].max(axis=2), count)
        return np.asarray(np.where(self.stranger, count, last), dtype=np.intp)
