"""Many kinds of cars at several conditions in one solution: to the last digit what each comes to by itself."""

from __future__ import annotations

import numpy as np

from diag.fuelsystem.car import Car
from diag.fuelsystem.draws import draw
from diag.fuelsystem.solve import solve, solve_all

WANTED = ("rail pressure", "return flow", "pump amps", "pressure held share")
CONDITIONS: tuple[dict[str, str | float], ...] = (
    {"engine": "off", "hose": "off"},
    {"engine": "idle", "hose": "on"},
    {"engine": "full load", "boost": 50_000.0},
    {"pump": "off", "minutes": 5.0},
    {"pump": "off"},
)


def _kinds(count: int) -> dict[str, np.ndarray]:
    """A sound kind of car, one with half of the pump's flow, one with a pinched return, and the sound one again."""
    cars = {name: np.asarray(values, dtype=float) for name, values in draw(Car({}), count).items()}
    cars["pump rated flow"] = cars["pump rated flow"] * np.array([[1.0], [0.5], [1.0], [1.0]])
    cars["return restriction hole"] = np.array([[1.0], [1.0], [0.002], [1.0]]) * np.ones(count)
    return cars


def test_several_conditions_and_lots_at_once_are_what_each_is_alone() -> None:
    large, small = _kinds(96), _kinds(5)
    questions = [(cars, settings, WANTED) for settings in CONDITIONS for cars in (large, small)]
    together = solve_all(questions)
    for (cars, settings, wanted), found in zip(questions, together, strict=True):
        alone = solve(cars, settings, wanted)
        assert set(found) == set(wanted)
        for name in wanted:
            assert found[name].shape == alone[name].shape == (4, len(cars["fuel density"]))
            np.testing.assert_allclose(found[name], alone[name], rtol=1e-12, atol=0.0)


def test_kinds_that_differ_are_told_apart_and_equal_ones_share_their_answer() -> None:
    (found,) = solve_all([(_kinds(64), CONDITIONS[0], ("rail pressure", "return flow"))])
    sound, weak, pinched, again = found["rail pressure"]
    np.testing.assert_array_equal(sound, again)
    assert (found["return flow"][0] > found["return flow"][1]).mean() > 0.9  # but for cars that deliver next to nothing
    assert np.median(pinched) > np.median(sound) >= np.median(weak) - 1.0
