"""Sizing conditions by themselves: what they look at, when they hold, and by how much they miss."""

from __future__ import annotations

import numpy as np
import pytest

from diag.inference.readings.conditions import condition_quantities, holds, shortfall
from diag.rulebook.findings import TARGET, Condition

TOO_HIGH = Condition("rail pressure", "valve-wide-open", "above", TARGET, 2.0, larger=TARGET, than="seat drop")


def test_a_condition_may_set_a_quantity_against_the_target() -> None:
    """The floor is above the target while the seat alone would be below it: only then is the return to blame."""
    values = {"rail pressure": np.array([50.0, 50.0, 44.0]), "seat drop": np.array([30.0, 45.0, 30.0])}
    target = np.full(3, 43.0)
    assert condition_quantities(TOO_HIGH) == {"rail pressure", "seat drop"}
    assert holds(TOO_HIGH, values, target).tolist() == [True, False, False]
    assert shortfall(TOO_HIGH, values, target) == pytest.approx([0.0, 2.0, 1.0])
