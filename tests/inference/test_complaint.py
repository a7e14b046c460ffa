"""A job begins with one thing told among all that are there: weighed against every way it could have been told."""

from __future__ import annotations

from dataclasses import replace
from itertools import product

import pytest

from diag.casework.entries import Case, SignAnswer
from diag.casework.evidence_of import told_by
from diag.inference.evidence import Evidence
from diag.inference.model import compile_model
from diag.inference.posterior import belief
from diag.rulebook.findings import ABSENT, PRESENT
from diag.rulebook.model import RuleBook
from tests.inference.books import book, cause, knobs, sign, told
from tests.inference.test_posterior_words import NoCar

SYMPTOMS = [f"s{n}" for n in range(8)]
MANY = dict.fromkeys(SYMPTOMS[:5], 0.6)
ONE = {"s0": 0.6}
CHANCE = 0.05


def rules() -> RuleBook:
    """One cause with five symptoms and one with a single symptom, equally common."""
    signs = [sign(name, CHANCE, symptom=True) for name in SYMPTOMS]
    return book([cause("many", 0.5, MANY), cause("one", 0.5, ONE)], signs, figures=knobs(two_or_more=1e-6))


def told_at_random(shows: dict[str, float]) -> float:
    """Chance that "s0" is told when one of the symptoms that are there is told at random, by full enumeration."""
    there = [1.0 - (1.0 - CHANCE) * (1.0 - shows.get(name, 0.0)) for name in SYMPTOMS]
    total = 0.0
    for present in product((0, 1), repeat=len(SYMPTOMS)):
        chance = 1.0
        for is_there, p in zip(present, there, strict=True):
            chance *= p if is_there else 1.0 - p
        total += chance * present[0] / max(sum(present), 1)
    return total


def ratio(evidence: Evidence) -> float:
    """How much likelier the cause with many symptoms is than the other one."""
    found = dict(belief(compile_model(rules(), NoCar()), evidence).ranked())  # type: ignore[arg-type]
    return found["many"] / found["one"]


def test_a_complaint_counts_less_for_a_cause_with_many_symptoms() -> None:
    """As the enumeration says; without it both causes, which show "s0" equally often, would stand alike."""
    brought = replace(told("s0", "+"), volunteered=True)
    exact = told_at_random(MANY) / told_at_random(ONE)
    assert exact < 0.6
    assert ratio(Evidence((brought,))) == pytest.approx(exact, rel=0.005)
    assert ratio(Evidence((told("s0", "+"),))) == pytest.approx(1.0, abs=0.01)


def test_without_the_complaint_its_choice_says_nothing() -> None:
    """Taking the only complaint back leaves the plain prior."""
    brought = replace(told("s0", "+", entry=3), volunteered=True)
    assert ratio(Evidence((brought,)).without_entry(3)) == pytest.approx(1.0, abs=0.01)


def test_what_is_brought_along_is_a_complaint_and_what_is_asked_is_not() -> None:
    """A symptom told without a check; an answer to a check, a denial and a sign that is no symptom are none."""
    when = "2026-11-25T09:00:00Z"

    def entry(number: int, name: str, answer: str = PRESENT, check: str = "") -> SignAnswer:
        return SignAnswer(number, when, "wren", name, answer, check=check)

    with_other = replace(rules(), signs={**rules().signs, "plain": sign("plain")})
    entries = (entry(1, "s0"), entry(2, "s1", check="ask"), entry(3, "s2", ABSENT), entry(4, "plain"))
    found = told_by(Case("wren", "Wren", when, "1", "f", entries=entries), with_other).evidence
    assert [f.sign for f in found.findings if f.volunteered] == ["s0"]
    asked_again = told_by(Case("wren", "Wren", when, "1", "f", entries=(entry(1, "s0"), entry(2, "s0", check="ask"))),
                          with_other).evidence  # fmt: skip
    assert asked_again.complaint == "s0"
