"""The cost functions against plain loops on random numbers; published examples are in tests/reference."""

from __future__ import annotations

from itertools import permutations

import numpy as np
import pytest

from diag.decision import repair_price as cost
from tests.reference import textbook


def random_prices(seed: int) -> tuple[cost.RepairPrices, np.ndarray]:
    """Prices over 12 rows and 5 groups, some not curable, some rows strangers; weights of 4 cases."""
    rng = np.random.default_rng(seed)
    members = np.sort(rng.integers(0, 6, (12, 3)), axis=1)
    members[0] = 5
    prices = cost.RepairPrices(
        members, rng.uniform(5, 90, 5), rng.random(5) > 0.2, float(rng.uniform(30, 400)), rng.random(12) > 0.9
    )
    return prices, rng.random((12, 4))


def slow_expected(prices: cost.RepairPrices, weights: np.ndarray) -> float:
    """Repairing by probability over cost, stopping at the best moment, written as loops."""
    w = weights / weights.sum()
    groups = range(len(prices.minutes))
    share = [sum(w[r] for r in range(len(w)) if g in prices.members[r]) for g in groups]
    order = sorted((g for g in groups if prices.curable[g]), key=lambda g: -share[g] / prices.minutes[g])
    best = float("inf")
    for stop in range(len(order) + 1):
        total = 0.0
        for r in range(len(w)):
            need = {int(g) for g in prices.members[r] if g < len(prices.minutes)}
            if need <= set(order[:stop]) and not prices.stranger[r]:
                last = max((order.index(g) for g in need), default=-1)
                total += w[r] * sum(prices.minutes[g] for g in order[: last + 1])
            else:
                own = 0.0 if prices.stranger[r] else sum(prices.minutes[g] for g in need)
                total += w[r] * (sum(prices.minutes[g] for g in order[:stop]) + prices.hand_on + own)
        best = min(best, total)
    return best


@pytest.mark.parametrize("seed", range(30))
def test_expected_repair_minutes_match_plain_loops(seed: int) -> None:
    """Every column of the vectorised sum equals the loops."""
    prices, weights = random_prices(seed)
    fast = prices.expected(weights)
    assert fast == pytest.approx([slow_expected(prices, weights[:, k]) for k in range(weights.shape[1])])


@pytest.mark.parametrize("seed", range(10))
def test_ratio_order_is_the_best_of_all_orders(seed: int) -> None:
    """One fault, conclusive tests: no other order is cheaper (Kalagnanam and Henrion 1988)."""
    rng = np.random.default_rng(seed)
    p = rng.dirichlet(np.ones(5))
    c = rng.uniform(1, 9, 5)
    best = min(textbook.repair_cost(order, p, c) for order in permutations(range(5)))
    assert textbook.repair_cost(textbook.ratio_order(p, c), p, c) == pytest.approx(best)


@pytest.mark.parametrize("seed", range(10))
def test_information_is_symmetric_and_bounded(seed: int) -> None:
    """Equal to H(outcome) minus mean H(outcome | row), never negative, never above either entropy."""
    rng = np.random.default_rng(seed)
    weights, table = rng.dirichlet(np.ones(6)), rng.dirichlet(np.ones(4), 6)
    gain = textbook.information(weights, table)
    other = textbook.entropy(weights @ table) - sum(
        w * textbook.entropy(row) for w, row in zip(weights, table, strict=True)
    )
    assert gain == pytest.approx(other)
    assert 0 <= gain <= min(textbook.entropy(weights), textbook.entropy(weights @ table))


@pytest.mark.parametrize("seed", range(10))
def test_a_test_is_never_worth_less_than_nothing_nor_more_than_knowing(seed: int) -> None:
    """Value of a test lies between 0 and the value of perfect information."""
    rng = np.random.default_rng(seed)
    weights, table, gains = rng.dirichlet(np.ones(5)), rng.dirichlet(np.ones(3), 5), rng.normal(size=(4, 5))
    worth = textbook.value_of_test(weights, table, gains)
    assert 0 <= worth <= textbook.value_of_test(weights, np.eye(5), gains) + 1e-12


def test_the_greedy_tree_is_never_cheaper_than_the_best() -> None:
    """On random small test sets that tell all rows apart."""
    rng = np.random.default_rng(5)
    told_apart = 0
    for _ in range(40):
        tests = [frozenset(np.flatnonzero(rng.random(5) < 0.5).tolist()) for _ in range(5)]
        weights = rng.dirichlet(np.ones(5))
        best = textbook.best_tree_cost(weights, tests, [1.0] * 5)
        if np.isfinite(best):
            told_apart += 1
            assert textbook.greedy_tree_cost(weights, tests, [1.0] * 5) >= best - 1e-12
    assert told_apart > 5


@pytest.mark.parametrize("seed", range(10))
def test_going_straight_to_the_remedies_costs_what_the_literature_says(seed: int) -> None:
    """One fault, every remedy open: p/c order and mean cost as in Heckerman, Breese and Rommelse 1995."""
    rng = np.random.default_rng(seed)
    p, minutes = rng.dirichlet(np.ones(6)), rng.uniform(2, 90, 6)
    prices = cost.RepairPrices(np.arange(6)[:, None], minutes, np.ones(6, dtype=bool), 1e6, np.zeros(6, dtype=bool))
    order = textbook.ratio_order(tuple(p), tuple(minutes))
    assert tuple(prices.orders(p[:, None])[0]) == order
    assert prices.expected(p[:, None])[0] == pytest.approx(textbook.repair_cost(order, tuple(p), tuple(minutes)))


@pytest.mark.parametrize("seed", range(10))
def test_the_entropy_of_yes_no_facts_is_the_textbook_one(seed: int) -> None:
    """The sum that the choice of a check lowers is the sum of two-row entropies (nats)."""
    shares = np.random.default_rng(seed).random(8)
    each = [textbook.entropy(np.array([s, 1 - s])) for s in shares]
    assert cost.summed_entropy(shares) == pytest.approx(sum(each))
