"""Robust lines against a statistics library (scipy.stats: theilslopes, siegelslopes, median_abs_deviation)."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import stats

from diag.datalog.robust import repeated_medians, robust_line, spread


def cloud(seed: int) -> tuple[np.ndarray, np.ndarray]:
    """Points with ties in x, noise and a tenth of wild ones."""
    rng = np.random.default_rng(seed)
    count = int(rng.integers(5, 120))
    x = np.round(rng.uniform(-70, 100, count), int(rng.integers(0, 3)))
    y = rng.uniform(-2, 2) * x + rng.normal(40, 1, count)
    wild = rng.random(count) < 0.1
    return x, np.where(wild, rng.uniform(0, 150, count), y)


@pytest.mark.parametrize("seed", range(40))
def test_theil_sen_agrees_with_the_library(seed: int) -> None:
    """Slope and value at nothing, with ties and wild points."""
    x, y = cloud(seed)
    theirs = stats.theilslopes(y, x, method="joint")
    line = robust_line(x, y)
    assert line.slope.value == pytest.approx(theirs.slope, abs=1e-10)
    assert line.at_zero.value == pytest.approx(theirs.intercept, abs=1e-9)


@pytest.mark.parametrize("seed", range(40))
def test_repeated_medians_agree_with_the_library(seed: int) -> None:
    """Siegel's slope; the library takes the value at nothing from medians of pairs or of what is left alike."""
    x, y = cloud(seed)
    if len(np.unique(x)) < len(x):
        x = x + np.arange(len(x)) * 1e-7  # the library counts ties in another way
    theirs = stats.siegelslopes(y, x, method="separate")
    slope, at_zero = repeated_medians(x, y)
    assert slope == pytest.approx(theirs.slope, rel=1e-6, abs=1e-7)
    assert at_zero == pytest.approx(np.median(y - theirs.slope * x), abs=1e-6)


@pytest.mark.parametrize("seed", range(20))
def test_the_robust_scatter_agrees_with_the_library(seed: int) -> None:
    """Median distance from the median, scaled to a normal distribution; 1.4826 is the usual rounded factor."""
    _, y = cloud(seed)
    assert spread(y) == pytest.approx(stats.median_abs_deviation(y, scale="normal"), rel=1e-4)


def test_the_bootstrap_error_is_that_of_the_library_s_interval() -> None:
    """For independent points the library's own interval (Sen 1968) is as wide as ours."""
    ratios = []
    for seed in range(30):
        rng = np.random.default_rng(seed)
        x = rng.uniform(-60, 90, 150)
        y = 1.0 * x + 43.5 + rng.normal(0, 2, 150)
        theirs = stats.theilslopes(y, x, alpha=0.95)
        ours = robust_line(x, y).slope
        ratios.append((ours.high - ours.low) / (theirs.high_slope - theirs.low_slope))
    assert 0.9 < float(np.median(ratios)) < 1.1
