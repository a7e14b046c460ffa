"""A regulator whose set spring is taken out: the valve stands wide open and only the way back makes pressure."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import ArrayLike

from diag.fuelsystem.circuit import return_drop
from diag.fuelsystem.constants import LITRE_PER_HOUR, PSI
from diag.fuelsystem.regulator import wide_open_drop
from diag.fuelsystem.solve import complete, solve

SLACK: dict[str, str | float] = {"pump": "on", "engine": "off", "hose": "off", "screw": "slack"}


def test_without_a_spring_the_rail_is_seat_and_return_in_a_row() -> None:
    """Source: orifice law Q = C A sqrt(2 dp / rho); by itself it is held against a table in tests/reference."""
    seat = np.array([3.0e-3, 3.5e-3, 4.0e-3])
    car: dict[str, ArrayLike] = {
        "pump rated flow": 400.0 * LITRE_PER_HOUR, "seat diameter": seat, "valve lift limit": 0.2 * seat,
        "return bore": 6e-3, "seat leak": 0.0, "spring rate": 1e3,
    }  # fmt: skip
    got = solve(car, SLACK, ("true rail pressure", "return flow"))
    p = complete(car)
    flow = got["return flow"]
    lost = wide_open_drop(flow, seat, p["fuel density"], p["valve lift limit"], p["valve discharge"])
    expected = lost + return_drop(p, flow) + p["tank pressure"]
    assert got["true rail pressure"] == pytest.approx(expected, rel=1e-4)
    assert got["true rail pressure"].min() > 5.0 * PSI


def test_without_a_spring_the_screw_no_longer_matters() -> None:
    """Whatever the setting was, it is the spring that carried it."""
    settings: dict[str, ArrayLike] = {"set pressure": np.linspace(2e5, 5e5, 7), "screw out pressure": 1.5e5}
    assert np.ptp(solve(settings, SLACK, ("true rail pressure",))["true rail pressure"]) == 0.0
