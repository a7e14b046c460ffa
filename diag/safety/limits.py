"""The pressures at which everything stops, wherever they are read or expected. Pure; SI (Pa gauge)."""

from __future__ import annotations

from collections.abc import Mapping

PSI = 6894.757293168  # Pa, by definition of pound and inch
HARD = 87.0 * PSI  # 6 bar, the highest dead-head figure that service texts quote; above it hoses and joints may burst
ABOVE_TARGET = 15.0 * PSI  # how far above the target a caller turns the adjuster. Judgement
CAN_BURST = frozenset({"rail pressure", "pump outlet pressure", "regulator outlet pressure"})


def limit(reading: str, settings: Mapping[str, str | float], target: float | None, by_phone: bool) -> float | None:
    """The gauge pressure (Pa) at which a person taking this reading stops; None for what cannot burst anything.

    Args:
        reading: the quantity, by its name in the rule book.
        settings: the settings of the point at which it is taken.
        target: the rail's target with the reference hose off, Pa; None when it is not known.
        by_phone: whether a caller turns the adjuster, whom nobody sees.
    """
    if reading not in CAN_BURST:
        return None
    if settings.get("screw") == "in" and by_phone and target is not None:
        return min(HARD, target + ABOVE_TARGET)
    return HARD
