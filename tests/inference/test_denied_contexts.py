"""A context that is told not to hold speaks against what comes of it, held against the plain enumeration."""

from __future__ import annotations

import numpy as np
import pytest

from diag.inference.prior import LEFT, Prior, Sizing, prior_of, usual_contexts
from diag.rulebook.basis import Basis
from diag.rulebook.causes import Frequency
from diag.rulebook.load import load_book
from diag.rulebook.model import Context, RuleBook
from diag.rulebook.where import rules_folder
from tests.inference import naive
from tests.inference.books import book, cause


def built() -> RuleBook:
    """Seven causes: of lines, of wiring, of either, of neither, one against a context, one that seldom comes else."""
    often = {"lines": 0.08, "wiring": 0.06, "filter": 0.05}
    contexts = [
        Context(name, name, "?", how_often=Frequency(share, "", Basis("judgement", "test data")))
        for name, share in often.items()
    ]
    causes = [
        cause("fitting", 0.02, likelier={"lines": 8.0, "filter": 2.0}),
        cause("wire", 0.03, likelier={"wiring": 5.0}),
        cause("either", 0.01, likelier={"lines": 2.0, "wiring": 3.0, "unsaid": 4.0}),
        cause("worn", 0.2),
        cause("clogged", 0.1, likelier={"filter": 0.15, "lines": 1.5}),
        cause("backwards", 0.005, likelier={"filter": 15.0, "lines": 4.0}),
        cause("hose", 0.04, likelier={"lines": 2.5}),
    ]
    return book(causes, contexts=[*contexts, Context("unsaid", "unsaid", "?")])


def made(rules: RuleBook, contexts: dict[str, bool]) -> Prior:
    """The prior in these contexts."""
    return prior_of(rules.causes, rules.knobs, contexts, Sizing(), usual_contexts(rules))


@pytest.mark.parametrize("denied", [(), ("lines",), ("wiring",), ("lines", "wiring"), ("lines", "wiring", "filter")])
def test_sets_weigh_what_the_enumeration_says(denied: tuple[str, ...]) -> None:
    """Every set of up to three causes, with the contexts denied one by one and together."""
    rules = built()
    fast = made(rules, dict.fromkeys(denied, False))
    names = list(rules.causes)
    for group, expected in naive.prior(rules, denied=frozenset(denied)).items():
        if group:
            at = [names.index(name) for name in group]
            assert np.exp(fast.log_some + fast.log_odds[at].sum()) == pytest.approx(expected, rel=1e-9)


def test_what_is_not_known_or_has_no_share_changes_nothing() -> None:
    """A context that nobody spoke of, and one of which the book does not say how often it holds."""
    rules = built()
    assert made(rules, {}).log_odds == pytest.approx(made(rules, {"unsaid": False}).log_odds)


def test_one_reason_told_is_enough() -> None:
    """Where lines were made, it takes nothing from the fitting that no filter was changed."""
    rules = built()
    at = list(rules.causes).index("fitting")
    with_both, with_one = made(rules, {"lines": True, "filter": False}), made(rules, {"lines": True})
    ratio = with_both.log_odds[at] - with_one.log_odds[at]
    elsewhere = list(rules.causes).index("worn")
    assert ratio == pytest.approx(with_both.log_odds[elsewhere] - with_one.log_odds[elsewhere])


def test_faults_of_new_builds_fall_behind_those_of_age_in_the_shipped_book() -> None:
    """Nothing was worked on, and it ran well like this: a mismatched fitting no longer leads a joint that leaks.

    Common practice, no source.
    """
    rules = load_book(rules_folder())
    names = list(rules.causes)
    untouched = dict.fromkeys(
        ("just-plumbed", "just-rebuilt", "regulator-just-fitted", "never-worked-since-build"), False
    )
    before, after = made(rules, {}), made(rules, untouched)
    moved = dict(zip(names, np.exp(after.log_odds - before.log_odds), strict=True))
    for fresh in ("wrong-seal-pairing", "wrong-spring-fitted", "returnless-regulator", "ports-swapped"):
        assert moved[fresh] < 0.6 * moved["pump-worn"]
    assert moved["diaphragm-torn"] == pytest.approx(moved["pump-worn"])


def test_no_context_comes_oftener_with_a_cause_than_always() -> None:
    """Share times factor stays below one for every cause, so that each figure can be meant as it is written."""
    rules = load_book(rules_folder())
    usual = usual_contexts(rules)
    for found in rules.causes.values():
        for name, factor in found.more_likely_when.items():
            assert factor * usual.get(name, 0.0) <= 1.0 - LEFT / 2, (found.id, name)
