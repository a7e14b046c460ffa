"""The debrief's measure of information against the submarine game of a textbook.

Source: D. J. C. MacKay, Information Theory, Inference, and Learning Algorithms (Cambridge, 2003), chapter 4, "the game
of submarine": one submarine in 64 squares; a first miss tells 0.0227 bits, 32 misses together 1.0 bit, 48 misses
2.0 bits, and the hit, whenever it comes, brings the sum to 6.0 bits. Figures from memory of that chapter.
"""

from __future__ import annotations

import pytest

from diag.practice.debrief import bits


def after_misses(count: int) -> float:
    """The chance of the true square after so many misses."""
    return 1.0 / (64 - count)


def test_a_first_miss_tells_little() -> None:
    """log2(64/63)."""
    assert bits(1 / 64, after_misses(1)) == pytest.approx(0.0227, abs=5e-5)


@pytest.mark.parametrize(("misses", "total"), [(32, 1.0), (48, 2.0)])
def test_misses_add_up(misses: int, total: float) -> None:
    """The sum over single shots is what all of them tell together."""
    shots = [bits(after_misses(n), after_misses(n + 1)) for n in range(misses)]
    assert sum(shots) == pytest.approx(total)


@pytest.mark.parametrize("misses", [0, 10, 48, 63])
def test_the_hit_completes_six_bits(misses: int) -> None:
    """Whenever the submarine is found, all information together is log2(64)."""
    told = sum(bits(after_misses(n), after_misses(n + 1)) for n in range(misses))
    assert told + bits(after_misses(misses), 1.0) == pytest.approx(6.0)
