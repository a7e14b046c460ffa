"""Published Bayes examples, put to the engine as rule books.

An example gives each cause its own independent chance; the engine's likelihood of every set is weighed by those, so
that the published posterior is reproduced to the printed digits.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

import pytest

from diag.inference.evidence import Finding
from diag.inference.prior import elementary, scale_for
from diag.rulebook.model import RuleBook
from tests.inference.books import book, cause, sign, state, told
from tests.reference.test_networks import likelihoods


def posterior(rules: RuleBook, chance: Mapping[str, float], findings: Sequence[Finding]) -> dict[str, float]:
    """P(cause | answers) under independent chances, and "evidence": P(answers)."""
    got = likelihoods(rules, list(findings))
    joint = {g: like * math.prod(p if c in g else 1 - p for c, p in chance.items()) for g, like in got.items()}
    total = math.fsum(joint.values())
    result = {c: math.fsum(w for g, w in joint.items() if c in g) / total for c in chance}
    return result | {"evidence": total}


def compound(p: float, leak: float) -> float:
    """Net link weight when p is the chance of the sign with this one cause and the leak both acting."""
    return 1 - (1 - p) / (1 - leak)


def car_start() -> RuleBook:
    """Jensen & Nielsen 2007, p. 35: no fuel, dirty plugs, the fuel meter and whether it starts."""
    meter = {"full": 0.39, "half": 0.60, "empty": 0.01}
    dry = {"full": 0.001, "half": 0.001, "empty": 0.998}
    return book(
        [
            cause("no-fuel", 0.02, {"no-start": 1.0}, answers={"meter": dry}),
            cause("dirty-plugs", 0.04, {"no-start": compound(0.99, 0.01)}),
        ],
        [sign("no-start", 0.01), sign("meter", choices=meter)],
    )


CAR = {"no-fuel": 0.02, "dirty-plugs": 0.04}


@pytest.mark.parametrize(
    ("meter", "no_fuel", "dirty_plugs", "tolerance"),
    [
        ("", 0.29, 0.58, 5e-3),  # printed
        ("half", 0.001, 0.804, 5e-4),  # printed
        ("", 0.29318635, 0.58062625, 1e-7),  # the rest computed from the printed tables
        ("half", 0.00069086, 0.80434963, 1e-7),
        ("full", 0.00106246, 0.8040654, 1e-7),
        ("empty", 0.97641345, 0.05804083, 1e-7),
    ],
)
def test_car_start_problem(meter: str, no_fuel: float, dirty_plugs: float, tolerance: float) -> None:
    """It does not start: no fuel or dirty plugs, with the fuel meter unread, half, full or empty."""
    findings = [told("no-start", "+")] + ([told("meter", meter)] if meter else [])
    got = posterior(car_start(), CAR, findings)
    assert got["no-fuel"] == pytest.approx(no_fuel, abs=tolerance)
    assert got["dirty-plugs"] == pytest.approx(dirty_plugs, abs=tolerance)


def test_car_start_evidence() -> None:
    """P(it does not start) = .068216 and the chance of a full meter .38222 (computed from the printed tables)."""
    assert posterior(car_start(), CAR, [told("no-start", "+")])["evidence"] == pytest.approx(0.068216, abs=1e-9)
    assert posterior(car_start(), CAR, [told("meter", "full")])["evidence"] == pytest.approx(0.38222, abs=1e-9)


@pytest.mark.parametrize(("sensitivity", "expected"), [(0.792, 0.07692), (0.80, 0.07764)])
def test_mammography(sensitivity: float, expected: float) -> None:
    """Eddy 1982 as retold (1 %, 79.2 % or 80 %, 9.6 %; from memory): about 7.7 % and 7.8 %, not 75 %."""
    rules = book([cause("cancer", 0.01, {"seen": compound(sensitivity, 0.096)})], [sign("seen", 0.096)])
    assert posterior(rules, {"cancer": 0.01}, [told("seen", "+")])["cancer"] == pytest.approx(expected, abs=1e-5)


def test_four_node_chain() -> None:
    """AIPython's unit test: A .6; B|A .8/.1; C|B .7/.4; D|C .25/.9; P(B | D) = .429632380245, P(D) = .5386.

    B is the cause, C a hidden state, and the sign is that D is missing.
    """
    chance = {"b": 0.6 * 0.8 + 0.4 * 0.1}
    rules = book(
        [cause("b", 0.5, {"c": compound(0.7, 0.4)})],
        [sign("no-d", 0.1)],
        [state("c", 0.4, {"no-d": compound(0.75, 0.1)})],
    )
    got = posterior(rules, chance, [told("no-d", "-")])
    assert got["b"] == pytest.approx(0.429632380245, abs=1e-12)
    assert got["evidence"] == pytest.approx(0.5386, abs=1e-12)


def test_chest_clinic_film() -> None:
    """Lauritzen & Spiegelhalter 1988 (tables from memory): a positive film alone: tub .092411, lung .488711.

    Nobody said anything of smoking or Asia, so both chances are the averages .0104 and .055; P(film) = .11029.
    """
    chance = {"tub": 0.0104, "lung": 0.055}
    causes = [cause(name, 0.1, {"either": 1.0}) for name in chance]
    rules = book(causes, [sign("film", 0.05)], [state("either", 1e-15, {"film": compound(0.98, 0.05)})])
    got = posterior(rules, chance, [told("film", "+")])
    assert got["tub"] == pytest.approx(0.092411, abs=1e-6)
    assert got["lung"] == pytest.approx(0.488711, abs=1e-6)
    assert got["evidence"] == pytest.approx(0.11029004, abs=1e-8)


def test_odds_form() -> None:
    """Prior .05, likelihood ratio 6 gives .24, then ratio .25 gives .073171 (odds arithmetic by hand)."""
    links = {"s": compound(0.6, 0.1), "t": compound(0.85, 0.4)}
    rules = book([cause("x", 0.05, links)], [sign("s", 0.1), sign("t", 0.4)])
    first = posterior(rules, {"x": 0.05}, [told("s", "+")])
    both = posterior(rules, {"x": 0.05}, [told("s", "+"), told("t", "-")])
    assert first["x"] == pytest.approx(0.24, abs=1e-12)
    assert both["x"] == pytest.approx(0.0731707317, abs=1e-9)


def test_an_unsure_answer_is_virtual_evidence() -> None:
    """An answer wrong with chance w multiplies by 1 - w and w (Pearl 1988, virtual evidence; worked by hand)."""
    rules = book([cause("x", 0.1, {"s": compound(0.9, 0.2)})], [sign("s", 0.2)])
    got = posterior(rules, {"x": 0.1}, [told("s", "+", 0.15)])
    with_x, without = 0.9 * 0.85 + 0.1 * 0.15, 0.2 * 0.85 + 0.8 * 0.15
    assert got["x"] == pytest.approx(0.1 * with_x / (0.1 * with_x + 0.9 * without), abs=1e-12)


def test_symmetric_sums() -> None:
    """Newton's identities on 1, 2, 3, 4: 10, 35, 50 (textbook); and the scale gives the wanted share of doubles."""
    import numpy as np

    odds = np.array([1.0, 2.0, 3.0, 4.0])
    assert elementary(odds) == pytest.approx((10.0, 35.0, 50.0))
    scale = scale_for(odds, 0.08)
    e1, e2, e3 = elementary(scale * odds)
    assert (e2 + e3) / (e1 + e2 + e3) == pytest.approx(0.08, abs=1e-12)
