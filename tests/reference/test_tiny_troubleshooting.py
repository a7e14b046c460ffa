"""Published troubleshooting examples as tiny rule books in YAML: loaded, weighed, the next step chosen by the engine.

Behind each figure stands where it is from: [printed] in the source, [computed] from the source's inputs by enumeration
outside this program, [memory] not read again. E, G, T and V number the examples as ``test_troubleshooting.py`` does.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import combinations, permutations
from math import log, prod
from pathlib import Path

import numpy as np
import pytest

from diag.decision.groups import make_groups, top_rows
from diag.inference.evidence import Epoch, Evidence
from diag.inference.posterior import belief
from diag.rulebook.model import RuleBook
from diag.safety.setups import planner_for
from diag.safety.situation import Situation
from tests.reference import textbook as cost
from tests.reference.tiny import ALWAYS, NEVER, Example, Floats, Job, Seen

SIX = 6e-7  # six decimals are given

# ------------------------------------------------------------------ order of tests and repairs


def _minutes(book: RuleBook, steps: Sequence[str]) -> list[float]:
    """What the book says the checks or remedies take."""
    return [{**book.checks, **book.remedies}[s].minutes for s in steps]


def test_e1_three_attempts(tmp_path: Path) -> None:
    """E1, a public question-and-answer site: inputs and best order [printed], costs [computed].

    One cause, three remedies for it that take 10, 8 and 5 and work with .5, .25 and .2; the last attempt is certain.
    After each the engine says how likely the cause is still there.
    """
    tries = ("long", "middling", "short")
    example = Example(
        {"fault": 1.0},
        exclusive=True,
        cures={"fault": tries},
        remedies=dict(zip(tries, (10.0, 8.0, 5.0), strict=True)),
        botch=dict(zip(tries, (0.5, 0.75, 0.8), strict=True)),
    )
    job = example.write(tmp_path)

    def price(order: Sequence[int]) -> float:
        total, epochs = 0.0, [Epoch()]
        for at in order:
            now = belief(job.model, Evidence(epochs=tuple(epochs)))
            remedy = job.book.remedies[tries[at]]
            total += remedy.minutes * float(now.marginal[0] / now.ever[0])
            epochs.append(Epoch(cured=frozenset({"fault"}), botch=remedy.botch, step=remedy.id))
        return total

    table = {(0, 2, 1): 15.7, (0, 1, 2): 15.875, (2, 0, 1): 16.2, (1, 0, 2): 17.375, (2, 1, 0): 17.4, (1, 2, 0): 17.75}
    assert {order: price(order) for order in table} == pytest.approx(table, abs=1e-9)
    works = [1.0 - job.book.remedies[t].botch for t in tries]
    assert cost.ratio_order(works, _minutes(job.book, tries)) == (0, 2, 1)


def test_e2_dependent_actions(tmp_path: Path) -> None:
    """E2, Jensen and others 2001, Langseth and Jensen [memory, computed]: greedy order 1.50, best 1.45.

    Which remedy cures which cause, and its price, come from the book; the chances from the engine. The engine's own
    choice of a remedy is the greedy one and groups each cause under its first remedy; see ``diag.decision.groups``.
    """
    actions = ("a1", "a2", "a3")
    cures = {"f1": ["a1"], "f2": ["a1", "a2"], "f3": ["a2", "a3"], "f4": ["a3"]}
    chances = {"f1": 0.20, "f2": 0.25, "f3": 0.40, "f4": 0.15}
    job = Example(chances, exclusive=True, cures=cures, remedies=dict.fromkeys(actions, 1.0)).write(tmp_path)
    seen = job.told()
    weights = np.array([seen.chance(c) for c in chances])
    fixes = np.array([[a in job.book.causes[c].remedies for a in actions] for c in chances])
    minutes = np.array(_minutes(job.book, actions))

    def price(order: cost.Order) -> float:
        return cost.covering_cost(order, weights, fixes, minutes, last_resort=1000.0)

    assert (weights @ fixes).tolist() == pytest.approx([0.45, 0.65, 0.55], abs=1e-12)
    assert cost.ratio_order((weights @ fixes).tolist(), minutes.tolist())[0] == 1
    table = {(1, 0, 2): 1.50, (2, 0): 1.45, (0, 2): 1.55, (1, 2, 0): 1.55, (2, 1, 0): 1.65, (0, 1, 2): 1.70}
    assert {order: price(order) for order in table} == pytest.approx(table, abs=1e-9)
    order, best = cost.best_order(3, price)
    assert order == (2, 0)
    assert best == pytest.approx(1.45, abs=1e-9)


def test_e3_and_or_tree(tmp_path: Path) -> None:
    """E3, Greiner, Hayward and Molloy after Simon and Kadane 1975: .76 at 1.3, .608 at 2.04, 2.428 [printed].

    Four facts that no cause bears on, each looked at by a check of one minute. "And" of two facts is no noisy-OR, so
    the tree itself is joined by the general functions; chances and prices come from the book through the engine.
    """
    chances = {"sweet": 0.3, "milk": 0.8, "fruit": 0.2, "cereal": 0.7}
    example = Example({"anything": 0.5}, signs=chances, checks={f"look-for-{s}": (1.0, s) for s in chances})
    job = example.write(tmp_path)
    start = job.told()
    searches = {
        check.yields[0].sign: cost.Search(start.predicted(check.yields[0].sign), check.minutes)
        for check in job.book.checks.values()
    }
    grain = cost.either([searches["fruit"], searches["cereal"]])
    meal = cost.all_of([grain, searches["milk"]])
    goal = cost.either([meal, searches["sweet"]])
    assert (grain.chance, grain.cost) == pytest.approx((0.76, 1.3), abs=1e-9)
    assert (meal.chance, meal.cost) == pytest.approx((0.608, 2.04), abs=1e-9)
    assert grain.and_then(searches["milk"]).cost == pytest.approx(2.06, abs=1e-9)
    assert (goal.chance, goal.cost) == pytest.approx((0.7256, 2.428), abs=1e-9)
    assert meal.or_else(searches["sweet"]).cost == pytest.approx(2.432, abs=1e-9)


def _tested(folder: Path, chances: Sequence[float], tests: Sequence[float], repairs: Sequence[float] = ()) -> Job:
    """One of some faults, each with a check that settles it and takes so long."""
    names = [f"f{at}" for at in range(len(chances))]
    return Example(
        dict(zip(names, chances, strict=True)),
        exclusive=True,
        shows={n: {f"found-{n}": ALWAYS} for n in names},
        signs={f"found-{n}": NEVER for n in names},
        checks={f"test-{n}": (minutes, f"found-{n}") for n, minutes in zip(names, tests, strict=True)},
        remedies={f"mend-{n}": minutes for n, minutes in zip(names, repairs, strict=True)} if repairs else {},
    ).write(folder)


def _confirming(job: Job) -> list[float]:
    """Minutes of the check that settles each cause."""
    return _minutes(job.book, [c.confirmed_by[0] for c in job.book.causes.values()])


def test_e4_observe_and_repair(tmp_path: Path) -> None:
    """E4, the formula of Heckerman, Breese and Rommelse 1995 [memory] on own numbers [computed]: best 7.6 and 76.6."""
    job = _tested(tmp_path, (0.5, 0.3, 0.2), (10, 2, 1), (100, 50, 20))
    start = job.told()
    p, observe = [start.chance(c) for c in job.model.causes], _confirming(job)
    repair = _minutes(job.book, [c.remedies[0] for c in job.book.causes.values()])
    table = {(2, 1, 0): 7.6, (1, 2, 0): 7.7, (1, 0, 2): 9.2, (2, 0, 1): 9.6, (0, 2, 1): 11.1, (0, 1, 2): 11.2}
    assert cost.ratio_order(p, observe) == (2, 1, 0)
    assert {o: cost.repair_cost(o, p, observe) for o in table} == pytest.approx(table, abs=1e-9)
    with_repair = {order: total + 69.0 for order, total in table.items()}
    assert {o: cost.repair_cost(o, p, observe, repair) for o in table} == pytest.approx(with_repair, abs=1e-9)


@pytest.mark.parametrize(("service", "tried", "total"), [(2.0, 0, 2.0), (5.0, 1, 4.5), (10.0, 4, 4.9)])
def test_e5_calling_for_help(tmp_path: Path, service: float, tried: int, total: float) -> None:
    """E5, own numbers [computed] for the call-service action of Heckerman, Breese and Rommelse: 2.0, 4.5 and 4.9."""
    names = ("f0", "f1", "f2", "f3")
    chances = dict(zip(names, (0.4, 0.3, 0.2, 0.1), strict=True))
    spent = dict(zip((f"mend-{n}" for n in names), (4.0, 1.0, 3.0, 2.0), strict=True))
    job = Example(chances, exclusive=True, remedies=spent, hand_on=service).write(tmp_path)
    p = [job.told().chance(n) for n in names]
    minutes = _minutes(job.book, list(spent))
    order, price = cost.best_with_service(p, minutes, job.book.knobs.hand_on_minutes)
    assert order == (1, 0, 2, 3)[:tried]
    assert price == pytest.approx(total, abs=1e-9)


def test_e5_order_of_remedies(tmp_path: Path) -> None:
    """E5 without the call: the engine's own prices give the order 1, 0, 2, 3 and 4.9, the least of all 24 [computed].

    The engine's price of handing on holds the repair that somebody else has to do, which the example leaves out, so
    the cases with a call are the general function's above.
    """
    names = ("f0", "f1", "f2", "f3")
    chances = dict(zip(names, (0.4, 0.3, 0.2, 0.1), strict=True))
    spent = dict(zip((f"mend-{n}" for n in names), (4.0, 1.0, 3.0, 2.0), strict=True))
    job = Example(chances, exclusive=True, remedies=spent, hand_on=1000.0).write(tmp_path)
    seen, here = job.told(), Situation()
    groups = make_groups(seen.belief, job.book, here, planner_for(job.book))
    top = top_rows(seen.belief, groups, job.book, here)
    order = [groups.names[at] for at in top.prices.orders(top.weights[:, None])[0]]
    assert order[:4] == ["mend-f1", "mend-f0", "mend-f2", "mend-f3"]
    assert float(top.prices.expected(top.weights[:, None])[0]) == pytest.approx(4.9, abs=1e-9)
    p, minutes = [seen.chance(n) for n in names], _minutes(job.book, list(spent))
    assert min(cost.repair_cost(o, p, minutes) for o in permutations(range(4))) == pytest.approx(4.9, abs=1e-9)
    proposal = seen.proposal()
    assert (proposal.kind, proposal.step) == ("remedy", "mend-f1")


def test_e6_the_last_fault_is_deduced(tmp_path: Path) -> None:
    """T2 [computed]: (7, 7, 1)/15 at 8, 5, 4. By ratio 9.2667; never testing fault 0, 7.1333, since it is deduced."""
    job = _tested(tmp_path, (7 / 15, 7 / 15, 1 / 15), (8, 5, 4))
    start = job.told()
    p, tests = [start.chance(c) for c in job.model.causes], _confirming(job)
    assert cost.repair_cost(cost.ratio_order(p, tests)[:2], p, tests) == pytest.approx(9.266666666667, abs=1e-9)
    order, total = cost.best_with_last_deduced(p, tests)
    assert order == (1, 2)
    assert total == pytest.approx(7.133333333333, abs=1e-9)
    assert job.told("found-f1-", "found-f2-").chance("f0") == pytest.approx(1.0, abs=1e-9)


# ------------------------------------------------------------------ model-based diagnosis

# De Kleer and Williams 1987. Components fail independently; a failed one puts out each of its m values equally often;
# a candidate is the set of those that failed. Circuits [memory], figures [computed].


def _candidates(fails: dict[str, float]) -> dict[tuple[str, ...], float]:
    """Every set of failed components but the empty one, and its chance."""
    names = list(fails)
    sets = [s for size in range(1, len(names) + 1) for s in combinations(names, size)]
    return {s: prod(fails[n] if n in s else 1.0 - fails[n] for n in names) for s in sets}


INVERTERS = ("a", "b", "c", "d")  # a row of them; behind the last lies the output e
NODES = ("after-a", "after-b", "after-c", "output")


@pytest.mark.parametrize(("fails_a", "first", "others"), [(0.01, 0.2462438, 0.2462438), (0.025, 0.4495582, 0.1770987)])
def test_g1_g2_inverters_as_causes(tmp_path: Path, fails_a: float, first: float, others: float) -> None:
    """G1 and G2: four inverters in a row, the output wrong. The engine's own sets of causes are the candidates.

    Any failed inverter makes the output a coin, which is how a book mixes equal rows of a choice. All four failed at
    once is beyond the engine's three, and is added here: half the product of the four chances.
    """
    fails = dict(zip(INVERTERS, (fails_a, 0.01, 0.01, 0.01), strict=True))
    coin = {"output": {"wrong": 0.5, "right": 0.5}}
    example = Example(fails, answers=dict.fromkeys(fails, coin), choices={"output": {"wrong": NEVER, "right": ALWAYS}})
    seen = example.write(tmp_path).told("output=wrong")
    four = prod(fails.values())
    inside, outside = seen.probability * (1.0 - four), 0.5 * four
    share = inside / (inside + outside)
    singles = [seen.exactly(n) * share for n in INVERTERS]
    assert singles == pytest.approx([first, others, others, others], abs=6e-8)
    if fails_a == 0.01:
        assert inside + outside == pytest.approx(0.019701995, abs=6e-10)
        for pair in combinations(INVERTERS, 2):
            assert seen.exactly(*pair) * share == pytest.approx(0.0024873, abs=6e-8)
        for name in INVERTERS:
            assert seen.chance(name) * share + (1.0 - share) == pytest.approx(0.253781, abs=SIX)


def _named(candidate: Sequence[str]) -> str:
    return "-and-".join(candidate)


def inverters(fails_a: float) -> Example:
    """The row with one cause per candidate, so that the candidates share out exactly what a probe would show.

    With the inverters themselves as causes a probe could not be said: behind two failed ones the values before and
    after the second are two coins, behind one failed one they are the same coin, and that *and* is no noisy-OR. A
    candidate is one cause; the coin of each failed inverter is a hidden state, seen at every node up to the next one.
    """
    chances = _candidates(dict(zip(INVERTERS, (fails_a, 0.01, 0.01, 0.01), strict=True)))
    shows: dict[str, dict[str, float]] = {}
    states: dict[str, tuple[float, dict[str, float]]] = {}
    for candidate in chances:
        failed = [INVERTERS.index(n) for n in candidate]
        for start, stop in zip(failed, [*failed[1:], len(INVERTERS)], strict=True):
            coin = f"coin-{start}-to-{stop}"
            states[coin] = (NEVER, dict.fromkeys(NODES[start:stop], ALWAYS))
            shows.setdefault(_named(candidate), {})[coin] = 0.5
    return Example(
        {_named(c): p for c, p in chances.items()},
        exclusive=True,
        shows=shows,
        signs=dict.fromkeys(NODES, NEVER),
        states=states,
        checks={f"probe-{n}": (1.0, n) for n in NODES[:3]},
    )


def _gains(seen: Seen, signs: Sequence[str]) -> list[float]:
    return [seen.gain(s) for s in signs]


def test_g1_four_inverters(tmp_path: Path) -> None:
    """G1, each fails with .01: entropy, what each probe tells, and the half split that the engine proposes."""
    job = inverters(0.01).write(tmp_path)
    seen = job.told("output+")
    assert seen.probability == pytest.approx(0.019701995, abs=6e-10)
    assert [seen.exactly(n) for n in INVERTERS] == pytest.approx([0.2462438] * 4, abs=6e-8)
    assert [seen.exactly(_named(c)) for c in combinations(INVERTERS, 2)] == pytest.approx([0.0024873] * 6, abs=6e-8)
    assert seen.chance(*(c for c in job.model.causes if "a" in c.split("-and-"))) == pytest.approx(0.253781, abs=SIX)
    assert seen.bits == pytest.approx(2.122114, abs=SIX)
    gains = _gains(seen, NODES[:3])
    assert gains == pytest.approx([0.803761, 0.989950, 0.803761], abs=SIX)
    assert [seen.bits - g for g in gains] == pytest.approx([1.318353, 1.132164, 1.318353], abs=SIX)
    assert seen.proposal().step == "probe-after-b"  # the node that the source calls c


def test_g1_after_the_half_split(tmp_path: Path) -> None:
    """G1, the middle probed: right leaves the last two and the probe between them, wrong the first two."""
    job = inverters(0.01).write(tmp_path)
    right, wrong = job.told("output+", "after-b-"), job.told("output+", "after-b+")
    assert [right.exactly(n) for n in ("c", "d")] == pytest.approx([0.4924877] * 2, abs=6e-8)
    assert [right.gain(n) for n in ("after-c", "after-a")] == pytest.approx([0.994975, 0.000372], abs=SIX)
    assert right.proposal().step == "probe-after-c"
    assert [wrong.exactly(n) for n in ("a", "b")] == pytest.approx([0.4924877] * 2, abs=6e-8)
    assert wrong.gain("after-a") == pytest.approx(0.994975, abs=SIX)
    assert wrong.proposal().step == "probe-after-a"


def test_g2_unequal_inverters(tmp_path: Path) -> None:
    """G2, the first fails with .025: the best probe moves from the middle to right behind it."""
    seen = inverters(0.025).write(tmp_path).told("output+")
    singles = [seen.exactly(n) for n in INVERTERS]
    assert singles == pytest.approx([0.4495582, 0.1770987, 0.1770987, 0.1770987], abs=6e-8)
    assert _gains(seen, NODES[:3]) == pytest.approx([0.980757, 0.931837, 0.674495], abs=SIX)
    assert seen.proposal().step == "probe-after-a"


PARTS = ("m1", "m2", "m3", "a1", "a2")
PROBES = ("node-x", "node-y", "node-z")
Outputs = tuple[int, int]


def _weights(candidate: Sequence[str], seen: Outputs, values: int) -> Floats:
    """P(x, y, z and these outputs | candidate) of the polybox, by x, y and z: each of ``values`` from 0 up.

    Three multipliers give x = y = z = 6 from the inputs 3, 2, 2, 3, 3; two adders give F = x + y and G = y + z.
    """
    right = np.zeros(values)
    right[6] = 1.0
    even = np.full(values, 1.0 / values)
    x, y, z = (even if m in candidate else right for m in PARTS[:3])
    at = np.arange(values)
    first = 1.0 / values if "a1" in candidate else (at[:, None, None] + at[:, None] == seen[0])
    second = 1.0 / values if "a2" in candidate else (at[:, None] + at == seen[1])
    return np.asarray(x[:, None, None] * y[:, None] * z * first * second)


def polybox(seen: Outputs, values: int) -> Example:
    """The polybox with one cause per candidate, a sign for the outputs seen, and a choice for each inner node.

    The circuit is the example's, so the test works out what each candidate shows, and the engine does the diagnosis.
    A node's chances are those given the outputs; values that no candidate tells apart are one answer.
    """
    chances = _candidates(dict.fromkeys(PARTS, 0.01))
    joint = {_named(c): _weights(c, seen, values) for c in chances}
    fits = {c: float(w.sum()) for c, w in joint.items()}
    answers: dict[str, dict[str, dict[str, float]]] = {c: {} for c in joint}
    choices: dict[str, dict[str, float]] = {}
    for axis, node in enumerate(PROBES):
        others = tuple(k for k in range(3) if k != axis)
        table = np.array([w.sum(axis=others) / fits[c] if fits[c] else np.eye(values)[6] for c, w in joint.items()])
        kinds, where = np.unique(np.round(table, 12), axis=1, return_inverse=True)
        names = [f"like-{int(np.argmax(where.ravel() == k))}" for k in range(kinds.shape[1])]
        for name, kind in zip(names, range(len(names)), strict=True):
            for c, row in zip(joint, table, strict=True):
                share = float(row[where.ravel() == kind].sum())
                answers[c].setdefault(node, {})[name] = min(max(share, NEVER), ALWAYS)
        choices[node] = {name: 1.0 / len(names) for name in names}
    return Example(
        {_named(c): p for c, p in chances.items()},
        exclusive=True,
        shows={c: {"outputs": max(p, NEVER)} for c, p in fits.items()},
        answers=answers,
        signs={"outputs": NEVER},
        choices=choices,
        checks={f"probe-{n}": (1.0, n) for n in PROBES},
    )


@pytest.mark.parametrize(
    ("values", "single", "double", "with_m2", "gains"),
    [
        (16, 0.496226, 0.005012, 0.000313, [1.033004, 0.007763, 0.004321]),
        (100, 0.497286, 0.005023, None, [1.039100, 0.001501, 0.000823]),
    ],
)
def test_g3_polybox(
    tmp_path: Path, values: int, single: float, double: float, with_m2: float | None, gains: list[float]
) -> None:
    """G3: F = 10 where 12 is due, G = 12. The first adder or the first multiplier; the engine proposes to probe x."""
    seen = polybox((10, 12), values).write(tmp_path).told("outputs+")
    assert [seen.exactly("a1"), seen.exactly("m1")] == pytest.approx([single, single], abs=SIX)
    assert seen.exactly("m1-and-a1") == pytest.approx(double, abs=SIX)
    if with_m2 is not None:
        assert seen.exactly("m1-and-m2") == pytest.approx(with_m2, abs=SIX)
    assert _gains(seen, PROBES) == pytest.approx(gains, abs=SIX)
    assert seen.proposal().step == "probe-node-x"


def test_g3_polybox_after_the_probe(tmp_path: Path) -> None:
    """G3 with 16 values: x = 6 leaves the adder, x = 4 the multiplier."""
    job = polybox((10, 12), 16).write(tmp_path)
    assert job.told("outputs+", "node-x=like-6").exactly("a1") == pytest.approx(0.996200, abs=SIX)
    seen = job.told("outputs+", "node-x=like-4")
    assert seen.exactly("m1") == pytest.approx(0.997473, abs=SIX)
    assert seen.chance(*(c for c in job.model.causes if "m1" in c.split("-and-"))) == pytest.approx(1.0, abs=SIX)


def test_g3_polybox_both_outputs_wrong(tmp_path: Path) -> None:
    """G3, second pattern, F = G = 10: the shared multiplier .994917; y would tell .025825, x and z .014383."""
    seen = polybox((10, 10), 16).write(tmp_path).told("outputs+")
    assert seen.exactly("m2") == pytest.approx(0.994917, abs=SIX)
    assert _gains(seen, PROBES) == pytest.approx([0.014383, 0.025825, 0.014383], abs=SIX)


def test_g3_polybox_by_consistency(tmp_path: Path) -> None:
    """G3 with the prior alone, every candidate that can explain the outputs doing so equally: 27 of 31 can."""
    example = polybox((10, 12), 16)
    fits = {c: links["outputs"] > 2 * NEVER for c, links in example.shows.items()}
    assert sum(fits.values()) == 27
    example = replace(example, shows={c: {"outputs": ALWAYS if can else NEVER} for c, can in fits.items()})
    job = example.write(tmp_path)
    seen = job.told("outputs+")
    assert [seen.exactly("a1"), seen.exactly("m1")] == pytest.approx([0.478026] * 2, abs=SIX)
    for double in ("m1-and-m2", "m2-and-m3", "m2-and-a2", "m1-and-a1"):
        assert seen.exactly(double) == pytest.approx(0.004829, abs=SIX)
    expected = {"a1": 0.497635, "m1": 0.497635, "m2": 0.019609, "a2": 0.014780, "m3": 0.014780}
    for part, p in expected.items():
        containing = [c for c in job.model.causes if part in c.split("-and-")]
        assert seen.chance(*containing) == pytest.approx(p, abs=SIX)


# ------------------------------------------------------------------ value of information


def test_v1_information_without_decision_value(tmp_path: Path) -> None:
    """V1, Russell and Norvig 16.21 after Pearl 1988, inputs [printed], answers [computed]: worth nothing."""
    example = Example(
        {"bad": 0.3},
        answers={"bad": {"test": {"pass": 0.35, "fail": 0.65}}},
        choices={"test": {"pass": 0.8, "fail": 0.2}},
        checks={"have-it-tested": (50.0, "test")},
    )
    job = example.write(tmp_path)
    start = job.told()
    gains = np.array([[-200.0 if s else 500.0 for s in start.sets], [0.0] * len(start.sets)])  # buy, leave
    table = start.table("test")[1]
    assert float(gains[0] @ start.weights) == pytest.approx(290.0, abs=1e-9)
    assert start.predicted("test", "pass") == pytest.approx(0.665, abs=1e-9)
    assert cost.value_of_test(start.weights, table, gains) == pytest.approx(0.0, abs=1e-9)
    assert cost.value_of_test(start.weights, np.eye(2), gains) == pytest.approx(60.0, abs=1e-9)
    assert start.gain("test") > 0.1
    for answer, good, worth in (("pass", 0.842105, 389.47), ("fail", 0.417910, 92.54)):
        seen = job.told(f"test={answer}")
        assert 1.0 - seen.chance("bad") == pytest.approx(good, abs=SIX)
        assert 500.0 - 700.0 * seen.chance("bad") == pytest.approx(worth, abs=6e-3)


def test_v2_oil_wildcatter(tmp_path: Path) -> None:
    """V2, Raiffa 1968: 22.5 thousand [printed]; dry -70 and the likelihoods [memory], the rest [computed]."""
    example = Example(
        {"wet": 0.3, "soaking": 0.2},
        exclusive=True,
        answers={
            "wet": {"seismic": {"none": 0.3, "open": 0.4, "closed": 0.3}},
            "soaking": {"seismic": {"none": 0.1, "open": 0.4, "closed": 0.5}},
        },
        choices={"seismic": {"none": 0.6, "open": 0.3, "closed": 0.1}},
    )
    job = example.write(tmp_path)
    start = job.told()
    worth = {frozenset(): -70.0, frozenset({"wet"}): 50.0, frozenset({"soaking"}): 200.0}
    gains = np.array([[worth[s] for s in start.sets], [0.0] * 3])  # drill, leave
    assert float(gains[0] @ start.weights) == pytest.approx(20.0, abs=1e-9)
    after = {"none": (0.41, -30.488), "open": (0.35, 32.857), "closed": (0.24, 87.5)}
    for answer, (chance, money) in after.items():
        assert start.predicted("seismic", answer) == pytest.approx(chance, abs=1e-9)
        assert float(gains[0] @ job.told(f"seismic={answer}").weights) == pytest.approx(money, abs=6e-4)
    value = cost.value_of_test(start.weights, start.table("seismic")[1], gains)
    assert value == pytest.approx(12.5, abs=1e-9)
    assert 20.0 + value - 10.0 == pytest.approx(22.5, abs=1e-9)
    assert cost.value_of_test(start.weights, np.eye(3), gains) == pytest.approx(35.0, abs=1e-9)


def test_v3_two_tests_that_only_help_together(tmp_path: Path) -> None:
    """V3 [computed]: what is asked is whether exactly one of two fair causes holds: 0 bit, 0 bit, together 1."""
    shows = {c: {f"sees-{c}": ALWAYS} for c in ("a", "b")}
    example = Example({"a": 0.5, "b": 0.5}, shows=shows, signs=dict.fromkeys(("sees-a", "sees-b"), NEVER))
    start = example.write(tmp_path).told()
    odd = np.array([len(s) == 1 for s in start.sets])

    def about_odd(table: Floats) -> float:
        mixed = np.stack([start.weights[odd == f] @ table[odd == f] / start.weights[odd == f].sum() for f in (0, 1)])
        return cost.information(np.array([start.weights[odd == f].sum() for f in (0, 1)]), mixed) / log(2)

    first, second = (start.table(f"sees-{c}")[1] for c in ("a", "b"))
    assert about_odd(first) == pytest.approx(0.0, abs=1e-9)
    assert about_odd(second) == pytest.approx(0.0, abs=1e-9)
    assert about_odd(cost.joint_table(first, second)) == pytest.approx(1.0, abs=1e-9)
    rate, pair = cost.best_pair(start.weights, [first, second], [1.0, 1.0])
    assert pair == (0, 1)
    assert rate / log(2) == pytest.approx(1.0, abs=1e-9)  # two bits about both causes for two tests


def test_v4_greedy_splitting_is_not_optimal(tmp_path: Path) -> None:
    """V4 [computed]: chances (1, 1, 9, 9)/20, tests {0, 3}, {3}, {2}: greedy 2.0 tests on average, best 1.65."""
    names = ("f0", "f1", "f2", "f3")
    tests = {"first": ("f0", "f3"), "second": ("f3",), "third": ("f2",)}
    example = Example(
        dict(zip(names, (0.05, 0.05, 0.45, 0.45), strict=True)),
        exclusive=True,
        shows={n: {t: ALWAYS for t, seen in tests.items() if n in seen} for n in names},
        signs=dict.fromkeys(tests, NEVER),
        checks={f"do-{t}": (1.0, t) for t in tests},
    )
    job = example.write(tmp_path)
    start = job.told()
    yes = [frozenset(np.flatnonzero(start.table(t)[1][:, 0] > 0.5).tolist()) for t in tests]
    minutes = [job.book.checks[f"do-{t}"].minutes for t in tests]
    gains = _gains(start, list(tests))
    assert gains[0] == pytest.approx(1.0, abs=1e-9)
    assert max(gains[1:]) < 0.993  # no tie
    assert cost.greedy_tree_cost(start.weights, yes, minutes) == pytest.approx(2.0, abs=1e-9)
    assert cost.best_tree_cost(start.weights, yes, minutes) == pytest.approx(1.65, abs=1e-9)
