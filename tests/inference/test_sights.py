"""Signs that the physics decides: soft lines, several conditions, and reports of one quantity that go together."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from scipy.stats import multivariate_normal, norm

from diag.fuelsystem.car import car_from_texts
from diag.inference.evidence import Evidence, Finding
from diag.inference.model import Model, compile_model
from diag.inference.posterior import belief
from diag.inference.readings.sights import SHARED, needs, told_chance
from diag.rulebook.findings import Condition, Sign
from diag.rulebook.load import load_book
from diag.rulebook.where import rules_folder
from tests.inference.books import sign

RICH = Condition("mixture error", "idle", "above", "zero", 0.15, spread=0.05)
FALLS = Condition("rail pressure", "hot", "below", "zero", -3e4, less_point="cold")
DULL = np.linspace(-6.0, 6.0, 4001)
WEIGHT = norm.pdf(DULL) / norm.pdf(DULL).sum()


IDLES = {("idle", "idles"): np.ones(1)}


def seen(*conditions: Condition, joined: str = "all", right: float = 0.9, wrongly: float = 0.02) -> Sign:
    """A sign with these conditions."""
    return replace(
        sign("s"),
        seen_when=conditions[0],
        seen_also=conditions[1:],
        joined=joined,  # type: ignore[arg-type]
        told_right=right,
        told_wrongly=wrongly,
    )


@pytest.mark.parametrize("mixture", [0.0, 0.1, 0.15, 0.22, 0.4])
def test_over_all_tellers_the_line_is_a_normal_curve(mixture: float) -> None:
    """Averaged over dullness, met is Phi((value - limit) / spread): a probit keeps its form (scipy's normal)."""
    values = {**IDLES, ("idle", "mixture error"): np.full(len(DULL), mixture)}
    average = float(told_chance(seen(RICH, right=1.0, wrongly=0.0), values, np.zeros(1), DULL) @ WEIGHT)
    assert average == pytest.approx(norm.cdf((mixture - 0.15) / 0.05), abs=1e-4)


def test_two_reports_of_one_quantity_go_together_like_a_bivariate_normal() -> None:
    """Both told: the orthant of two normals with correlation ``SHARED`` (scipy), more than the product of the two."""
    values = {**IDLES, ("idle", "mixture error"): np.full(len(DULL), 0.17)}
    one = told_chance(seen(RICH, right=1.0, wrongly=0.0), values, np.zeros(1), DULL)
    z = (0.17 - 0.15) / 0.05
    both = multivariate_normal([0.0, 0.0], [[1.0, SHARED], [SHARED, 1.0]]).cdf([z, z])
    assert float((one * one) @ WEIGHT) == pytest.approx(both, abs=1e-3)
    assert float((one * one) @ WEIGHT) > float(one @ WEIGHT) ** 2 + 0.05


def test_a_sharp_line_is_as_before() -> None:
    """Without a spread the condition holds or not."""
    sharp = replace(RICH, spread=0.0)
    values = {**IDLES, ("idle", "mixture error"): np.array([0.1, 0.2])}
    assert told_chance(seen(sharp), values, np.zeros(2), np.array([3.0, -3.0])) == pytest.approx([0.02, 0.9])


def test_the_difference_between_two_points_is_compared() -> None:
    """``less_point`` takes the same reading there away."""
    assert needs(seen(FALLS)) == [("cold", "rail pressure"), ("hot", "rail pressure")]
    values = {("hot", "rail pressure"): np.array([2.5e5, 2.9e5]), ("cold", "rail pressure"): np.array([3e5, 3e5])}
    assert told_chance(seen(FALLS), values, np.zeros(2), np.zeros(2)) == pytest.approx([0.9, 0.02])


def test_nobody_tells_how_an_engine_runs_that_does_not() -> None:
    """Of an engine that cannot idle a mixture is told by mistake only."""
    values = {("idle", "idles"): np.array([0.0, 1.0]), ("idle", "mixture error"): np.array([0.9, 0.9])}
    assert told_chance(seen(RICH), values, np.zeros(2), np.zeros(2)) == pytest.approx([0.02, 0.9])


def test_all_and_any() -> None:
    """With sharp lines they are and and or."""
    rich, falls = replace(RICH, spread=0.0), FALLS
    values = {
        **IDLES,
        ("idle", "mixture error"): np.array([0.2, 0.2, 0.0, 0.0]),
        ("hot", "rail pressure"): np.array([2e5, 3e5, 2e5, 3e5]),
        ("cold", "rail pressure"): np.full(4, 3e5),
    }
    for joined, expected in (("all", [0.9, 0.02, 0.02, 0.02]), ("any", [0.9, 0.9, 0.9, 0.02])):
        assert told_chance(seen(rich, falls, joined=joined), values, np.zeros(4), np.zeros(4)) == pytest.approx(
            expected
        )


# ---------------------------------------------------------------- the shipped book


@pytest.fixture(scope="module")
def model() -> Model:
    """The shipped book for a car whose target and fuel are told."""
    told_of_car = {"target-pressure": "43.5 psi", "fuel": "petrol"}
    return compile_model(load_book(rules_folder()), car_from_texts(told_of_car))


def told(*names: str, absent: bool = False) -> Evidence:
    """These signs told one after the other."""
    answer = "absent" if absent else "present"
    return Evidence(tuple(Finding(name, answer, 0.005, 0, n) for n, name in enumerate(names, 1)))


def odds(model: Model, evidence: Evidence, cause: str) -> float:
    """Log odds of a cause."""
    p = float(belief(model, evidence).marginal[model.index[cause]])
    return float(np.log(p / (1.0 - p)))


def test_smell_soot_and_smoke_are_no_three_witnesses(model: Model) -> None:
    """What the second and third report of one mixture add is less than half of what the first did."""
    cause = "diaphragm-torn"
    start = odds(model, Evidence(), cause)
    first = odds(model, told("smells-rich"), cause) - start
    third = odds(model, told("smells-rich", "black-plugs", "runs-rich"), cause) - start
    assert first > 0.3
    assert third < 2.0 * max(first, odds(model, told("black-plugs"), cause) - start)


@pytest.mark.parametrize(
    ("signs", "speaks_for", "against"),
    [
        # starving the rail: every cause of it, whoever wrote it down (fault tables of the trade)
        ("lean-readings flat-at-full-load", "pump-worn filter-clogged feed-hose-kinked", "base-set-too-high"),
        ("smells-rich trims-negative", "base-set-too-high diaphragm-torn return-kinked-or-blocked", "pump-worn"),
        ("long-crank-hot", "pump-check-valve-leaks seat-dirty-or-nicked injector-drips vapour-in-feed", "pump-worn"),
        ("fades-after-minutes cap-loose-cures", "vent-blocked", "pump-worn"),
        ("collapses-after-seconds", "surge-pot-empties", "filter-clogged"),
        ("lean-in-boost", "reference-leaks-on-boost pump-too-small reference-hose-off", "purge-valve-open"),
        ("misfires lean-readings", "ignition-misfire", "base-set-too-high"),
        ("trims-positive fast-idle", "intake-leak", "temperature-sensor-error"),
        ("no-start", "pump-dead pump-fuse-blown no-spark-fault crank-signal-lost", "base-set-too-high"),
    ],
)  # fmt: skip
def test_what_is_felt_speaks_for_all_that_bring_it_about(
    model: Model, signs: str, speaks_for: str, against: str
) -> None:
    """No list by hand: each of these causes gains on the one that cannot do it."""
    before, after = Evidence(), told(*signs.split())
    for cause in speaks_for.split():
        gained = odds(model, after, cause) - odds(model, before, cause)
        assert gained > odds(model, after, against) - odds(model, before, against) + 0.5, cause


def test_a_sound_report_speaks_against(model: Model) -> None:
    """Pulls well and reads right at the top: starving causes fall."""
    for cause in ("pump-worn", "pump-too-small"):
        assert odds(model, told("flat-at-full-load", "lean-readings", absent=True), cause) < odds(
            model, Evidence(), cause
        )
