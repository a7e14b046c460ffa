"""The stated condition of a reading: which settings exist, what they may be, and what they mean for the physics."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from diag.support.errors import QuantityError, UnknownNameError

CHOICES: dict[str, tuple[str, ...]] = {
    "pump": ("on", "off"),
    "engine": ("off", "idle", "cruise", "full load", "cranking", "snap"),
    "hose": ("on", "off", "hand", "through"),  # through: a hand pump at the manifold end of the hose
    "screw": ("as found", "out", "in", "slack", "turned out", "turned in"),
    "return": ("as fitted", "opened", "pinched"),
    "tank cap": ("as fitted", "open"),
    "clamp": ("none", "feed", "return", "both"),
    "heat": ("cold", "hot"),
    "supply": ("as wired", "direct"),
    "loads": ("off", "on"),
    "gauge": ("main", "second", "sensor"),
    "speed": ("full", "reduced"),
    "rpm": ("high", "low"),
}
"""Settings that are words; the first word is what holds when nothing is said."""

NUMBERS: dict[str, str] = {
    "reference": "pressure",  # gauge Pa put on the regulator's nipple by hand, negative: vacuum
    "vacuum": "vacuum",  # measured manifold vacuum, Pa below the atmosphere; overrides what is drawn
    "boost": "pressure",  # measured boost, gauge Pa; overrides what is drawn
    "usual boost": "pressure",  # at full load where the car's own is not told
    "minutes": "time",  # after switch-off with the pump off or cranking, else since start or since the pedal went down
    "battery": "voltage",  # measured at the battery at the same time; overrides what is drawn
}
"""Settings that are numbers, with their unit family; ``minutes`` is in minutes, all others SI."""

_LIMITS: dict[str, tuple[float, float]] = {
    "reference": (-1.0e5, 6.0e5),
    "vacuum": (0.0, 1.0e5),
    "boost": (0.0, 5.0e5),
    "usual boost": (0.0, 5.0e5),
    "minutes": (0.0, 10000.0),
    "battery": (0.0, 30.0),
}


@dataclass(frozen=True, slots=True)
class OperatingCondition:
    """One way of holding the car still while a reading is taken. Numbers are SI except ``minutes``."""

    pump: str = "on"
    engine: str = "off"
    hose: str = "on"
    screw: str = "as found"
    return_line: str = "as fitted"
    tank_cap: str = "as fitted"
    clamp: str = "none"
    heat: str = "cold"
    supply: str = "as wired"
    loads: str = "off"
    gauge: str = "main"
    speed: str = "full"
    rpm: str = "high"
    reference: float = 0.0
    vacuum: float | None = None
    boost: float | None = None
    usual_boost: float = 0.0
    minutes: float | None = None
    battery: float | None = None

    @property
    def engine_turns(self) -> bool:
        """Whether the engine runs under its own power."""
        return self.engine in ("idle", "cruise", "full load", "snap")


PULL_SECONDS = 4.0
"""How long full load is held when nothing is said (trade judgement)."""


def pull_seconds(at: OperatingCondition) -> float:
    """Seconds since the throttle was opened, at full load."""
    return PULL_SECONDS if at.minutes is None else 60.0 * at.minutes


def highest(name: str) -> float:
    """The highest value of a numeric setting that can be, SI."""
    return _LIMITS[name][1]


def check_setting(name: str, value: str | float) -> str | float:
    """The value in the form the model uses.

    Raises:
        UnknownNameError: for a setting or a word nobody knows.
        QuantityError: for a number outside what can be.
    """
    if name in CHOICES:
        word = {True: "on", False: "off"}.get(value, value) if isinstance(value, bool) else value
        if word not in CHOICES[name]:
            raise UnknownNameError(f"setting of {name}", str(word), CHOICES[name])
        return str(word)
    if name not in NUMBERS:
        raise UnknownNameError("setting", name, [*CHOICES, *NUMBERS])
    low, high = _LIMITS[name]
    try:
        number = float(value)
    except (TypeError, ValueError):
        raise QuantityError(f"{value!r} is not a number.", "Give a number in SI units.", name) from None
    if not low <= number <= high:
        raise QuantityError(f"{number:g} cannot be.", f"It must lie between {low:g} and {high:g}.", name)
    return number


def condition(settings: Mapping[str, str | float]) -> OperatingCondition:
    """The condition that a point's settings describe.

    A number for ``reference`` means that a hand pump or regulated air is on the nipple.
    """
    fields: dict[str, str | float] = {}
    for name, value in settings.items():
        fields[
            name.replace("return", "return_line").replace("tank cap", "tank_cap").replace("usual boost", "usual_boost")
        ] = check_setting(name, value)
    if fields.get("reference"):
        fields.setdefault("hose", "hand")
    return OperatingCondition(**fields)  # type: ignore[arg-type]
