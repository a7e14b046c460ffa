"""Values that are no number with a unit: dash sizes, tube and hose bores, wire gauges, a pint in thirty seconds."""

from __future__ import annotations

import math
import re

from diag.quantities.kinds import find_unit
from diag.quantities.numbers import NUMBER, split_number
from diag.quantities.piece import Ask, Piece, plain_piece
from diag.quantities.showing import spoken
from diag.quantities.units import INCH, imperial_of

# Inside diameters of hoses by dash number, mm: (hose named by its bore; 100R5 family, bore of the equivalent tube;
# braided race hose). First two: SAE J517 dash numbering as quoted by a public fittings handbook; third: from memory.
DASH_MM: dict[int, tuple[float, float, float]] = {
    4: (6.4, 4.8, 5.6),
    6: (9.5, 7.9, 8.7),
    8: (12.7, 10.3, 11.1),
    10: (15.9, 12.7, 14.2),
    12: (19.0, 15.9, 17.5),
    16: (25.4, 22.2, 22.6),
}
PTFE_MM = {6: 8.0, 8: 10.3, 10: 12.7}  # plastic-lined hose, from memory
WALL_INCH = (0.035, 0.028, 0.049)  # usual, thinnest, thickest wall of inch tube; computed bores, walls from memory
WALL_MM = 1.0  # usual wall of metric fuel tube: common practice, no source

_DASH = re.compile(
    r"(?:dash|(?:an|jic)[ -]?|#|-|no\.? ?)\s*-?\s*(\d{1,2})\s*(?:an|jic)?(?: (.*))?"
    r"|-?(\d{1,2}) ?(?:an|jic|dash)\b ?(.*)",
    re.IGNORECASE,
)
_TWO = re.compile(r"(?:to|or|and|-)\b", re.IGNORECASE)
_PIPE = re.compile(
    r"(.*?[\d\"a-z])[ -]?(?:(?:fuel|return|feed|rubber|steel|copper|alloy|nylon|metal) )*"
    r"\b(hose|tube|tubing|pipe|hard line|od|o\.d\.|outside(?: diameter)?"
    r"|id|i\.d\.|inside(?: diameter)?|bore|inner(?: diameter)?)\.?",
    re.IGNORECASE,
)
_OUTSIDE = re.compile(r"tub|od|o\.d|outside|hard", re.IGNORECASE)
_WALLED = re.compile(r"(\d{1,2}(?:[.,]\d+)?) ?(?:mm)? ?x ?(\d(?:[.,]\d+)?) ?(?:mm)?(?: (?:tube|pipe))?", re.IGNORECASE)
_AWG = re.compile(
    r"(?:(?:awg|gauge|ga|#)[ -]?(\d{1,2}|0{1,4}|[1-4]/0)|(\d{1,2}|0{1,4}|[1-4]/0)[ -]?(?:awg|gauge|gage|ga|g))\.?"
    r"(?: awg| wire)?",
    re.IGNORECASE,
)
_THICKEST_STRAND = 1.0  # mm; "2 x 1.5" is a cable of two cores and no strand count
_STRANDS = re.compile(r"(\d{1,4}) ?[/x] ?(\d{0,2}[.,]\d{1,4})(?: ?mm)?", re.IGNORECASE)
_TIMES = r"(?:seconds?|secs?|s|minutes?|mins?|m|hours?|hrs?|h)\.?"
_CAUGHT = re.compile(
    rf"({NUMBER})?\s*([a-z][a-z0-9 .]*?)\s*(?:\b(?:in|per|every|each|over)\b|/)\s*(?:an? )?"
    rf"({NUMBER})?(?:\s*(?:-|to)\s*({NUMBER}))?\s*({_TIMES})",
    re.IGNORECASE,
)
_FILLED = re.compile(
    rf"({NUMBER})\s*({_TIMES})\s*(?:for|to fill|to catch|per|/)\s*(?:an? )?({NUMBER})?\s*([a-z][a-z0-9 .]*)",
    re.IGNORECASE,
)
_FEET_INCHES = re.compile(rf"({NUMBER})\s*(?:ft|foot|feet|')\s*({NUMBER})\s*(?:in|inch|inches|\"|'')?", re.IGNORECASE)
_MINUTES = re.compile(
    rf"({NUMBER})\s*(h|hrs?|hours?|m|mins?|minutes?)\.?,? ?(?:and )?"
    rf"({NUMBER})\s*(m|mins?|minutes?|s|secs?|seconds?)?\.?",
    re.IGNORECASE,
)
_CLOCK = re.compile(r"(\d{1,3}):([0-5]\d)")
_RATIO = re.compile(rf"({NUMBER}) ?(?::|to) ?({NUMBER})")


def special(text: str, ask: Ask) -> Piece | None:
    """The value when the text has a form of its own for this kind, otherwise None."""
    reader = _READERS.get(ask.kind.name)
    return reader(text, ask) if reader else None


def _number(text: str | None, default: float = 1.0) -> float:
    found = split_number(text) if text else None
    return found[0].value if found else default


# ---- bores ---------------------------------------------------------------------------------------------------------


def _bore(text: str, ask: Ask) -> Piece | None:
    found = _DASH.fullmatch(text)
    words = (found.group(2) or found.group(4) or "") if found else ""
    if found and not find_unit(words, "bore") and not _TWO.match(words):
        number = int(found.group(1) or found.group(3))
        return _dash(number, words.lower(), ask)
    pipe = _PIPE.fullmatch(text)
    if pipe:
        piece = _pipe(pipe.group(1).strip(), pipe.group(2), ask)
        if piece is not None:
            return piece
    return _outside_by_wall(text, ask)


def _outside_by_wall(text: str, ask: Ask) -> Piece | None:
    """``8 x 1`` is a metric tube, outside diameter and wall."""
    found = _WALLED.fullmatch(text)
    if not found:
        return None
    outside, wall = (float(part.replace(",", ".")) for part in found.groups())
    bore = outside - 2 * wall
    if bore <= 0:
        ask.refuse(f"{ask.shown} leaves no bore.", "Type the bore in mm.")
    words = f"tube of {outside:g} mm outside with a {wall:g} mm wall, bore {bore:g} mm"
    return plain_piece(bore / 1e3, "mm", words)


def _dash(number: int, words: str, ask: Ask) -> Piece:
    sizes = DASH_MM.get(number)
    if sizes is None:
        known = ", ".join(str(n) for n in DASH_MM)
        ask.refuse(f"No bore is known for dash {number}.", f"Known are dash {known}; or type the bore in mm.")
    named, tube_like, braided = sizes
    unit, name = "mm", f"dash {number}"
    if re.search(r"tube|tubing|pipe|hard", words):
        return _tube(number * INCH / 16, f"{name} tube, {number}/16 in outside")
    if re.search(r"ptfe|plastic", words) and number in PTFE_MM:
        bore = PTFE_MM[number]
        return plain_piece(bore / 1e3, unit, f"{name} plastic-lined hose, bore taken as {bore:g} mm")
    if re.search(r"rubber|push", words):
        return plain_piece(named / 1e3, unit, f"{name} hose named by its bore, {named:g} mm")
    if words and not re.search(r"braid|hose|line|an|jic", words):
        ask.refuse(f"{ask.shown}: the word {words[:20]!r} says nothing about the bore.", "Type the bore in mm.")
    said = (
        f"{name}: bore taken as {braided:g} mm (braided hose), "
        f"could be {tube_like:g} to {named:g} mm; measure it if it matters"
    )
    return Piece(braided / 1e3, tube_like / 1e3, named / 1e3, unit, said, 0.05 * braided / 1e3)


def _tube(outside: float, name: str) -> Piece:
    usual, thin, thick = (outside - 2 * wall * INCH for wall in WALL_INCH)
    taken = f"bore taken as {usual * 1e3:.1f} mm with a {WALL_INCH[0]:g} in wall"
    said = f"{name}, {taken}, could be {thick * 1e3:.1f} to {thin * 1e3:.1f} mm"
    return Piece(usual, thick, thin, "mm", said, 0.05 * usual)


def _pipe(size: str, words: str, ask: Ask) -> Piece | None:
    """``3/8 in hose`` has that bore; ``3/8 in tube`` or ``8 mm OD`` is measured outside."""
    found = split_number(size)
    if found is None:
        return None
    number, rest = found
    unit = find_unit(rest or ("in" if number.fraction else ask.default_unit or ask.kind.usual), "bore")
    if unit is None or number.value <= 0:
        return None
    value = number.value * unit.factor
    name = f"{size if rest else f'{size} {unit.name}'}"
    if not _OUTSIDE.match(words):
        return plain_piece(value, unit.name, f"{name} inside")
    if unit.name in ("in", "thou"):
        if value <= 2.5 * max(WALL_INCH) * INCH:
            ask.refuse(f"{ask.shown} is too thin for a fuel tube.", "Type the bore in mm.")
        return _tube(value, f"{name} outside")
    bore = value - 2 * WALL_MM / 1e3
    if bore <= 0:
        ask.refuse(f"{ask.shown} is too thin for a fuel tube.", "Type the bore in mm.")
    said = f"{name} outside, bore taken as {bore * 1e3:.1f} mm with a {WALL_MM:g} mm wall"
    return plain_piece(bore, unit.name, said)


# ---- wires ---------------------------------------------------------------------------------------------------------


def awg_area(gauge: int) -> float:
    """Copper area in m2 of a solid wire by American wire gauge; 0, -1, -2, -3 are 1/0 to 4/0. Definition: ASTM B258."""
    diameter = 0.005 * INCH * math.pow(92.0, (36 - gauge) / 39)
    return math.pi / 4 * diameter * diameter


def _wire(text: str, ask: Ask) -> Piece | None:
    found = _AWG.fullmatch(text)
    if found:
        size = found.group(1) or found.group(2)
        gauge = 1 - int(size[0]) if "/" in size else (1 - len(size) if set(size) == {"0"} else int(size))
        area = awg_area(gauge)
        return plain_piece(area, "mm2", f"{size} AWG (American wire gauge), {area * 1e6:.3g} mm2")
    strands = _STRANDS.fullmatch(text)
    if strands and float(strands.group(2).replace(",", ".")) <= _THICKEST_STRAND:
        count, thick = int(strands.group(1)), float(strands.group(2).replace(",", "."))
        area = count * math.pi / 4 * (thick / 1e3) ** 2
        return plain_piece(area, "mm2", f"{count} strands of {thick:g} mm, {area * 1e6:.3g} mm2")
    return None


# ---- flows, times, lengths, ratios ---------------------------------------------------------------------------------


def _flow(text: str, ask: Ask) -> Piece | None:
    split = split_number(text)
    if split and find_unit(split[1], "flow"):
        return None  # 600 L/h is a plain number with its unit
    found = _CAUGHT.fullmatch(text)
    if found:
        amount, vessel, seconds, until, clock = found.groups()
    else:
        found = _FILLED.fullmatch(text)
        if not found:
            return None
        seconds, clock, amount, vessel = found.groups()
        until = None
    unit = find_unit(vessel, "volume")
    if unit is None:
        return None
    if ask.imperial and not vessel.lower().startswith("us"):
        unit = find_unit(imperial_of(unit.name), "volume") or unit
    time = find_unit(clock.rstrip(".") if clock.rstrip(".").lower() != "m" else "min", "time")
    volume, first = _number(amount), _number(seconds)
    last = _number(until, first)
    if time is None or volume <= 0 or min(first, last) <= 0:
        ask.refuse(f"{ask.shown} is not a flow.", "Type the volume and the time, like 1 pint in 30 s.")
    flows = sorted(volume * unit.factor / (t * time.factor) for t in (first, last))
    middle = volume * unit.factor / ((first + last) / 2 * time.factor)
    span = f"{first:g}" if last == first else f"{first:g} to {last:g}"
    words = f"{volume:g} {spoken(unit, volume)} in {span} {time.name}, which is {middle * 3.6e6:.3g} L/h"
    return Piece(middle, flows[0], flows[1], "L/h", words, 0.05 * middle)


def _time(text: str, ask: Ask) -> Piece | None:
    clock = _CLOCK.fullmatch(text)
    if clock:
        value = 60.0 * int(clock.group(1)) + int(clock.group(2))
        return plain_piece(value, "s", f"{int(clock.group(1))} min {int(clock.group(2))} s")
    found = _MINUTES.fullmatch(text)
    if not found:
        return None
    big = find_unit(_minutes(found.group(2)), "time")
    small = find_unit(_minutes(found.group(4) or ("min" if found.group(2)[0] in "hH" else "s")), "time")
    if big is None or small is None or small.factor >= big.factor:
        return None
    value = _number(found.group(1)) * big.factor + _number(found.group(3)) * small.factor
    return plain_piece(value, "s", f"{found.group(1)} {big.name} {found.group(3)} {small.name}")


def _minutes(word: str) -> str:
    return "min" if word.lower() == "m" else word


def _length(text: str, ask: Ask) -> Piece | None:
    if ask.kind.name == "altitude" and text.lower() == "sea level":
        return plain_piece(0.0, "m", "sea level")
    found = _FEET_INCHES.fullmatch(text)
    if not found:
        return None
    feet, inches = _number(found.group(1)), _number(found.group(2))
    if not 0 <= inches < 12:
        return None
    return plain_piece((12 * feet + inches) * INCH, "ft", f"{feet:g} ft {inches:g} in")


def _ratio(text: str, ask: Ask) -> Piece | None:
    found = _RATIO.fullmatch(text)
    if not found:
        return None
    above, below = _number(found.group(1)), _number(found.group(2))
    if below == 0:
        ask.refuse(f"{ask.shown} divides by zero.")
    return plain_piece(above / below, "to 1", f"{above:g} to {below:g}")


def _share(text: str, ask: Ask) -> Piece | None:
    word = text.lower()
    if word in ("full", "all", "empty", "none", "1/2 full", "1/4 full", "3/4 full"):
        value = {"full": 1.0, "all": 1.0, "empty": 0.0, "none": 0.0}.get(word)
        value = _number(word.removesuffix(" full")) if value is None else value
        return plain_piece(value, "share", word)
    if word in ("half", "quarter"):
        return plain_piece(0.5 if word == "half" else 0.25, "share", word)
    found = split_number(text)
    if found and found[0].fraction and not found[1]:
        return plain_piece(found[0].value, "share", text)
    return None


_READERS = {
    "bore": _bore,
    "wire": _wire,
    "flow": _flow,
    "time": _time,
    "length": _length,
    "altitude": _length,
    "ratio": _ratio,
    "fraction": _share,
    "percent": _share,
}
