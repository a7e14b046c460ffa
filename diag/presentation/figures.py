"""Chances and minutes as every page, report and line says them."""

from __future__ import annotations

LONG = 90  # minutes


def percent(chance: float) -> str:
    """A chance as a whole percentage that never claims certainty."""
    if chance < 0.005:
        return "under 1 %"
    return "over 99 %" if chance > 0.995 else f"{100 * chance:.0f} %"


def minutes(value: float) -> str:
    """Whole minutes in words; hours where nobody counts minutes any longer."""
    whole = round(value)
    if whole >= LONG:
        return f"{value / 60:.1f} hours"
    return "under a minute" if value < 0.5 else "1 minute" if whole <= 1 else f"{whole} minutes"


def chance_words(chance: float) -> str:
    """A chance in words; the figure stands beside it wherever there is room."""
    for limit, words in ((0.95, "almost certain"), (0.8, "very likely"), (0.5, "more likely than not"),
                         (0.2, "possible"), (0.05, "unlikely")):  # fmt: skip
        if chance >= limit:
            return words
    return "very unlikely"
