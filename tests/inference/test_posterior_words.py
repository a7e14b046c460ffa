"""Belief from words alone, held against the model written out the slow way."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import ClassVar

import numpy as np
import pytest

from diag.inference.evidence import Epoch, Evidence
from diag.inference.model import Model, compile_model
from diag.inference.posterior import NOTHING_WRONG, Belief, belief
from diag.rulebook.model import RuleBook
from diag.support.errors import UnknownNameError
from tests.inference import naive
from tests.inference.books import book, cause, knobs, random_book, sign, state, told


class NoCar:
    """A car of which nothing is known."""

    values: ClassVar[dict[str, str]] = {}


def compiled(rules: RuleBook) -> Model:
    return compile_model(rules, NoCar())  # type: ignore[arg-type]


def chances(result: Belief) -> dict[str, float]:
    return dict(result.ranked())


def rich_book(out_of_book: float = 0.0) -> RuleBook:
    """Ten causes; plain signs, a hidden state with two signs, a second state sharing one, a choice, and hiding."""
    needle = {"steady": 0.8, "trembling": 0.15, "falling": 0.05}
    rng = np.random.default_rng(3)
    causes = []
    for c in range(10):
        shows = {f"s{s}": float(rng.uniform(0.2, 0.95)) for s in rng.choice(6, 3, replace=False)}
        if c % 2:
            shows["rich"] = float(rng.uniform(0.3, 0.9))
        if c % 3 == 0:
            shows["flooded"] = 0.6
        row = rng.dirichlet((1.0, 1.0, 1.0))
        answers = {"needle": dict(zip(needle, row.tolist(), strict=True))} if c in (0, 3, 4, 7) else None
        hides = {"s1": 0.7, "rich": 0.4} if c == 5 else None
        causes.append(cause(f"c{c}", float(rng.uniform(0.02, 0.3)), shows, answers=answers, hides=hides))
    signs = [sign(f"s{s}", 0.02) for s in range(6)] + [sign("smell", 0.03), sign("plugs", 0.01), sign("wet", 0.02)]
    states = [state("rich", 0.05, {"smell": 0.65, "plugs": 0.95}), state("flooded", 0.02, {"plugs": 0.5, "wet": 0.9})]
    return book(causes, [*signs, sign("needle", 0.5, needle)], states, figures=knobs(out_of_book=out_of_book))


FINDINGS = (
    told("s0", "+", 0.02),
    told("s1", "-", 0.15),
    told("s3", "+", 0.1),
    told("s3", "+", 0.02),
    told("smell", "+", 0.02),
    told("plugs", "+", 0.15),
    told("wet", "-", 0.02),
    told("needle", "trembling", 0.02),
    told("s5", "-", 0.02),
)


@pytest.mark.parametrize("count", range(len(FINDINGS) + 1))
def test_every_prefix_agrees_with_the_slow_way(count: int) -> None:
    """States, choices, hiding, unsure and repeated answers give the posterior of plain enumeration."""
    rules = rich_book()
    got = chances(belief(compiled(rules), Evidence(FINDINGS[:count])))
    expected, nothing = naive.posterior(rules, FINDINGS[:count])
    for name, p in expected.items():
        assert got[name] == pytest.approx(p, abs=2e-6)
    assert got[NOTHING_WRONG] == pytest.approx(nothing, abs=2e-6)


@pytest.mark.parametrize("seed", range(6))
def test_random_books_agree_with_the_slow_way(seed: int) -> None:
    """On random two-level books the posterior is that of enumerating every set up to three."""
    rules = random_book(seed, 12, 20, 4)
    rng = np.random.default_rng(seed)
    findings = [told(f"s{s:03d}", "+-"[int(rng.integers(2))], 0.02) for s in rng.choice(20, 10, replace=False)]
    got = belief(compiled(rules), Evidence(tuple(findings)))
    expected, nothing = naive.posterior(rules, findings)
    assert got.marginal == pytest.approx(list(expected.values()), abs=1e-10)
    assert got.nothing == pytest.approx(nothing, abs=1e-6)


@pytest.mark.parametrize("seed", range(3))
def test_causes_that_bring_others_agree_with_the_slow_way(seed: int) -> None:
    """Pairs, and triples of pairs, weigh the stated factors beside their odds, and all sets still sum to one."""
    rules = random_book(seed, 9, 12, 3)
    names = list(rules.causes)
    brings = {names[0]: {names[1]: 12.0, names[5]: 3.0}, names[1]: {names[2]: 6.0}, names[7]: {names[5]: 2.0}}
    causes = {name: replace(cause, leads_to=brings.get(name, {})) for name, cause in rules.causes.items()}
    rules = replace(rules, causes=causes)
    findings = [told(f"s{s:03d}", "+-"[s % 2], 0.02) for s in range(6)]
    got = belief(compiled(rules), Evidence(tuple(findings)))
    expected, nothing = naive.posterior(rules, findings)
    assert got.marginal == pytest.approx(list(expected.values()), abs=1e-10)
    assert got.nothing == pytest.approx(nothing, abs=1e-6)


def test_prior_has_the_wanted_share_of_doubles() -> None:
    """Without evidence the chance of two or more faults among faulty jobs is the knob, and of none its own."""
    result = belief(compiled(random_book(1, 40, 5, 3, none=0.05, two_or_more=0.08)), Evidence())
    sizes = (result.rows < 40).sum(axis=1)[:-1]
    weights = result.weights[:-1]
    assert result.nothing == pytest.approx(0.05, abs=1e-3)
    assert weights[sizes >= 2].sum() / weights[sizes >= 1].sum() == pytest.approx(0.08, abs=5e-3)
    assert result.ever.sum() > 0.95  # 0.95 of the jobs are faulty, some of them doubly


def test_context_moves_odds_without_adding_faults() -> None:
    """A context that favours a cause raises it and keeps the share of combined faults."""
    rules = book([cause("a", 0.2, likelier={"rebuilt": 5.0}), cause("b", 0.2), cause("c", 0.2)])
    model = compiled(rules)
    plain, moved = belief(model, Evidence()), belief(model, Evidence(contexts={"rebuilt": True}))
    denied = belief(model, Evidence(contexts={"rebuilt": False}))
    assert chances(moved)["a"] > chances(plain)["a"] + 0.2
    assert denied.ranked() == plain.ranked()
    for result in (plain, moved):
        sizes = (result.rows < 3).sum(axis=1)[:-1]
        assert result.weights[:-1][sizes >= 2].sum() / 0.95 == pytest.approx(0.08, abs=1e-6)


def test_a_cure_leaves_only_the_botched_share() -> None:
    """After a remedy its cause is present now only with the chance that the remedy was botched."""
    rules = book([cause("a", 0.5, {"s": 0.9}), cause("b", 0.5)], [sign("s", 0.01)], figures=knobs(none=0.1))
    model = compiled(rules)
    before = belief(model, Evidence((told("s", "+", 0.02),)))
    after = belief(
        model, Evidence((told("s", "+", 0.02),), epochs=(Epoch(), Epoch(cured=frozenset({"a"}), botch=0.05)))
    )
    a = model.index["a"]
    assert after.ever[a] == pytest.approx(before.ever[a], abs=1e-9)
    assert after.marginal[a] == pytest.approx(0.05 * before.marginal[a], abs=1e-9)
    only_a = float(before.weights[(before.rows[:, 0] == a) & (before.rows[:, 1:] == 2).all(axis=1)].sum())
    assert after.nothing == pytest.approx(before.nothing + 0.95 * only_a, abs=1e-9)


def test_a_complaint_that_outlives_the_remedy_speaks_against_the_cure() -> None:
    """Sign still there after curing a: a was not it, or it was botched; gone: a was it. Worked by hand."""
    rules = book([cause("a", 0.5, {"s": 0.9}), cause("b", 0.5, {"s": 0.9})], [sign("s", 0.01)])
    model = compiled(rules)
    epochs = (Epoch(), Epoch(cured=frozenset({"a"}), botch=0.05))
    still = belief(model, Evidence((told("s", "+", 0.02), told("s", "+", 0.02, 1)), epochs=epochs))
    gone = belief(model, Evidence((told("s", "+", 0.02), told("s", "-", 0.02, 1)), epochs=epochs))
    assert chances(still)["b"] > 0.85
    assert chances(gone)["b"] < 0.1
    assert chances(gone)[NOTHING_WRONG] > 0.85

    # By hand. One latent sign for sets the cure does not touch, two for the others (cured: leak only afterwards).
    leak, q, sure, slip, botch = 0.01, 0.9, 0.98, 0.02, 0.05
    one, two = 1 - (1 - leak) * (1 - q), 1 - (1 - leak) * (1 - q) ** 2
    there = lambda p: p * sure + (1 - p) * slip  # noqa: E731
    same = lambda p: p * sure**2 + (1 - p) * slip**2  # noqa: E731
    odds = (2 * 0.08) / (1 - 0.08)  # two equal odds o: share o^2 / (2 o + o^2) = 0.08
    total = 2 * odds + odds**2
    some = 0.95
    weight = {
        "": 0.05 * same(leak),
        "a": some * odds / total * ((1 - botch) * there(one) * there(leak) + botch * same(one)),
        "b": some * odds / total * same(one),
        "ab": some * odds**2 / total * ((1 - botch) * there(two) * there(one) + botch * same(two)),
    }
    assert chances(still)["b"] == pytest.approx((weight["b"] + weight["ab"]) / math.fsum(weight.values()), abs=2e-6)


def test_an_action_that_cures_nothing_does_not_count_an_answer_twice() -> None:
    """The same answer before and after turning a screw is one latent fact."""
    rules = book([cause("a", 0.5, {"s": 0.5}), cause("b", 0.5)], [sign("s", 0.01)])
    model = compiled(rules)
    once = belief(model, Evidence((told("s", "+", 0.0),)))
    epochs = (Epoch(), Epoch(redraws=frozenset({"set pressure"})))
    twice = belief(model, Evidence((told("s", "+", 0.0), told("s", "+", 0.0, 1)), epochs=epochs))
    assert twice.ranked() == once.ranked()


def test_order_of_answers_does_not_matter() -> None:
    """Any order of the same answers gives the same ranking to the last digit shown."""
    model = compiled(rich_book(0.02))
    assert belief(model, Evidence(FINDINGS)).ranked() == belief(model, Evidence(FINDINGS[::-1])).ranked()


def test_not_in_the_book_rises_when_signs_fit_nothing() -> None:
    """Six answers no cause explains lift "not in the book" far above its prior; fitting answers do not."""
    rules = random_book(2, 30, 40, 4, out_of_book=0.02)
    model = compiled(rules)
    strong = sorted(rules.causes["c003"].shows, key=lambda s: -rules.causes["c003"].shows[s])
    fitting = belief(model, Evidence(tuple(told(s, "+", 0.02) for s in strong[:4])))
    used = {s for c in ("c003",) for s in rules.causes[c].shows}
    odd = [s for s in rules.signs if s not in used][::5][:8]
    strange = belief(model, Evidence(tuple(told(s, "+", 0.02) for s in odd)))
    assert fitting.out_of_book < 0.05
    assert strange.out_of_book > 0.2


def test_rows_and_marginals_agree() -> None:
    """The rows handed on carry the marginals, the first is the empty set and the last is not in the book."""
    rules = rich_book(0.02)
    result = belief(compiled(rules), Evidence(FINDINGS))
    size = len(rules.causes)
    assert (result.rows[0] == size).all()
    assert (result.rows[-1] == size).all()
    assert result.weights.sum() == pytest.approx(1.0)
    summed = np.array([result.weights[(result.rows == c).any(axis=1)].sum() for c in range(size)])
    assert summed == pytest.approx(result.marginal, abs=1e-4)


def test_unknown_names_are_refused() -> None:
    """A sign or an answer the book does not have is named in the error."""
    model = compiled(rich_book())
    with pytest.raises(UnknownNameError, match="needel"):
        belief(model, Evidence((told("needel", "+"),)))
    with pytest.raises(UnknownNameError, match="tremling"):
        belief(model, Evidence((told("needle", "tremling"),)))


def test_a_sign_no_cause_speaks_of_moves_nothing() -> None:
    """Somebody hurt, a pit, a heater: asked for safety, so they speak neither for a cause nor for an unknown one."""
    rules = rich_book(out_of_book=0.02)
    signs = {**rules.signs, "hurt": sign("hurt", 0.002)}
    model = compiled(replace(rules, signs=signs))
    before = chances(belief(model, Evidence((told("smell", "+", 0.02),))))
    after = chances(belief(model, Evidence((told("smell", "+", 0.02), told("hurt", "+", 0.02)))))
    assert after == pytest.approx(before, abs=1e-9)
