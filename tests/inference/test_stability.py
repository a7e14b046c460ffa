"""How much the ranking depends on which cars were imagined, and how fast it is forgotten that they were few."""

from __future__ import annotations

import pytest

from diag.inference.evidence import Evidence
from diag.inference.posterior import belief
from tests.inference.rig import psi, rig

pytestmark = pytest.mark.slow  # several seconds: whole jobs, screens or processes

RAIL, OUTLET = "rail pressure", "regulator outlet pressure"
STUCK = ((RAIL, "base", 58.4), (RAIL, "screw-out", 58.4), (OUTLET, "base", 27.1), (RAIL, "return-opened", 47.4))

CASES = {
    "stuck, nothing known": ({}, STUCK),
    "stuck, all known": (
        {"return_bore": "6 mm", "pump_flow": "600 L/h", "seat_diameter": "4 mm", "target_pressure": "43.5 psi"},
        STUCK,
    ),
    "does not follow": (
        {"target_pressure": "43.5 psi", "idle_vacuum": "18 inHg"},
        ((RAIL, "base", 43.5), (RAIL, "idle-on", 43.2)),
    ),
    "two faults": (
        {"target_pressure": "43.5 psi", "idle_vacuum": "18 inHg"},
        ((RAIL, "base", 51.0), (RAIL, "idle-on", 50.5), (RAIL, "screw-out", 33.0)),
    ),
    "blocked": (
        {"target_pressure": "43.5 psi", "pump_flow": "255 L/h", "return_bore": "8 mm"},
        ((RAIL, "base", 58.0), (RAIL, "idle-on", 52.0), (RAIL, "screw-out", 57.0), (RAIL, "return-opened", 44.0)),
    ),
}


def ranking(name: str, draws: int) -> dict[str, float]:
    car, readings = CASES[name]
    told = tuple(psi(reading, point, value, at) for at, (reading, point, value) in enumerate(readings))
    return dict(belief(rig(draws, **car), Evidence(readings=told)).ranked())


EVEN = pytest.mark.xfail(strict=True, reason="seat and return share the blame evenly there; they trade 0.047")


@pytest.mark.parametrize("name", [pytest.param(n, marks=EVEN) if n == "stuck, all known" else n for n in CASES])
def test_twice_the_draws_move_no_cause_by_more_than_three_hundredths(name: str) -> None:
    """At most 0.03 per cause. Other draws are other seeds: each count has columns of its own."""
    few, many = ranking(name, 512), ranking(name, 1024)
    assert max(abs(few[c] - many[c]) for c in few) <= 0.03


@pytest.mark.parametrize("name", CASES)
def test_no_leader_ahead_by_a_tenth_is_swapped(name: str) -> None:
    """Against four times the draws: who leads by 0.1 or more still leads."""
    few, many = ranking(name, 512), ranking(name, 2048)
    first, second = sorted(few.values(), reverse=True)[:2]
    if first - second >= 0.1:
        assert max(few, key=lambda c: few[c]) == max(many, key=lambda c: many[c])
    else:
        leaders = sorted(few, key=lambda c: -few[c])[:2]
        assert max(many, key=lambda c: many[c]) in leaders
