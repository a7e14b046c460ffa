"""The scores of the trial against published worked examples."""

from __future__ import annotations

import math

import numpy as np
import pytest

from diag.evaluation.scores import bootstrap, brier, calibration_error


def test_brier_of_the_documented_two_class_example() -> None:
    """scikit-learn user guide, Brier score loss: y = 0, 1, 1, 0 and p = .1, .9, .8, .3 give .0375."""
    assert brier([0.1, 0.9, 0.8, 0.3], [0, 1, 1, 0]) == pytest.approx(0.0375, abs=1e-12)


def test_brier_of_one_forecast() -> None:
    """Brier 1950, Monthly Weather Review 78:1-3, by its definition: p = .7 scores .09 when true and .49 when not."""
    assert brier([0.7], [1]) == pytest.approx(0.09)
    assert brier([0.7], [0]) == pytest.approx(0.49)


def test_calibration_error_by_hand() -> None:
    """Naeini et al. 2015 definition worked by hand: .95, .85, .85, .6, .55 with 1, 1, 0, 1, 0 in ten bins is .18."""
    chances, right = [0.95, 0.85, 0.85, 0.6, 0.55], [1, 1, 0, 1, 0]
    # Bins: (.9,1] gap .05 of 1; (.8,.9] said .85 was .5, gap .35 of 2; (.5,.6] said .575 was .5, gap .075 of 2.
    assert calibration_error(chances, right, bins=10) == pytest.approx((0.05 + 0.7 + 0.15) / 5)
    assert brier(chances, right) == pytest.approx(0.242)


def test_bootstrap_agrees_with_the_normal_interval_of_a_mean() -> None:
    """Efron 1979: for a mean of many values the percentile interval is the normal one, mean plus or minus 1.96 s."""
    values = np.random.default_rng(5).normal(10.0, 2.0, 400)
    found = bootstrap(400, lambda rows: float(values[rows].mean()))
    half = 1.96 * values.std() / math.sqrt(400)
    assert found.value == pytest.approx(values.mean())
    assert found.low == pytest.approx(values.mean() - half, abs=0.15 * half)
    assert found.high == pytest.approx(values.mean() + half, abs=0.15 * half)
