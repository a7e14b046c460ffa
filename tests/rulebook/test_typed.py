"""Values typed for what the book measures, and shown as the instrument shows them."""

from __future__ import annotations

import pytest

from diag.inference.bins import bin_labels
from diag.rulebook.typed import read_typed, shown_as_read
from tests.ui.plain.person import the_book

INHG = 3386.389  # Pa, NIST SP 811 (conventional inch of mercury)


@pytest.mark.parametrize(
    ("text", "inches"),
    [("17.5 inHg", -17.5), ("17.5 in", -17.5), ('17.5"', -17.5), ("17.5 inHg vacuum", -17.5), ("-17.5 inHg", -17.5)],
)
def test_inches_of_mercury_on_a_vacuum_gauge_are_a_vacuum(text: str, inches: float) -> None:
    """At the regulator's nipple a vacuum and boost gauge is read; what it shows in inches is below the atmosphere."""
    kind = the_book().readings["reference pressure"]
    assert read_typed(text, kind, "psi").value == pytest.approx(inches * INHG, rel=1e-4)
    assert shown_as_read(inches * INHG, kind, "psi") == "17.5 inHg of vacuum"


def test_psi_on_a_vacuum_gauge_and_inches_elsewhere_stay_what_they_are() -> None:
    """Boost is told in psi; a fuel gauge has no vacuum."""
    reference, rail = the_book().readings["reference pressure"], the_book().readings["rail pressure"]
    assert read_typed("12 psi", reference, "psi").value == pytest.approx(12 * 6894.757, rel=1e-6)
    assert read_typed("12", reference, "psi").value == pytest.approx(12 * 6894.757, rel=1e-6)
    assert read_typed("17.5 inHg", rail, "psi").value > 0
    assert shown_as_read(12 * 6894.757, reference, "psi") == "12 psi"


def test_outcomes_on_a_vacuum_gauge_are_told_as_vacuum() -> None:
    """More vacuum is less pressure: the lowest bin is "more than", and a bin across the atmosphere names both sides."""
    import numpy as np

    kind = the_book().readings["reference pressure"]
    labels = bin_labels(np.array([-18 * INHG, -9 * INHG, 2 * 6894.757]), kind)
    assert labels == (
        "more than 18 inHg of vacuum", "18 inHg of vacuum to 9 inHg of vacuum", "9 inHg of vacuum to 2 psi",
        "above 2 psi",
    )  # fmt: skip
    assert bin_labels(np.array([-9 * INHG]), kind)[1] == "less than 9 inHg of vacuum"
    rest = the_book().readings["gauge at rest"]
    assert bin_labels(np.array([-1 * 6894.757]), rest) == ("below -1 psi", "above -1 psi")
