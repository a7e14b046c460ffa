"""SI values as people read them: three figures, in the unit asked for."""

from __future__ import annotations

import math

from diag.quantities.kinds import kind_of, unit_of
from diag.quantities.units import Unit

_FIGURES = 3


def show_number(number: float, figures: int = 12) -> str:
    """A number as typed: no exponent, no needless zeros."""
    text = f"{number:.{figures}g}"
    if "e" in text:
        text = f"{number:.{figures}f}" if abs(number) < 1 else f"{number:.0f}"
    return "0" if number == 0 else _trim(text)


def _trim(text: str) -> str:
    return text.rstrip("0").rstrip(".") if "." in text else text


def spoken(unit: Unit, number: float) -> str:
    """The unit in words: ``US pint``, ``US pints``."""
    if not unit.spoken:
        return unit.name
    countable = not unit.spoken.endswith(("hour", "minute", "horsepower"))
    return unit.spoken + ("s" if countable and number > 1 else "")


def to_unit(value: float, kind: str, unit: str = "") -> float:
    """An SI value as a number in a unit of its kind; an empty unit means the usual one.

    Raises:
        UnknownNameError: no such kind or unit.
    """
    known = unit_of(unit, kind)
    return (value - known.offset) / known.factor


def from_unit(number: float, kind: str, unit: str = "") -> float:
    """A number in a unit as the SI value.

    Raises:
        UnknownNameError: no such kind or unit.
    """
    known = unit_of(unit, kind)
    return number * known.factor + known.offset


def show(value: float, kind: str, unit: str | None = None, figures: int = _FIGURES) -> str:
    """An SI value with its unit, for example ``43.5 psi``, ``20 C``, ``25 %``; ``not known`` when it is not finite.

    Args:
        value: SI, as ``parse`` gives it.
        kind: one of ``KINDS``.
        unit: None for the kind's usual unit.
        figures: significant figures; whole numbers are never rounded away before the decimal point.

    Raises:
        UnknownNameError: no such kind or unit.
    """
    asked = kind_of(kind)
    known = unit_of(unit or "", kind)
    if not math.isfinite(value):
        return "not known"
    text = _rounded((value - known.offset) / known.factor, figures)
    if asked.name in ("count", "ratio", "fraction") and known.name in ("off", "to 1", "share"):
        return text
    tail = " absolute" if asked.name == "absolute pressure" else ""
    return f"{text} {known.name}{tail}"


def show_dial(value: float, kind: str, unit: str | None = None, figures: int = _FIGURES) -> str:
    """A pressure as a vacuum and boost gauge shows it: below atmosphere as so much vacuum, ``18 inHg of vacuum``.

    Args:
        value: Pa above atmosphere.
        kind: of any other kind than pressure, it is shown as it is.
        unit: of pressures above atmosphere; None for the usual one.
    """
    if kind != "pressure" or not value < 0.0:
        return show(value, kind, unit, figures)
    return f"{show(-value, 'vacuum', None, figures)} of vacuum"


def span_words(low: float, high: float, kind: str, dial: bool = False) -> str:
    """A range as people say it; ends that are not finite leave it open, and more vacuum is less pressure.

    Args:
        low: SI; minus infinity for no lower end.
        high: SI; infinity for no upper end.
        dial: whether a vacuum and boost gauge shows it.
    """
    shown = show_dial if dial else show
    vacuum = dial and kind == "pressure"
    if not math.isfinite(low):
        return f"more than {shown(high, kind)}" if vacuum and high < 0 else f"below {shown(high, kind)}"
    if not math.isfinite(high):
        return f"less than {shown(low, kind)}" if vacuum and low < 0 else f"above {shown(low, kind)}"
    return f"{shown(low, kind)} to {shown(high, kind)}"


def _rounded(number: float, figures: int) -> str:
    if number == 0:
        return "0"
    whole = math.floor(math.log10(abs(number))) + 1
    decimals = max(0, figures - whole)
    text = _trim(f"{number:.{min(decimals, 12)}f}")
    return "0" if text in ("-0", "0") else text
