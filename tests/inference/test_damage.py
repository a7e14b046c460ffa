"""What an imagined car's parameters are held to before any damage acts on them."""

from __future__ import annotations

import numpy as np

from diag.inference.readings.damage import within_travel


def test_a_setting_stays_within_the_travel_of_its_own_regulator() -> None:
    """Too low, right and too high a target for an adjuster from 2 to 4 bar; without a range nothing is moved."""
    travel = {"screw out pressure": np.full(3, 2e5), "screw in pressure": np.full(3, 4e5)}
    held = within_travel({"set pressure": np.array([1e5, 3e5, 5e5]), **travel})
    assert held["set pressure"].tolist() == [2e5, 3e5, 4e5]
    free = within_travel({"set pressure": np.array([1e5, 3e5, 5e5])})
    assert free["set pressure"].tolist() == [1e5, 3e5, 5e5]
