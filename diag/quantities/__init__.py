"""Text <-> SI: the only place that knows units.

parse("3 bar", "pressure", "psi").value      -> 300000.0 (Pa above atmosphere)
show(300000.0, "pressure", "psi")            -> "43.5 psi"
"""

from diag.quantities.kinds import KINDS, Kind, units_of
from diag.quantities.reading import Amount, parse
from diag.quantities.showing import from_unit, show, show_dial, span_words, to_unit
from diag.quantities.special import awg_area

__all__ = [
    "KINDS",
    "Amount",
    "Kind",
    "awg_area",
    "from_unit",
    "parse",
    "show",
    "show_dial",
    "span_words",
    "to_unit",
    "units_of",
]
