"""The density of readings, held against dense Gaussian algebra and numerical integration."""

from __future__ import annotations

from itertools import combinations

import numpy as np
import pytest

from diag.inference.readings.density import Measured, log_density, log_single, normal_below

stats = pytest.importorskip("scipy.stats")


def measured(values: list[float], bound: str = "", group: str = "main") -> list[Measured]:
    return [Measured(v, 1.5 + 0.1 * at, 8.0, 1.0, bound, ("gauge", group, 0)) for at, v in enumerate(values)]


def dense(predicted: np.ndarray, told: list[Measured], chance: float) -> float:
    """Sum over patterns of at most two misreads of a full-covariance normal density (scipy)."""
    total = 0.0
    count = len(told)
    for size in range(min(2, count) + 1):
        for pattern in combinations(range(count), size):
            variance = [m.spread**2 + (m.misread**2 if at in pattern else 0.0) for at, m in enumerate(told)]
            covariance = np.diag(variance) + np.full((count, count), told[0].offset ** 2)
            weight = chance**size * (1 - chance) ** (count - size)
            values = np.array([m.value for m in told])
            total += weight * stats.multivariate_normal.pdf(values, predicted, covariance)
    return float(np.log(total))


@pytest.mark.parametrize("count", [1, 2, 3, 5])
def test_shared_offset_is_integrated_exactly(count: int) -> None:
    """Rank-one sums equal the multivariate normal of scipy with the full covariance matrix."""
    rng = np.random.default_rng(count)
    told = measured(list(rng.normal(40, 3, count)))
    predicted = rng.normal(40, 3, (4, count))
    got = log_density(predicted, told, 0.03)
    assert got == pytest.approx([dense(row, told, 0.03) for row in predicted], abs=1e-9)


def test_two_gauges_do_not_share_an_offset() -> None:
    """Readings in different groups multiply."""
    one, other = measured([41.0]), measured([39.0], group="second")
    predicted = np.array([[40.0, 40.5]])
    both = log_density(predicted, [*one, *other], 0.03)
    apart = log_density(predicted[:, :1], one, 0.03) + log_density(predicted[:, 1:], other, 0.03)
    assert both == pytest.approx(apart, abs=1e-12)


def test_single_density_integrates_to_one() -> None:
    """The density of one reading over all values is one, misreads included."""
    grid = np.linspace(-60, 140, 20001)
    shown = [Measured(v, 1.6, 8.0, 1.0, "", ("g", "m", 0)) for v in grid]
    density = [np.exp(log_single(np.array([40.0]), one, 0.03))[0] for one in shown]
    assert np.trapezoid(density, grid) == pytest.approx(1.0, abs=1e-6)


def test_one_wild_reading_costs_a_bounded_amount() -> None:
    """Among three good readings one that is 15 off costs about what a misread costs, not fifty nats."""
    told = measured([40.0, 40.2, 39.8, 55.0])
    truth = np.full((1, 4), 40.0)
    fine = log_density(np.array([[40.0, 40.0, 40.0, 55.0]]), told, 0.03)
    assert 4.0 < float((fine - log_density(truth, told, 0.03))[0]) < 9.0


def test_bounds_use_the_tail() -> None:
    """A pegged gauge has the probability that the value lies beyond, with a floor for misreads."""
    told = [Measured(60.0, 1.6, 8.0, 1.0, "above", ("g", "m", 0))]
    predicted = np.array([[70.0], [60.0], [40.0]])
    expected = 0.97 * stats.norm.cdf((predicted[:, 0] - 60.0) / np.hypot(1.6, 1.0)) + 0.015
    assert np.exp(log_density(predicted, told, 0.03)) == pytest.approx(expected, abs=1e-6)


def test_normal_distribution_function() -> None:
    """The approximation is that of scipy to 1e-7 (Abramowitz & Stegun 26.2.17 promises 7.5e-8)."""
    z = np.linspace(-8, 8, 1001)
    assert np.abs(normal_below(z) - stats.norm.cdf(z)).max() < 1e-7
