"""Witnesses: the mixture over their levels against plain enumeration, and what a contradiction does.

Source of the model: Dawid & Skene, Maximum Likelihood Estimation of Observer Error-Rates, Applied Statistics 28 (1979)
20-28, with discrete levels; here with known error rates, so that the posterior is a finite sum written out below.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from itertools import product

import numpy as np
import pytest

from diag.inference.evidence import Evidence, Finding, Witness
from diag.inference.posterior import belief
from diag.inference.witness import levels_of
from diag.rulebook.model import RuleBook
from tests.inference import naive
from tests.inference.books import book, cause, random_book, sign, told
from tests.inference.test_posterior_words import compiled

PLAIN = Witness((0.7, 0.25, 0.05), (0.005, 0.03, 0.12))
POOR = Witness((0.3, 0.7), (0.01, 0.2))


def by(who: int, finding: Finding, care: float = 1.0) -> Finding:
    """The same answer, told by a witness."""
    return replace(finding, witness=who, care=care)


def slow(rules: RuleBook, findings: Sequence[Finding], witnesses: Sequence[Witness]) -> np.ndarray:
    """P(cause) by adding up every set of causes at every joint level of the witnesses."""
    total = dict.fromkeys(rules.causes, 0.0)
    mass = 0.0
    for levels in product(*(range(len(w.shares)) for w in witnesses)):
        share = math.prod(w.shares[at] for w, at in zip(witnesses, levels, strict=True))
        so = [replace(f, wrong=witnesses[f.witness].slips[levels[f.witness]] * f.care) for f in findings]
        for group, p in naive.prior(rules).items():
            weight = share * p * naive.likelihood(rules, so, group)
            mass += weight
            for name in group:
                total[name] += weight
    return np.array([total[name] / mass for name in rules.causes])


@pytest.mark.parametrize("seed", range(4))
@pytest.mark.parametrize("witnesses", [(PLAIN,), (PLAIN, POOR)])
@pytest.mark.parametrize("invents", [1.0, 0.25])
def test_levels_are_summed_out_exactly(seed: int, witnesses: tuple[Witness, ...], invents: float) -> None:
    """With one witness or two, some questions asked twice, the posterior is that of plain enumeration."""
    rules = random_book(seed, 10, 16, 4)
    rng = np.random.default_rng(seed)
    findings = [
        replace(
            by(int(rng.integers(len(witnesses))), told(f"s{s:03d}", "+-"[int(rng.integers(2))], 0.0)), invents=invents
        )
        for s in rng.choice(16, 9, replace=False)
    ]
    findings.append(by(findings[0].witness, told(findings[0].sign, "-", 0.0), 0.2))
    got = belief(compiled(rules), Evidence(tuple(findings), witnesses=witnesses))
    assert got.marginal == pytest.approx(slow(rules, findings, witnesses), abs=1e-9)
    assert got.levels.sum() == pytest.approx(1.0)


def test_the_evidence_of_a_large_book_needs_no_pair_that_nothing_joins() -> None:
    """Pairs and triples put together from their parts weigh what they weigh when evaluated in full."""
    rules = random_book(3, 40, 30, 3)
    findings = tuple(by(0, told(f"s{n:03d}", "+" if n % 3 else "-", 0.0)) for n in range(8))
    got = belief(compiled(rules), Evidence(findings, witnesses=(Witness((1.0,), (0.02,)),)))
    same = belief(compiled(rules), Evidence(tuple(replace(f, witness=-1, wrong=0.02) for f in findings)))
    assert got.marginal == pytest.approx(same.marginal, abs=1e-12)
    assert got.log_evidence == pytest.approx(same.log_evidence, abs=1e-9)


def strict_book() -> RuleBook:
    """Three causes by name; the first, a tear, shows three signs nearly always, the others one of their own each."""
    rows = {"a-torn": {"a": 0.99, "b": 0.99, "c": 0.99}, "b-stiff": {"d": 0.99}, "c-other": {"e": 0.9}}
    signs = [sign(name, 0.003) for name in "abcde"]
    return book([cause(name, 0.3, shows) for name, shows in rows.items()], signs)


def test_a_contradiction_lowers_trust_instead_of_burying_a_cause() -> None:
    """One answer speaks for a tear and one firmly against it: the witness is doubted, and its cause stays up more."""
    rows = {"a-torn": {"a": 0.99, "b": 0.9999}, "b-stiff": {"c": 0.99}}
    model = compiled(book([cause(name, 0.5, shows) for name, shows in rows.items()], [sign(n, 0.01) for n in "abc"]))
    odd = (told("a", "+", 0.0), told("b", "-", 0.0), told("c", "-", 0.0))
    fits = (told("a", "+", 0.0), told("b", "+", 0.0), told("c", "-", 0.0))
    doubted, fitting = (
        belief(model, Evidence(tuple(by(0, f) for f in said), witnesses=(PLAIN,))) for said in (odd, fits)
    )
    believed = belief(model, Evidence(tuple(replace(f, wrong=PLAIN.slips[0]) for f in odd)))
    assert doubted.slip is not None
    assert fitting.slip is not None
    assert doubted.slip > 1.5 * PLAIN.mean > 1.5 * fitting.slip
    odds = [float(one.marginal[0] / (1.0 - one.marginal[0])) for one in (doubted, believed)]
    assert odds[0] > 1.3 * odds[1]
    assert believed.slip is None


def test_an_answer_taken_back_costs_trust_and_the_second_one_counts() -> None:
    """No, then asked again yes: the sign is believed, and so is that its teller slips."""
    model = compiled(strict_book())
    first = (by(0, told("a", "-", 0.0)), by(0, told("a", "+", 0.0), 0.2))
    again = belief(model, Evidence(first, witnesses=(PLAIN,)))
    only_no = belief(model, Evidence(first[:1], witnesses=(PLAIN,)))
    assert again.marginal[0] > 3.0 * only_no.marginal[0]
    assert again.slip is not None
    assert again.slip > 2.0 * PLAIN.mean


def test_an_answer_in_between_lies_in_between() -> None:
    """Partly moves the belief less than yes, and in the same direction; an even one moves nothing."""
    model = compiled(strict_book())

    def torn(*findings: Finding) -> float:
        return float(belief(model, Evidence(findings)).marginal[0])

    yes, no, before = torn(told("a", "+", 0.02)), torn(told("a", "-", 0.02)), torn()
    partly = torn(replace(told("a", "+", 0.02), answer="partly", between=0.7))
    even = torn(replace(told("a", "+", 0.02), answer="partly", between=0.5))
    assert no < before < partly < yes
    assert even == pytest.approx(before, abs=1e-9)


def test_two_choices_at_once_share_what_one_would_have() -> None:
    """A hose off at one end and kinked at the other speaks for either cause, and for neither alone as much."""
    hose = sign("hose", choices={"sound": 0.9, "off": 0.05, "kinked": 0.05})
    rows = {
        "a-off": {"sound": 0.05, "off": 0.9, "kinked": 0.05},
        "b-kinked": {"sound": 0.05, "off": 0.05, "kinked": 0.9},
    }
    model = compiled(book([cause(n, 0.5, answers={"hose": row}) for n, row in rows.items()], [hose]))
    one = belief(model, Evidence((told("hose", "off", 0.02),)))
    both = belief(model, Evidence((told("hose", "off & kinked", 0.02),)))
    assert both.marginal[0] == pytest.approx(both.marginal[1])
    assert one.marginal[0] > both.marginal[0] > one.marginal[1]


def test_only_those_who_answered_most_are_weighed_jointly() -> None:
    """Three witnesses: two are summed out, the third errs with its mean chance."""
    findings = tuple(by(who, told(name, "+", 0.05)) for who, name in ((0, "a"), (0, "b"), (1, "c"), (1, "d"), (2, "e")))
    levels = levels_of(Evidence(findings, witnesses=(PLAIN, POOR, PLAIN)))
    assert levels.count == len(PLAIN.shares) * len(POOR.shares)
    assert np.exp(levels.log_share).sum() == pytest.approx(1.0)
    assert levels.wrong(findings[-1]) == pytest.approx(np.full(levels.count, 0.05))


def test_a_yes_is_believed_more_than_a_no_and_what_is_unsure_alike() -> None:
    """A slip makes up a quarter as often as it overlooks (mathematics 6); "I think so" is wrong either way."""
    sure = replace(told("a", "+", 0.04), invents=0.25)
    assert sure.sides(0.04) == (pytest.approx(0.96), pytest.approx(0.01))
    assert replace(sure, answer="absent").sides(0.04) == (pytest.approx(0.04), pytest.approx(0.99))
    unsure = replace(sure, own_wrong=0.15)
    assert unsure.sides(0.15) == (pytest.approx(0.85), pytest.approx(0.15))
    assert replace(sure, between=0.6).sides(0.0) == (pytest.approx(0.6), pytest.approx(0.4))
