"""Our exact posteriors against a general-purpose Bayesian-network library and published two-level networks."""

from __future__ import annotations

import math
from itertools import combinations

import numpy as np
import pytest

from diag.evaluation import peer
from diag.inference import fault_sets as hypotheses
from diag.inference import word_likelihood as words
from diag.inference.evidence import Evidence, Finding
from diag.inference.model import Model
from diag.inference.posterior import belief
from diag.inference.word_likelihood import log_likelihood
from diag.rulebook.model import RuleBook
from tests.inference.books import book, cause, knobs, random_book, sign, told
from tests.inference.test_posterior_words import compiled
from tests.reference.tiny import FEVER

pytest.importorskip("pyagrum")


def findings_for(seed: int, n_signs: int, asked: int, positive: float) -> list[Finding]:
    """Answers about random signs, some positive, some unsure."""
    rng = np.random.default_rng(seed)
    chosen = rng.choice(n_signs, asked, replace=False)
    return [
        told(f"s{s:03d}", "+" if rng.random() < positive else "-", float(rng.choice([0.02, 0.15])), entry=at)
        for at, s in enumerate(chosen)
    ]


@pytest.mark.parametrize("seed", range(4))
def test_random_networks_equal_the_library(seed: int) -> None:
    """Random two-level networks, same prior on the number of faults: posteriors of pyAgrum 3.3 to 1e-9."""
    rules = random_book(seed, 14, 20, 4)
    findings = findings_for(seed, 20, 9, 0.5)
    expected = peer.posteriors(peer.network(rules, findings), list(rules.causes), findings)
    got = belief(compiled(rules), Evidence(tuple(findings)))
    assert got.marginal == pytest.approx(expected, abs=1e-9)


@pytest.mark.parametrize("seed", range(3))
def test_full_size_books_equal_enumeration(seed: int) -> None:
    """70 causes, 100 signs: no cause is off by more than 1e-9 from summing all 57,226 sets one formula at a time.

    The bar of the requirement is 0.005; nothing is pruned up to 80 causes, so the error is rounding only.
    """
    rules = random_book(seed)
    findings = findings_for(seed, 100, 20, 0.5)
    got = belief(compiled(rules), Evidence(tuple(findings)))
    assert got.marginal == pytest.approx(_by_full_enumeration(rules, findings), abs=1e-9)


def _by_full_enumeration(rules: RuleBook, findings: list[Finding]) -> np.ndarray:
    """All sets up to three written out directly, without the decomposition over pairs."""
    names = list(rules.causes)
    absent = np.array([[1 - rules.causes[c].shows.get(f.sign, 0.0) for c in names] for f in findings])
    leak = np.array([1 - rules.signs[f.sign].chance for f in findings])
    on = np.array([1 - f.wrong if f.answer == "present" else f.wrong for f in findings])
    shares = np.array([c.how_often.share for c in rules.causes.values()])
    sums = [math.fsum(np.prod(shares[list(g)]) for g in combinations(range(len(names)), k)) for k in (1, 2, 3)]
    low, high = 1e-9, 1e9
    for _ in range(300):
        mid = math.sqrt(low * high)
        share = (sums[1] * mid**2 + sums[2] * mid**3) / (sums[0] * mid + sums[1] * mid**2 + sums[2] * mid**3)
        low, high = (mid, high) if share < rules.knobs.two_or_more else (low, mid)
    odds = shares * low
    some = (1 - rules.knobs.none) / (sums[0] * low + sums[1] * low**2 + sums[2] * low**3)
    marginal = np.zeros(len(names))
    total = rules.knobs.none * float(np.prod(on + (1 - 2 * on) * leak))
    for size in (1, 2, 3):
        sets = np.array(list(combinations(range(len(names)), size)))
        none_shows = leak[:, None] * np.prod(absent[:, sets], axis=2)
        weight = some * np.prod(odds[sets], axis=1) * np.prod(on[:, None] + (1 - 2 * on)[:, None] * none_shows, axis=0)
        total += float(weight.sum())
        for slot in range(size):
            marginal += np.bincount(sets[:, slot], weight, len(names))
    return marginal / total


@pytest.mark.parametrize("seed", range(2))
def test_large_books_lose_next_to_nothing(seed: int) -> None:
    """130 causes: leaving the least likely out of triples moves no cause by more than 0.005 (the stated bar)."""
    rules = random_book(seed, 130, 100, 6)
    findings = findings_for(seed, 100, 14, 0.6)
    got = belief(compiled(rules), Evidence(tuple(findings)))
    assert np.abs(got.marginal - _by_full_enumeration(rules, findings)).max() < 0.005


def likelihoods(rules: RuleBook, findings: list[Finding]) -> dict[tuple[str, ...], float]:
    """P(answers | set) for every set of up to three, from the engine's own word evidence."""
    model: Model = compiled(rules)
    cols = hypotheses.columns(len(model.causes))
    plan = hypotheses.layout(len(model.causes))
    said = words.gather(model.words, findings, [0])
    result: dict[tuple[str, ...], float] = {}
    for sets in (plan.nothing, plan.singles, plan.pairs, plan.triples):
        logs = log_likelihood(model.words, said, cols, sets)
        for at in range(sets.count):
            result[tuple(model.causes[m[at]] for m in sets.members)] = float(np.exp(logs[0, at]))
    return result


def test_fever_noisy_or() -> None:
    """Russell & Norvig, noisy-OR table for fever (from memory): inhibitions cold .6, flu .2, malaria .1, no leak."""
    shows = {"cold": 0.4, "flu": 0.8, "malaria": 0.9}
    rules = book([cause(n, 0.3, {"fever": q}) for n, q in shows.items()], [sign("fever", 1e-12)])
    got = likelihoods(rules, [told("fever", "+")])
    for group, p in FEVER.items():
        assert got[group] == pytest.approx(p, abs=1e-9)


def test_leak_convention_is_net_weights() -> None:
    """Leak .1, links .3 and .7: both present gives .811 with net link weights (AIPython's convention), not .766667."""
    rules = book([cause("a", 0.3, {"e": 0.3}), cause("b", 0.3, {"e": 0.7})], [sign("e", 0.1)])
    assert likelihoods(rules, [told("e", "+")])[("a", "b")] == pytest.approx(0.811, abs=1e-12)
    compound = [1 - (1 - p) / (1 - 0.1) for p in (0.3, 0.7)]
    rules = book([cause(n, 0.3, {"e": w}) for n, w in zip("ab", compound, strict=True)], [sign("e", 0.1)])
    assert likelihoods(rules, [told("e", "+")])[("a", "b")] == pytest.approx(0.7666666667, abs=1e-9)


N2 = {
    "": (1.0, 0.1, 0.05, 0.01),
    "cough+": (0.14177989, 0.26849076, 0.10808613, 0.05224429),
    "fever+": (0.0464221, 0.1, 0.65353786, 0.15335584),
    "cough+ fever+": (0.01548935814, 0.15558749, 0.60464237, 0.34072983),
    "cough+ fever+ sneeze+": (0.003554211326, 0.39661572, 0.79495952, 0.16924778),
    "cough+ fever+ sneeze-": (0.01193514681, 0.0838108, 0.54796713, 0.3917961),
    "cough+ fever- sneeze+": (0.02429078122, 0.77447404, 0.07416454, 0.00930409),
    "cough+ fever- sneeze-": (0.1019997506, 0.16513825, 0.04075895, 0.01866181),
    "cough- fever- sneeze-": (0.7550554214, 0.03743316, 0.01329456, 0.00090827),
}


@pytest.mark.parametrize("answers", N2)
def test_cold_flu_covid(answers: str) -> None:
    """Poole & Mackworth, AIPython 0.9.5 (parameters published; posteriors computed with pyAgrum): to 1e-7.

    Three causes, so every set is within our three; weighed here by the example's independent priors.
    """
    prior = {"cold": 0.1, "flu": 0.05, "covid": 0.01}
    causes = [
        cause("cold", 0.1, {"cough": 0.3, "sneeze": 0.5}),
        cause("flu", 0.05, {"cough": 0.2, "fever": 0.6, "sneeze": 0.2}),
        cause("covid", 0.01, {"cough": 0.7, "fever": 0.7}),
    ]
    rules = book(causes, [sign("cough", 0.1), sign("fever", 0.01), sign("sneeze", 0.05)])
    got = likelihoods(rules, [told(a[:-1], a[-1]) for a in answers.split()])
    joint = {
        group: like * math.prod(p if c in group else 1 - p for c, p in prior.items()) for group, like in got.items()
    }
    evidence = math.fsum(joint.values())
    expected = N2[answers]
    assert evidence == pytest.approx(expected[0], abs=1e-8)
    for name, p in zip(prior, expected[1:], strict=True):
        assert math.fsum(w for g, w in joint.items() if name in g) / evidence == pytest.approx(p, abs=1e-7)


def test_twenty_positive_answers_lose_no_digits() -> None:
    """Where inclusion-exclusion in float64 is off by 3e-4 (own trial, 40 x 80), we stay below 1e-9."""
    rules = random_book(11, 40, 80, 5)
    findings = [told(f"s{s:03d}", "+", 0.0) for s in np.random.default_rng(4).choice(80, 20, replace=False)]
    got = belief(compiled(rules), Evidence(tuple(findings)))
    assert got.marginal == pytest.approx(_by_full_enumeration(rules, findings), abs=1e-9)


def test_inverters() -> None:
    """Four inverters in a row, output wrong, p = .01, a failed one shows either value (after de Kleer & Williams 1987).

    Circuit from memory, figures computed by enumeration: singles .2462438, pairs .0024873 of what fits.
    """
    names = ["A", "B", "C", "D"]
    # One wrong output: a lone failed inverter shows it half the time, and so does any set of failed ones.
    answers = {"output": {"wrong": 0.5, "right": 0.5}}
    rules = book(
        [cause(n, 0.01, answers=answers) for n in names], [sign("output", choices={"wrong": 1e-12, "right": 1.0})]
    )
    got = likelihoods(rules, [told("output", "wrong")])
    joint = {g: like * 0.01 ** len(g) * 0.99 ** (4 - len(g)) for g, like in got.items()}
    total = math.fsum(joint.values()) + 0.5 * 0.01**4  # all four failed lies outside sets of three
    assert total == pytest.approx(0.019701995, abs=1e-9)
    assert joint[("A",)] / total == pytest.approx(0.2462438, abs=1e-7)
    assert joint[("A", "B")] / total == pytest.approx(0.0024873, abs=1e-7)
    marginal = (math.fsum(w for g, w in joint.items() if "A" in g) + 0.5 * 0.01**4) / total
    assert marginal == pytest.approx(0.253781, abs=1e-6)


def test_state_networks_equal_the_library() -> None:
    """A hidden state behind three signs, against the same network in pyAgrum with the state as a node."""
    gum = pytest.importorskip("pyagrum")
    from tests.inference.books import state

    causes = [cause(f"c{n}", 0.2, {"rich": 0.2 + 0.2 * n, "odd": 0.1 * n}) for n in range(4)]
    seen = {"smell": 0.65, "plugs": 0.95, "smoke": 0.3}
    signs = [sign("smell", 0.05), sign("plugs", 0.02), sign("smoke", 0.01), sign("odd", 0.03)]
    rules = book(causes, signs, [state("rich", 0.05, seen)], figures=knobs())
    findings = [told("smell", "+", 0.02), told("plugs", "+", 0.15), told("smoke", "-", 0.02), told("odd", "-", 0.02)]
    net = peer.network(rules, [told("odd", "-", 0.02)])
    net.addNoisyORNet(gum.LabelizedVariable("rich", "rich", 2), 0.05)
    for c in causes:
        net.addWeightedArc(c.id, "rich", c.shows["rich"])
    for name, strength in seen.items():
        net.addNoisyORNet(gum.LabelizedVariable(name, name, 2), rules.signs[name].chance)
        net.addWeightedArc("rich", name, strength)
    expected = peer.posteriors(net, [c.id for c in causes], findings)
    assert belief(compiled(rules), Evidence(tuple(findings))).marginal == pytest.approx(expected, abs=1e-9)
