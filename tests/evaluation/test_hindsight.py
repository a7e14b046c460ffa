"""Looking back at closed jobs."""

from __future__ import annotations

import math
import random
from dataclasses import replace

import pytest
from scipy import stats

from diag.evaluation.hindsight import calibration, prediction, seen, wilson
from diag.inference.posterior import NOTHING_WRONG
from tests.evaluation.jobs import closed, small_book
from tests.presentation.report.jobs import the_book


def test_intervals_are_wilson_score_intervals() -> None:
    """Against scipy.stats.binomtest(...).proportion_ci(method="wilson")."""
    for hits, n in [(0, 10), (3, 10), (10, 10), (250, 1000)]:
        expected = stats.binomtest(hits, n).proportion_ci(method="wilson")
        assert wilson(hits, n) == pytest.approx((expected.low, expected.high), abs=1e-9)
    assert wilson(0, 0) == (0.0, 1.0)


def _jobs(honest: bool) -> list:  # type: ignore[type-arg]
    """Jobs whose cause is drawn from the ranking that was written; the boaster writes it sharper than it is."""
    rng = random.Random(3)
    jobs = []
    for number in range(4000):
        weights = [rng.gammavariate(0.7, 1.0) for _ in "abcd"]
        true = {c: w / sum(weights) for c, w in zip("abcd", weights, strict=True)}
        sharp = {c: p**3 for c, p in true.items()}
        said = true if honest else {c: p / sum(sharp.values()) for c, p in sharp.items()}
        cause = rng.choices(list(true), list(true.values()))[0]
        jobs.append(closed(number, cause, believed=((0, said),)))
    return jobs


def test_honest_predictions_are_found_calibrated_and_boasting_ones_not() -> None:
    """Draws from known chances: nearly every bin holds its mean; a sharpened ranking misses by more."""
    honest, boast = calibration(_jobs(True), small_book()), calibration(_jobs(False), small_book())
    assert honest.jobs == 4000
    inside = [b.from_share <= b.said <= b.to_share for b in honest.bins]
    assert sum(inside) >= len(inside) - 2
    assert honest.miss < 0.02
    assert boast.miss > 2 * honest.miss
    assert boast.log_loss > honest.log_loss


def test_only_proven_jobs_and_only_rankings_from_before_the_remedy_count() -> None:
    """A ranking written after the cure knows the answer."""
    book = the_book()
    cause = next(iter(book.causes))
    remedy = book.causes[cause].remedies[0]
    early, late = {cause: 0.3}, {cause: 0.99}
    record = closed(1, cause, steps=(("x", None), (remedy, 30.0)), believed=((1, early), (2, late)))
    assert prediction(record, book) == early
    assert calibration([replace(record, proven=False)], book).jobs == 0
    assert calibration([replace(record, believed=((2, late),))], book).jobs == 0
    found = calibration([record], book)
    assert (found.jobs, found.first_right) == (1, 1.0)
    assert found.brier == pytest.approx(0.49)
    assert found.log_loss == pytest.approx(-math.log(0.3))


def test_normal_behaviour_counts_as_its_own_truth() -> None:
    """Nothing wrong, proven, was right when the ranking led with it."""
    record = closed(1, result="normal", believed=((0, {NOTHING_WRONG: 0.7, "a": 0.3}),))
    assert calibration([record], small_book()).first_right == 1.0


def test_a_desk_without_jobs_has_no_figures() -> None:
    """No division by nothing."""
    found = calibration([], small_book())
    assert found.jobs == 0
    assert math.isnan(found.miss)
    assert found.bins == ()


def test_what_the_desk_sees_most() -> None:
    """Causes with how many were proven, outcomes, and steps with their median minutes."""
    jobs = [
        closed(1, "a", steps=(("look-over", 4.0), ("base", None))),
        closed(2, "a", proven=False, steps=(("look-over", 8.0),)),
        closed(3, "b", status="open", result=""),
    ]
    found = seen(jobs)
    assert found.jobs == 3
    assert found.causes == (("a", 2, 1), ("b", 1, 1))
    assert found.statuses == (("closed", 2), ("open", 1))
    assert found.steps[0] == ("look-over", 2, 6.0)
    assert math.isnan(found.steps[1][2])
