"""What an order of tests and repairs costs on average, and what a test is worth.

General functions on plain arrays; the choice of the next check uses the repair costs and the fall of entropy, the
published worked examples are solved by the rest. ``weights`` always is a probability per row (fault set, candidate);
a ``table`` holds P(outcome | row), shape (rows, outcomes).

Sources: order of p/c for conclusive tests (Kalagnanam and Henrion 1988), expected cost of repair (Heckerman, Breese
and Rommelse 1995), gain of information (de Kleer and Williams 1987).
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cache, cached_property
from itertools import permutations

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Order = tuple[int, ...]


def ratio_order(probabilities: Sequence[float], costs: Sequence[float]) -> Order:
    """Indices by falling probability per cost; ties keep their order. Optimal for one fault, conclusive tests."""
    return tuple(sorted(range(len(costs)), key=lambda i: -probabilities[i] / costs[i]))


def attempts_cost(order: Order, success: Sequence[float], costs: Sequence[float]) -> float:
    """Mean cost of independent attempts made in order until one succeeds."""
    total, left = 0.0, 1.0
    for i in order:
        total += left * costs[i]
        left *= 1.0 - success[i]
    return total


def repair_cost(
    order: Order,
    probabilities: Sequence[float],
    observe: Sequence[float],
    repair: Sequence[float] | None = None,
    service: float | None = None,
    deduce_last: bool = False,
) -> float:
    """Mean cost of testing one fault after the other, exactly one being there, and repairing the one found.

    Args:
        service: cost of calling for help, paid after ``order`` is used up and nothing was found.
        deduce_last: the order leaves one fault out, which is known when all others were excluded.
    """
    total, left = 0.0, 1.0
    for i in order:
        total += left * observe[i] + (probabilities[i] * repair[i] if repair is not None else 0.0)
        left -= probabilities[i]
    if service is not None:
        total += max(left, 0.0) * service
    if deduce_last and repair is not None:
        skipped = set(range(len(probabilities))) - set(order)
        total += sum(probabilities[i] * repair[i] for i in skipped)
    return total


def best_with_service(probabilities: Sequence[float], costs: Sequence[float], service: float) -> tuple[Order, float]:
    """Tests by probability per cost and then the call for help, stopping where that is cheapest."""
    full = ratio_order(probabilities, costs)
    choices = [full[:k] for k in range(len(full) + 1)]
    priced = [(repair_cost(order, probabilities, costs, service=service), len(order), order) for order in choices]
    cost, _, order = min(priced)
    return order, cost


def best_with_last_deduced(probabilities: Sequence[float], costs: Sequence[float]) -> tuple[Order, float]:
    """The best order when the last remaining fault is deduced instead of tested."""
    best: tuple[float, Order] | None = None
    for skipped in range(len(costs)):
        order = tuple(i for i in ratio_order(probabilities, costs) if i != skipped)
        priced = (repair_cost(order, probabilities, costs), order)
        best = priced if best is None or priced < best else best
    if best is None:
        return (), 0.0
    return best[1], best[0]


def covering_cost(order: Order, weights: Floats, fixes: NDArray[np.bool_], costs: Floats, last_resort: float) -> float:
    """Mean cost of actions in order until the row is fixed; ``fixes`` (rows, actions) says who fixes what.

    Rows nobody fixes pay the whole order and ``last_resort``.
    """
    if not order:
        return float(weights.sum()) * last_resort
    spent = np.cumsum(costs[list(order)])
    fixed = fixes[:, list(order)]
    first = fixed.argmax(axis=1)
    price = np.where(fixed.any(axis=1), spent[first], spent[-1] + last_resort)
    return float(weights @ price)


def best_order(actions: int, price: Callable[[Order], float]) -> tuple[Order, float]:
    """The cheapest of all orders of all subsets, by trying each; for small numbers of actions."""
    candidates = (order for size in range(actions + 1) for order in permutations(range(actions), size))
    cost, order = min((price(order), order) for order in candidates)
    return order, cost


@dataclass(frozen=True, slots=True)
class Search:
    """Part of an and-or search: chance of success and mean cost of finding out."""

    chance: float
    cost: float

    def or_else(self, other: Search) -> Search:
        """This first; the other only if this fails."""
        chance = self.chance + (1 - self.chance) * other.chance
        return Search(chance, self.cost + (1 - self.chance) * other.cost)

    def and_then(self, other: Search) -> Search:
        """This first; the other only if this succeeds."""
        return Search(self.chance * other.chance, self.cost + self.chance * other.cost)


def either(parts: Sequence[Search]) -> Search:
    """Any one success is enough: the cheapest order, by chance over cost."""
    ordered = sorted(parts, key=lambda s: -s.chance / s.cost)
    result = ordered[0]
    for part in ordered[1:]:
        result = result.or_else(part)
    return result


def all_of(parts: Sequence[Search]) -> Search:
    """Every part must succeed: the cheapest order, by chance of failing over cost."""
    ordered = sorted(parts, key=lambda s: -(1 - s.chance) / s.cost)
    result = ordered[0]
    for part in ordered[1:]:
        result = result.and_then(part)
    return result


def entropy(weights: Floats) -> float:
    """Entropy of a distribution in nats; zeros are allowed."""
    used = weights[weights > 0]
    return float(-(used * np.log(used)).sum())


def information(weights: Floats, table: Floats) -> float:
    """Expected fall of the entropy of the rows after seeing the outcome, in nats."""
    joint = weights[:, None] * table
    chance = joint.sum(axis=0)
    return entropy(weights) - sum(float(p) * entropy(joint[:, o] / p) for o, p in enumerate(chance) if p > 0)


def joint_table(first: Floats, second: Floats) -> Floats:
    """P(both outcomes | row) of two tests that are independent once the row is known."""
    return (first[:, :, None] * second[:, None, :]).reshape(len(first), -1)


def best_pair(weights: Floats, tables: Sequence[Floats], costs: Sequence[float]) -> tuple[float, tuple[int, int]]:
    """The pair of tests with the most information per cost; (-1, -1) with fewer than two tests."""
    best, pair = 0.0, (-1, -1)
    for i in range(len(tables)):
        for j in range(i + 1, len(tables)):
            rate = information(weights, joint_table(tables[i], tables[j])) / (costs[i] + costs[j])
            if rate > best or pair == (-1, -1):
                best, pair = rate, (i, j)
    return best, pair


def value_of_test(weights: Floats, table: Floats, gains: Floats) -> float:
    """What knowing the outcome first adds to the best choice; ``gains`` (choices, rows). Never below zero."""
    now = float((gains @ weights).max())
    later = float((gains @ (weights[:, None] * table)).max(axis=0).sum())
    return max(later - now, 0.0)


def best_tree_cost(weights: Floats, tests: Sequence[frozenset[int]], costs: Sequence[float]) -> float:
    """Cost of the cheapest order of yes/no tests that tells every row apart, by dynamic programming on subsets."""

    @cache
    def solve(rows: frozenset[int]) -> float:
        if len(rows) <= 1:
            return 0.0
        here = float(sum(weights[r] for r in rows))
        prices = [
            costs[t] * here + solve(rows & yes) + solve(rows - yes)
            for t, yes in enumerate(tests)
            if rows & yes and rows - yes
        ]
        return min(prices, default=float("inf"))

    return solve(frozenset(range(len(weights))))


def greedy_tree_cost(weights: Floats, tests: Sequence[frozenset[int]], costs: Sequence[float]) -> float:
    """The same when each step takes the test with the most information per cost."""

    def walk(rows: frozenset[int]) -> float:
        if len(rows) <= 1:
            return 0.0
        ordered = sorted(rows)
        here = np.array([weights[r] for r in ordered])
        share = here / here.sum()
        rates = []
        for t, yes in enumerate(tests):
            inside = np.array([r in yes for r in ordered], dtype=float)
            rates.append((information(share, np.stack([inside, 1 - inside], axis=1)) / costs[t], -t))
        rate, negative = max(rates)
        if rate <= 0:
            return float("inf")
        yes = tests[-negative]
        return costs[-negative] * float(here.sum()) + walk(rows & yes) + walk(rows - yes)

    return walk(frozenset(range(len(weights))))


def group_sums(members: NDArray[np.intp], groups: int, weights: Floats) -> Floats:
    """Sum the rows of ``weights`` (rows, cases) over the groups each row needs: (groups, cases).

    A row counts once for a group however often it names it. Adds up instead of multiplying matrices: most rows need
    one group, and a threaded product waits for cores that other programs use.
    """
    rows = np.arange(len(members))[:, None] * np.ones(members.shape[1], dtype=np.intp)
    inside = members < groups
    pairs = np.unique(members[inside] * len(members) + rows[inside])
    result = np.zeros((groups, weights.shape[1]))
    if len(pairs):
        group, row = np.divmod(pairs, len(members))
        starts = np.flatnonzero(np.append(True, group[1:] != group[:-1]))
        result[group[starts]] = np.add.reduceat(weights[row], starts, axis=0)
    return result


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
        return np.asarray(group_sums(self.members, len(self.minutes), weights) / total)

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
