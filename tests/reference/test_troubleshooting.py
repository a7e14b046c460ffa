"""Published and recomputed examples of decision-theoretic troubleshooting, solved by the general functions.

Names (E1 to E6, V1 to V4, T2, G1, G2) are ours; each test names its source. "Recomputed" means: the inputs are the
source's, the figure was worked out once by enumeration outside this program.
"""

from __future__ import annotations

from itertools import permutations

import numpy as np
import pytest

from tests.reference import textbook as cost


def test_e1_three_attempts() -> None:
    """Ordering question on a public question-and-answer site; its order is right, its totals were recomputed."""
    success, costs = (0.5, 0.25, 0.2), (10.0, 8.0, 5.0)
    # the last attempt is certain, so its chance does not matter; the order is still by cost over chance
    assert cost.ratio_order(success, costs) == (0, 2, 1)
    table = {(0, 2, 1): 15.7, (0, 1, 2): 15.875, (2, 0, 1): 16.2, (1, 0, 2): 17.375, (2, 1, 0): 17.4, (1, 2, 0): 17.75}
    for order, total in table.items():
        assert cost.attempts_cost(order, success, costs) == pytest.approx(total, abs=1e-9)


def test_e2_dependent_actions_greedy_is_not_optimal() -> None:
    """Dependent actions, after Jensen and others 2001 and Langseth and Jensen (inputs from memory, recomputed)."""
    weights = np.array([0.20, 0.25, 0.40, 0.15])
    fixes = np.array([[1, 0, 0], [1, 1, 0], [0, 1, 1], [0, 0, 1]], dtype=bool)
    ones = np.ones(3)

    def price(order: cost.Order) -> float:
        return cost.covering_cost(order, weights, fixes, ones, last_resort=1000.0)

    assert (weights @ fixes).tolist() == pytest.approx([0.45, 0.65, 0.55])
    greedy = cost.ratio_order(tuple(weights @ fixes), tuple(ones))
    assert greedy[0] == 1
    assert price((1, 0, 2)) == pytest.approx(1.50, abs=1e-9)
    assert price((0, 2)) == pytest.approx(1.55, abs=1e-9)
    assert price((2, 1, 0)) == pytest.approx(1.65, abs=1e-9)
    assert price((0, 1, 2)) == pytest.approx(1.70, abs=1e-9)
    order, best = cost.best_order(3, price)
    assert order == (2, 0)
    assert best == pytest.approx(1.45, abs=1e-9)


def test_e3_and_or_tree() -> None:
    """And-or tree of Greiner, Hayward and Molloy after Simon and Kadane 1975: .76 at 1.3, .608 at 2.04, 2.428."""
    sweet, milk, fruit, cereal = (cost.Search(p, 1.0) for p in (0.3, 0.8, 0.2, 0.7))
    grain = cost.either([fruit, cereal])
    assert (grain.chance, grain.cost) == pytest.approx((0.76, 1.3))
    meal = cost.all_of([grain, milk])
    assert (meal.chance, meal.cost) == pytest.approx((0.608, 2.04))
    assert grain.and_then(milk).cost == pytest.approx(2.06)
    goal = cost.either([meal, sweet])
    assert (goal.chance, goal.cost) == pytest.approx((0.7256, 2.428))
    assert meal.or_else(sweet).cost == pytest.approx(2.432)


def test_e4_observe_and_repair_costs() -> None:
    """Own numbers checked by enumeration against the formula of Heckerman, Breese and Rommelse 1995."""
    p, observe, repair = (0.5, 0.3, 0.2), (10.0, 2.0, 1.0), (100.0, 50.0, 20.0)
    assert cost.ratio_order(p, observe) == (2, 1, 0)
    table = {(2, 1, 0): 7.6, (1, 2, 0): 7.7, (1, 0, 2): 9.2, (2, 0, 1): 9.6, (0, 2, 1): 11.1, (0, 1, 2): 11.2}
    for order, total in table.items():
        assert cost.repair_cost(order, p, observe) == pytest.approx(total, abs=1e-9)
        assert cost.repair_cost(order, p, observe, repair) == pytest.approx(total + 69.0, abs=1e-9)


def test_e5_calling_for_help() -> None:
    """Call for service at any point; own numbers, minimum over all 24 orders (recomputed)."""
    p, c = (0.4, 0.3, 0.2, 0.1), (4.0, 1.0, 3.0, 2.0)
    order = cost.ratio_order(p, c)
    assert order == (1, 0, 2, 3)
    assert cost.repair_cost(order, p, c) == pytest.approx(4.9, abs=1e-9)
    assert min(cost.repair_cost(o, p, c) for o in permutations(range(4))) == pytest.approx(4.9, abs=1e-9)
    for service, used, total in ((2.0, 0, 2.0), (5.0, 1, 4.5), (10.0, 4, 4.9)):
        chosen, price = cost.best_with_service(p, c, service)
        assert price == pytest.approx(total, abs=1e-9)
        if service != 10.0:  # at 10 the last test and the call tie on chance 0
            assert len(chosen) == used


def test_e6_the_last_fault_is_deduced() -> None:
    """T2: p = (7, 7, 1)/15 and c = (8, 5, 4); order by ratio costs 9.2667, skipping fault 0 costs 7.1333."""
    p, c = (7 / 15, 7 / 15, 1 / 15), (8.0, 5.0, 4.0)
    assert cost.ratio_order(p, c)[:2] == (1, 0)
    assert cost.repair_cost((1, 0), p, c) == pytest.approx(9.266666666667)
    order, total = cost.best_with_last_deduced(p, c)
    assert order == (1, 2)
    assert total == pytest.approx(7.133333333333)


def test_v1_information_without_decision_value() -> None:
    """Used-car exercise of Russell and Norvig (16.21, after Pearl 1988): the test is worth nothing."""
    weights = np.array([0.7, 0.3])
    table = np.array([[0.8, 0.2], [0.35, 0.65]])
    gains = np.array([[500.0, -200.0], [0.0, 0.0]])  # buy, leave
    assert float(gains[0] @ weights) == pytest.approx(290.0)
    assert float(weights @ table[:, 0]) == pytest.approx(0.665)
    assert weights[0] * 0.8 / 0.665 == pytest.approx(0.842105, abs=1e-6)
    assert cost.value_of_test(weights, table, gains) == 0.0
    assert cost.information(weights, table) > 0.05
    assert cost.value_of_test(weights, np.eye(2), gains) == pytest.approx(60.0)


def test_v2_oil_wildcatter() -> None:
    """Raiffa 1968; strategy and 22.5 thousand published, likelihoods from memory. Perfect information 35."""
    weights = np.array([0.5, 0.3, 0.2])
    seismic = np.array([[0.6, 0.3, 0.1], [0.3, 0.4, 0.3], [0.1, 0.4, 0.5]])
    gains = np.array([[-70.0, 50.0, 200.0], [0.0, 0.0, 0.0]])
    assert float(gains[0] @ weights) == pytest.approx(20.0)
    assert (weights @ seismic).tolist() == pytest.approx([0.41, 0.35, 0.24])
    assert cost.value_of_test(weights, seismic, gains) == pytest.approx(12.5)
    assert cost.value_of_test(weights, np.eye(3), gains) == pytest.approx(35.0)
    assert pytest.approx(22.5) == 20.0 + 12.5 - 10.0


def test_v3_two_tests_that_only_help_together() -> None:
    """Fault is the exclusive or of two fair bits: each test 0 bit, both 1 bit (recomputed)."""
    # rows: (bit a, bit b); what we want to know is a xor b, so the rows are grouped by it
    bits = np.array([[0, 0], [0, 1], [1, 0], [1, 1]])
    fault = bits[:, 0] ^ bits[:, 1]
    first, second = (np.eye(2)[bits[:, k]] for k in (0, 1))

    def about_fault(table: np.ndarray) -> np.ndarray:
        return np.stack([table[fault == f].mean(axis=0) for f in (0, 1)])

    half = np.array([0.5, 0.5])
    assert cost.information(half, about_fault(first)) == pytest.approx(0.0, abs=1e-12)
    assert cost.information(half, about_fault(second)) == pytest.approx(0.0, abs=1e-12)
    both = about_fault(cost.joint_table(first, second))
    assert cost.information(half, both) / np.log(2) == pytest.approx(1.0)
    rate, pair = cost.best_pair(np.full(4, 0.25), [first, second], [1.0, 1.0])
    assert pair == (0, 1)
    assert rate > 0


def test_v4_greedy_splitting_is_not_optimal() -> None:
    """Priors (1, 1, 9, 9)/20 and tests {0,3}, {3}, {2}: greedy 2.0, optimum 1.65 (recomputed, no ties)."""
    weights = np.array([1, 1, 9, 9]) / 20
    tests = [frozenset({0, 3}), frozenset({3}), frozenset({2})]
    ones = (1.0, 1.0, 1.0)
    assert cost.greedy_tree_cost(weights, tests, ones) == pytest.approx(2.0)
    assert cost.best_tree_cost(weights, tests, ones) == pytest.approx(1.65)


BIT = np.log(2)


def _inverters(p: list[float]) -> tuple[np.ndarray, np.ndarray]:
    """All 16 sets of failed inverters: joint weight with e = 0 observed, and P(probe = 1 | set, e = 0) for b, c, d.

    A failed inverter gives a fair coin, a good one inverts; the input a is 1.
    """
    weights, probes = [], []
    for failed in range(16):
        prior = np.prod([p[k] if failed >> k & 1 else 1 - p[k] for k in range(4)])
        paths = {(): 1.0}
        for k in range(4):
            grown: dict[tuple[int, ...], float] = {}
            for path, chance in paths.items():
                for out in (0, 1):
                    before = path[-1] if path else 1
                    step = 0.5 if failed >> k & 1 else float(out == 1 - before)
                    grown[(*path, out)] = grown.get((*path, out), 0.0) + chance * step
            paths = grown
        wrong = {path: chance for path, chance in paths.items() if path[3] == 0}
        seen = sum(wrong.values())
        weights.append(prior * seen)
        probes.append([sum(c for q, c in wrong.items() if q[k] == 1) / seen if seen else 0.5 for k in range(3)])
    return np.array(weights), np.array(probes)


def test_g1_four_inverters_half_split() -> None:
    """Four cascaded inverters (de Kleer and Williams 1987, circuit from memory): probe the middle first."""
    joint, probes = _inverters([0.01] * 4)
    assert joint.sum() == pytest.approx(0.019701995, abs=1e-9)
    weights = joint / joint.sum()
    singles = [weights[1 << k] for k in range(4)]
    assert singles == pytest.approx([0.2462438] * 4, abs=1e-7)
    assert weights[0b0011] == pytest.approx(0.0024873, abs=1e-7)
    assert cost.entropy(weights) / BIT == pytest.approx(2.122114, abs=1e-6)
    gains = [cost.information(weights, np.stack([probes[:, k], 1 - probes[:, k]], axis=1)) / BIT for k in range(3)]
    assert gains == pytest.approx([0.803761, 0.989950, 0.803761], abs=1e-6)
    correct = weights * probes[:, 1]
    after = correct / correct.sum()
    assert after[0b0100] == pytest.approx(0.4924877, abs=1e-7)


def test_g2_unequal_inverters_move_the_probe() -> None:
    """The same with P(A fails) = .025: the best probe moves to b (recomputed)."""
    joint, probes = _inverters([0.025, 0.01, 0.01, 0.01])
    weights = joint / joint.sum()
    assert weights[0b0001] == pytest.approx(0.4495582, abs=1e-7)
    assert weights[0b0010] == pytest.approx(0.1770987, abs=1e-7)
    gains = [cost.information(weights, np.stack([probes[:, k], 1 - probes[:, k]], axis=1)) / BIT for k in range(3)]
    assert gains == pytest.approx([0.980757, 0.931837, 0.674495], abs=1e-6)


def test_b1_car_start_value_of_information() -> None:
    """Car start problem (Jensen and Nielsen 2007, p. 35; tables published, gains recomputed): plugs, tank, gauge."""
    # rows: (fuel no/yes, plugs no/yes) with the joint of "does not start"
    gauge = {"no": [0.001, 0.001, 0.998], "yes": [0.39, 0.60, 0.01]}
    rows = [("no", "no"), ("no", "yes"), ("yes", "no"), ("yes", "yes")]
    prior = {("fuel", "no"): 0.02, ("fuel", "yes"): 0.98, ("plug", "no"): 0.04, ("plug", "yes"): 0.96}
    fails = {("no", "no"): 1.0, ("no", "yes"): 1.0, ("yes", "no"): 0.99, ("yes", "yes"): 0.01}
    joint = np.array([prior["fuel", f] * prior["plug", s] * fails[f, s] for f, s in rows])
    assert joint.sum() == pytest.approx(0.068216)
    weights = joint / joint.sum()
    assert weights[:2].sum() == pytest.approx(0.29318635, abs=1e-8)
    assert weights[[0, 2]].sum() == pytest.approx(0.58062625, abs=1e-8)
    assert cost.entropy(weights) / BIT == pytest.approx(1.447135, abs=1e-6)
    plugs = np.eye(2)[[0, 1, 0, 1]]
    tank = np.eye(2)[[0, 0, 1, 1]]
    read = np.array([gauge[f] for f, _ in rows])
    gains = [cost.information(weights, t) / BIT for t in (plugs, tank, read)]
    assert gains == pytest.approx([0.981161, 0.872802, 0.817696], abs=1e-6)
    rates = [g / c for g, c in zip(gains, (10.0, 5.0, 1.0), strict=True)]
    assert int(np.argmax(rates)) == 2
