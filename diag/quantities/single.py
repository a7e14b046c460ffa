"""One number with its unit -> SI: which unit, gauge or absolute, decimal comma or thousands."""

from __future__ import annotations

import re
from typing import NoReturn

from diag.quantities.kinds import PRESSURES, find_unit, kinds_with, near_units
from diag.quantities.numbers import Number, split_number
from diag.quantities.piece import ABOUT, Ask, Piece
from diag.quantities.showing import show, show_number, spoken
from diag.quantities.special import special
from diag.quantities.units import Unit, fold, imperial_of

_ENDS = (
    ("abs", r"\babsolute|\babs\.?|\(a(?:bs)?\)|(?<=psi)a|(?<=bar)a|(?<=pa) ?a"),
    ("gauge", r"\bgauge|\bgage|\(g\)|(?<=psi)g|(?<=bar)g|(?<=pa) ?g|\b(?:of )?boost|\babove atmosphere(?:ic)?"),
    ("vac", r"\b(?:of )?vacuum|\b(?:of )?vac\.?|\bbelow atmosphere(?:ic)?|\b(?:of )?depression"),
)
_GAUGE_WORDS = tuple((mark, re.compile(rf"\s*(?:{words})$", re.IGNORECASE)) for mark, words in _ENDS)


def piece_of(text: str, ask: Ask) -> Piece | None:
    """A single value, None when the text is no number with a known unit."""
    found = special(text, ask)
    if found is not None:
        return found
    split = split_number(text)
    if split is None:
        return None
    number, rest = split
    rest, mark = _gauge_mark(rest, ask)
    if ask.kind.name in ("flow", "mass flow") and rest:
        crossed = _crossed(number, rest, ask)
        if crossed is not None:
            return crossed
    if ask.kind.name == "temperature" and fold(rest) in ("deg", "degree", "degrees", ""):
        rest = ""  # "20 degrees" names no scale
    spelled = rest or _unit_without_words(number, ask)
    # "20 inches of vacuum" is inHg where a pressure is asked for too.
    unit = find_unit(spelled, "vacuum" if mark == "vac" else ask.kind.name)
    if unit is None:
        return None
    if ask.imperial and not fold(rest).startswith("us"):
        unit = find_unit(imperial_of(unit.name), ask.kind.name) or unit
    return _converted(number, unit, mark, not rest, ask)


def _unit_without_words(number: Number, ask: Ask) -> str:
    # A bare 3/8 is inches, whatever the case's unit: nobody measures three eighths of a millimetre.
    if number.fraction and ask.kind.name in ("bore", "length"):
        return "in"
    return ask.default_unit or ask.kind.usual


def _gauge_mark(rest: str, ask: Ask) -> tuple[str, str]:
    if ask.kind.name not in PRESSURES or not rest:
        return rest, ""
    for mark, pattern in _GAUGE_WORDS:
        shorter = pattern.sub("", rest)
        if shorter != rest:
            return shorter.strip(), mark
    return rest, ""


def _crossed(number: Number, rest: str, ask: Ask) -> Piece | None:
    """A mass flow where a volume flow is asked, or the other way round: the fuel's density joins them."""
    if find_unit(rest, ask.kind.name) is not None:
        return None
    other = "mass flow" if ask.kind.name == "flow" else "flow"
    unit = find_unit(rest, other)
    if unit is None:
        return None
    factor = unit.factor / ask.density if other == "mass flow" else unit.factor * ask.density
    value = number.value * factor
    words = f"{show_number(number.value)} {unit.name} at {ask.density:g} kg/m3, which is {show(value, ask.kind.name)}"
    return Piece(value, value, value, unit.name, words, _half(number, factor))


def _half(number: Number, factor: float) -> float:
    return max(ABOUT * abs(number.value), number.step / 2) * abs(factor)


def _converted(number: Number, unit: Unit, mark: str, assumed: bool, ask: Ask) -> Piece:
    value = _settled(number, unit, mark, ask)
    typed = number.value if number.other is None or _si(number.value, unit, mark, ask) == value else number.other
    name = spoken(unit, typed)
    words = f"{show_number(typed, 4 if number.fraction else 12)} {name}"
    if unit.name in ("off", "to 1", "share"):
        words, assumed = show_number(typed), False
        if ask.kind.name == "count" and typed != int(typed):
            ask.refuse(f"{ask.shown} is not a whole number.")
    if number.fraction and assumed and unit.name == "in":
        words, assumed = f"{ask.text} in (a fraction is taken as inches), which is {show(value, 'bore', 'mm')}", False
    if ask.kind.name == "vacuum" and mark == "" and typed < 0:
        words = f"{show_number(-typed)} {name} below atmosphere"
    words += _mark_words(mark, ask)
    if ask.kind.name == "pressure" and mark == "" and unit.name.endswith(("Hg", "H2O")) and typed > 0:
        words += f" above atmosphere (for below write {show_number(typed)} {unit.name} vacuum)"
    flipped = (ask.kind.name == "vacuum") != (mark == "vac") and ask.kind.name in PRESSURES
    if ask.kind.name == "vacuum":
        flipped = mark in ("abs", "gauge")
    return Piece(value, value, value, unit.name, words, _half(number, unit.factor), flipped, assumed)


def _mark_words(mark: str, ask: Ask) -> str:
    if mark == "abs" and ask.kind.name != "absolute pressure":
        return f" absolute, with the air at {show(ask.atmosphere, 'absolute pressure', 'kPa')}"
    if mark == "gauge" and ask.kind.name == "absolute pressure":
        return f" above the air's {show(ask.atmosphere, 'absolute pressure', 'kPa')}"
    if mark == "vac" and ask.kind.name != "vacuum":
        return " below atmosphere"
    return ""


def _si(value: float, unit: Unit, mark: str, ask: Ask) -> float:
    """The SI value of a number in a unit; pressures are turned to what is asked: gauge, vacuum or absolute."""
    plain = value * unit.factor + unit.offset
    name = ask.kind.name
    if name not in PRESSURES:
        return plain
    if name == "pressure":
        return {"abs": plain - ask.atmosphere, "vac": -abs(plain)}.get(mark, plain)
    if name == "vacuum":
        return {"abs": ask.atmosphere - plain, "gauge": -plain, "": abs(plain), "vac": abs(plain)}[mark]
    return {"gauge": plain + ask.atmosphere, "vac": ask.atmosphere - abs(plain)}.get(mark, plain)


def _settled(number: Number, unit: Unit, mark: str, ask: Ask) -> float:
    """Of the two ways to read ``1,234`` the believable one; refused when both are."""
    value = _si(number.value, unit, mark, ask)
    if number.other is None:
        return value
    other = _si(number.other, unit, mark, ask)
    fits = [v for v in (value, other) if ask.kind.low <= v <= ask.kind.high]
    if number.round and other in fits:
        return other
    if len(fits) == 2:
        hint = f"Type {show_number(number.other)} or {show_number(number.value)}."
        ask.refuse(f"{ask.shown} can be read in two ways.", hint)
    return fits[0] if fits else value


def refuse_single(text: str, ask: Ask) -> NoReturn:
    """Say why this is no value of the kind: no number, a unit of another kind, or an unknown unit."""
    split = split_number(text)
    if split is None:
        ask.not_a_value()
    rest, _ = _gauge_mark(split[1], ask)
    if not rest:
        ask.not_a_value()
    first = find_unit(rest.split(" ")[0], ask.kind.name)
    if first is not None:
        value = f"{show_number(split[0].value)} {first.name}"
        ask.refuse(f"{ask.shown} holds more than a value.", f"Type the value alone, like {value}.")
    others = [name for name in kinds_with(rest) if name != ask.kind.name]
    ask.wrong_unit(rest, others, near_units(rest, ask.kind.name))
