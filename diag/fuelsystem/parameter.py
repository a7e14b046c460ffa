"""What one named quantity of the model is, and how tables of them are written."""

from __future__ import annotations

from dataclasses import dataclass

JUDGEMENT = "trade judgement"
PRACTICE = "common practice, no source"


@dataclass(frozen=True, slots=True)
class Parameter:
    """One named quantity.

    ``low`` and ``high`` bound what may be computed with; values outside are brought to the bound. ``typical`` is used
    when a caller leaves the parameter out. ``unit_kind`` names the unit family of ``diag.quantities``.
    """

    name: str
    unit_kind: str
    low: float
    high: float
    typical: float
    what: str
    source: str


def table(*rows: tuple[str, str, float, float, float, str, str]) -> dict[str, Parameter]:
    """Parameters by name, from rows of (name, unit family, low, high, typical, what, source)."""
    return {row[0]: Parameter(*row) for row in rows}
