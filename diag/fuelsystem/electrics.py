"""Wires and volts: resistance of copper, and what is left at the pump's terminals."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from diag.fuelsystem.points import OperatingCondition

Array = NDArray[np.float64]

COPPER = 1.7241e-8
"""Resistivity of annealed copper at 20 C, ohm metre (IACS)."""

COPPER_PER_KELVIN = 0.00393
"""Relative rise of copper's resistance per kelvin (from memory)."""

STANDING_CURRENT = 0.45
"""Share of the rated current that a pump draws against no pressure (trade judgement)."""

CRANKING_LOSS = 2.2
"""Volts that the starter motor takes from the battery (trade judgement)."""

STIFF_CURRENT = 0.6
"""What a pump that slows down because it binds draws more, as a share of what it loses in flow (trade judgement)."""

HAND_SHARE = 0.02
"""Share of the feed wire that lies within one hand's breadth, a tenth of a metre of about five (trade judgement)."""

REDUCED = 0.75
"""Share of the volts at the setting "speed: reduced" (trade judgement)."""


_SUPPLIES = {"off": "key-on supply", "cranking": "cranking supply"}


def wire_resistance(area: ArrayLike, length: ArrayLike, temperature: ArrayLike = 293.15) -> Array:
    """Resistance of a copper wire, ohm; area m2, length m one way, temperature K. Any shape."""
    warm = 1.0 + COPPER_PER_KELVIN * (np.asarray(temperature, dtype=float) - 293.15)
    return np.asarray(COPPER * warm * np.asarray(length, dtype=float) / np.asarray(area, dtype=float))


@dataclass(frozen=True, slots=True)
class Supply:
    """The pump's electric circuit: volts at the battery, resistances, and current as standing + per pascal * rise.

    ``contacts`` and ``joint`` are parts of ``feed``: relay, fuse and plugs, and the worst hand's breadth of the wire.
    """

    battery: Array
    feed: Array
    contacts: Array
    joint: Array
    ground: Array
    standing: Array
    per_pascal: Array
    duty: Array

    def current(self, rise: Array) -> Array:
        """Amperes in the wires at the pump's pressure rise, Pa."""
        return self.duty * (self.standing + self.per_pascal * rise)

    def motor_volts(self, rise: Array) -> Array:
        """Average volts across the motor, which a speed controller may have cut."""
        motor = self.standing + self.per_pascal * rise
        return np.maximum(self.duty * self.battery - self.duty * self.duty * (self.feed + self.ground) * motor, 0.0)


def supply(p: Mapping[str, Array], at: OperatingCondition) -> Supply:
    """The circuit of this car at a condition.

    The motor's torque, and so its current, follows the pressure it works against.
    """
    volts = p["battery volts"] if at.battery is None else np.asarray(at.battery)
    if at.battery is None and at.engine_turns:
        volts = volts + p["charging lift"]
    if at.battery is None and at.engine == "cranking":
        volts = volts - CRANKING_LOSS
    if at.loads == "on":
        volts = volts - p["load drop"]
    on = p["pump supply"] * p[_SUPPLIES.get(at.engine, "running supply")]
    if at.heat == "hot":
        on = on * p["hot supply"]
    contacts, joint = p["contact resistance"], p["feed joint resistance"]
    feed = p["feed wire resistance"] + joint + contacts
    joint = joint + HAND_SHARE * p["feed wire resistance"]
    ground = p["ground resistance"]
    if at.supply == "direct":
        on, feed, ground = np.ones_like(on), np.full_like(feed, 0.02), np.full_like(ground, 0.01)
        contacts, joint = np.zeros_like(contacts), HAND_SHARE * feed
    duty = p["pump duty"] * (REDUCED if at.speed == "reduced" else 1.0)
    if at.supply == "direct":
        duty = np.ones_like(duty)
    live = (on > 0.5).astype(float) * (at.pump == "on")
    rated = p["pump rated flow"] * p["pump rated pressure"] / (p["pump efficiency"] * p["pump rated volts"])
    rated = rated * p["pump current factor"]
    if at.heat == "hot":
        rated = rated * (1.0 + STIFF_CURRENT * p["pump hot slowing"])
    standing = STANDING_CURRENT * rated
    per_pascal = (1.0 - STANDING_CURRENT) * rated / p["pump rated pressure"]
    return Supply(np.maximum(volts, 0.0), feed, contacts, joint, ground, standing, per_pascal, duty * live)
