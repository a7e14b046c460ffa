"""Sizing conditions: what has to be predicted for one, whether it holds, and by how much it misses."""

from __future__ import annotations

from collections.abc import Callable, Mapping

import numpy as np

from diag.inference.fault_sets import Bools, Floats
from diag.rulebook.findings import TARGET, Condition


def condition_quantities(condition: Condition) -> set[str]:
    """The quantities that must be predicted to decide a condition."""
    names = {condition.reading, condition.larger, condition.than}
    if condition.base not in ("zero", TARGET):
        names.add(condition.base)
    return names - {"", TARGET}


def named_value(name: str, of: Callable[[str], Floats], target: Floats) -> Floats | float:
    """What a condition means by a name, element by element: nothing, the car's target, or a quantity (``of``)."""
    return 0.0 if name == "zero" else target if name == TARGET else of(name)


def _limit(condition: Condition, values: Mapping[str, Floats], target: Floats) -> Floats | float:
    """What the reading is compared with, element by element."""
    return named_value(condition.base, values.__getitem__, target) + condition.offset


def _besides(condition: Condition, values: Mapping[str, Floats], target: Floats) -> Floats:
    """By how much ``larger`` exceeds ``than``, element by element."""
    more, less = (named_value(name, values.__getitem__, target) for name in (condition.larger, condition.than))
    return np.asarray(more - less)


def holds(condition: Condition, values: Mapping[str, Floats], target: Floats) -> Bools:
    """Whether the condition holds, element by element."""
    limit = _limit(condition, values, target)
    value = values[condition.reading]
    result = value > limit if condition.side == "above" else value < limit
    if condition.larger and condition.than:
        result = result & (_besides(condition, values, target) > 0.0)
    return np.asarray(result)


def target_of(draws: Mapping[str, Floats]) -> Floats:
    """The wanted rail pressure with the reference hose off in every draw, Pa gauge."""
    return np.asarray(draws.get("target pressure", draws["set pressure"]))


def shortfall(condition: Condition, values: Mapping[str, Floats], target: Floats) -> Floats:
    """How far the condition is from holding, in the quantity's unit; zero where it holds."""
    beyond = values[condition.reading] - _limit(condition, values, target)
    result = np.maximum(-beyond if condition.side == "above" else beyond, 0.0)
    if condition.larger and condition.than:
        result = result + np.maximum(-_besides(condition, values, target), 0.0)
    return np.asarray(result)
