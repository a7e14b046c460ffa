"""Mixture and trim told as numbers, and figures told roughly, against usual targets (common practice, no source)."""

from __future__ import annotations

import pytest

from diag.hearing.figures import figures_in, with_digits
from diag.hearing.mixture import mixtures


def signs(text: str) -> list[str]:
    """The first finding of each number of mixture or trim."""
    return [made.signs[0] if made.signs else "" for made in mixtures(with_digits(text))]


@pytest.mark.parametrize(
    ("said", "meant"),
    [
        ("lambda is one point one at idle", ["runs-lean"]),
        ("it idles at point eight five lambda", ["rich-at-idle"]),
        ("wideband says 0.86 at full throttle", [""]),
        ("wideband says point nine nine at full throttle", ["lean-readings"]),
        ("AFR is 16.2 under boost", ["lean-in-boost"]),
        ("AFR sits at 14.7 cruising", [""]),
        ("fuel trims are plus eighteen percent", ["trims-positive"]),
        ("short terms pulling twelve percent out", ["trims-negative"]),
        ("long term minus fourteen", ["trims-negative"]),
        ("trims within three percent", ["!trims-positive"]),
        ("42 psi at idle", []),
    ],
)
def test_a_number_means_what_it_means_at_that_load(said: str, meant: list[str]) -> None:
    """Lambda 0.99 is lean at full load and nothing at idle."""
    assert signs(said) == meant


@pytest.mark.parametrize(
    ("said", "typed"),
    [
        ("fifty odd psi at idle", "about 50 psi"),
        ("a tad over three bar with the hose off", "just over 3 bar"),
        ("just shy of 40 psi at idle", "just under 40 psi"),
        ("it reads fifty-ish psi", "about 50 psi"),
        ("mid thirties psi at idle", "about 35 psi"),
        ("two point nine bar with the pipe off", "2.9 bar"),
    ],
)
def test_rough_figures_are_read(said: str, typed: str) -> None:
    """The figure as it would be typed."""
    assert [figure.typed for figure in figures_in(with_digits(said))] == [typed]
