"""The troubleshooting literature in plain functions, as it is written there, to hold the product's own sums against.

Sources: order of p/c for conclusive tests (Kalagnanam and Henrion 1988), and-or search (Simon and Kadane 1975),
expected cost of repair (Heckerman, Breese and Rommelse 1995), gain of information (de Kleer and Williams 1987).
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cache
from itertools import permutations

import numpy as np
from numpy.typing import NDArray

from diag.decision.repair_price import Floats, joint_table

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
