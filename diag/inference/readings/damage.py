"""What a damage does to the parameters of an imagined car, and how severe it is."""

from __future__ import annotations

import hashlib

import numpy as np

from diag.inference.fault_sets import Floats
from diag.rulebook.causes import Effect


def seed_of(*names: str) -> int:
    """A number that depends on the names alone, the same on every machine."""
    return int.from_bytes(hashlib.sha256("\x1f".join(names).encode()).digest()[:8], "big")


def severity(cause: str, effect: Effect, count: int) -> Floats:
    """How severe the effect is in each draw: one draw per equal slice of its range, in hashed order: (count,).

    Ranges that span more than a factor of five are spread evenly in the logarithm.
    """
    rng = np.random.default_rng(seed_of("severity", cause, effect.parameter))
    u = (rng.permutation(count) + rng.random(count)) / count
    if effect.low > 0.0 and effect.high > 5.0 * effect.low:
        return np.asarray(effect.low * (effect.high / effect.low) ** u)
    return np.asarray(effect.low + (effect.high - effect.low) * u)


def applied(base: Floats, effect: Effect, amount: Floats) -> Floats:
    """The parameter after the effect."""
    if effect.how == "times":
        return base * amount
    if effect.how == "add":
        return base + amount
    return amount + np.zeros_like(base)


def within_travel(parameters: dict[str, Floats]) -> dict[str, Floats]:
    """The parameters with the setting inside the regulator's own travel, before any damage.

    A range and a target may come from different cars; a target beyond the range stays out of reach.
    """
    if {"set pressure", "screw out pressure", "screw in pressure"} <= parameters.keys():
        low, high = parameters["screw out pressure"], parameters["screw in pressure"]
        parameters["set pressure"] = np.clip(parameters["set pressure"], np.minimum(low, high), high)
    return parameters
