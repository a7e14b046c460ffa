"""Conditions: defaults, words, numbers, and refusals."""

from __future__ import annotations

import pytest

from diag.fuelsystem.points import CHOICES, NUMBERS, OperatingCondition, check_setting, condition
from diag.support.errors import QuantityError, UnknownNameError


def test_nothing_said_is_the_car_as_it_stands():
    """Empty settings give the first word of every choice, except that the engine is off."""
    assert condition({}) == OperatingCondition()
    for name, words in CHOICES.items():
        key = {"return": "return_line", "tank cap": "tank_cap"}.get(name, name)
        assert getattr(OperatingCondition(), key) == words[0]


def test_a_reference_means_a_hand_pump():
    """A pressure put on the nipple implies that the hose is off the manifold."""
    assert condition({"reference": -1e4}).hose == "hand"


def test_yaml_booleans_are_understood():
    """A reader that turned on and off into true and false does no harm."""
    assert check_setting("pump", True) == "on"
    assert check_setting("pump", False) == "off"


def test_refusals():
    """Unknown settings and words name the nearest; numbers outside what can be are refused."""
    with pytest.raises(UnknownNameError):
        check_setting("moon", "full")
    with pytest.raises(UnknownNameError):
        check_setting("engine", "racing")
    with pytest.raises(QuantityError):
        check_setting("vacuum", 2e5)
    with pytest.raises(QuantityError):
        check_setting("minutes", "soon")
    with pytest.raises(QuantityError):
        check_setting("minutes", float("nan"))
    assert set(NUMBERS) == {"reference", "vacuum", "boost", "usual boost", "minutes", "battery"}
