"""Typed text -> an amount in SI, with words that say how it was understood."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass

from diag.quantities.kinds import PRESSURES, find_unit, kind_of, kinds_with, near_units, unit_of
from diag.quantities.numbers import NUMBER, Number, split_number, tidy
from diag.quantities.piece import ABOUT, PETROL, Ask, Piece
from diag.quantities.showing import show, show_number
from diag.quantities.special import special
from diag.quantities.units import ATMOSPHERE, Unit, fold, imperial_of
from diag.trust.text import one_line, unfit

LONGEST = 80  # characters in a typed value
OPEN_METER = 1.0e6  # ohm; what an "open" reading is at least: common practice, no source


@dataclass(frozen=True, slots=True)
class Amount:
    """A value in SI as typed by a person.

    ``low == high == value`` for a plain number; ``low < high`` for "38 to 44" or "about 40"; ``bound`` is "above" or
    "below" when only a limit was told ("over 100 psi"), and the limit is then in all three. ``understood`` says how the
    text was read, for showing back.
    """

    value: float
    low: float
    high: float
    bound: str
    unit: str
    text: str
    understood: str


_ABOUT = re.compile(
    r"(?:about|around|approx(?:imately|\.)?|roughly|circa|ca\.?|nearly|almost|just (?:over|under|above|below)|some|~)\s*(?=\S)",
    re.IGNORECASE,
)
_ABOUT_END = re.compile(
    r"(?<=\S)\s*(?:,? or so|or thereabouts|ish|-ish|,? roughly|,? approx\.?|,? about)$", re.IGNORECASE
)
_ABOVE = re.compile(
    r"(?:over|above|more than|greater than|higher than|at least|no less than|not less than|not below|min(?:imum)?(?= \d)|>=?)"
    r"\s*(?=\S)",
    re.IGNORECASE,
)
_BELOW = re.compile(
    r"(?:under|below|less than|lower than|at most|no more than|not more than|not above|not over|up to|max(?:imum)?(?= \d)|<=?)"
    r"\s*(?=\S)",
    re.IGNORECASE,
)
_PEGGED = re.compile(
    r"(?:pegged|pinned|off (?:the )?(?:scale|clock)|full scale|maxed(?: out)?)(?: (?:at|on|past))?\s*", re.IGNORECASE
)
_ABOVE_END = re.compile(
    r"^([^+]*\d[^+]*?)(?:\s*\+\s*([a-z].*)?|\s+(?:or (?:more|above|over|higher)|plus))$", re.IGNORECASE
)
_BELOW_END = re.compile(r"^(.*\d.*?)\s+or (?:less|below|under|lower)$", re.IGNORECASE)
_SPAN = re.compile(
    rf"(?:between |from )?({NUMBER})(?:\s*([^\s\d-].*?))??\s*(?:\.{{2,}}|-|\bto\b|\bor\b|\band\b|\buntil\b)\s*({NUMBER})\s*(.*)",
    re.IGNORECASE,
)
_TOLERANCE = re.compile(rf"({NUMBER})\s*(.*?)\s*(?:±|\+ ?/ ?-|\+-|plus or minus)\s*({NUMBER})\s*(.*)", re.IGNORECASE)
_UNKNOWN = frozenset({"?", "unknown", "not known", "don't know", "dont know", "no idea", "n/a", "na", "-", "not sure"})
_OPEN = frozenset({"ol", "o.l", "o.l.", "open", "open circuit", "infinite", "infinity", "no continuity"})
_GAUGE_WORDS: tuple[tuple[str, re.Pattern[str]], ...] = (
    ("abs", re.compile(r"\s*(?:\babsolute|\babs\.?|\(a(?:bs)?\)|(?<=psi)a|(?<=bar)a|(?<=pa) ?a)$", re.IGNORECASE)),
    (
        "gauge",
        re.compile(
            r"\s*(?:\bgauge|\bgage|\(g\)|(?<=psi)g|(?<=bar)g|(?<=pa) ?g|\b(?:of )?boost|\babove atmosphere(?:ic)?)$",
            re.IGNORECASE,
        ),
    ),
    (
        "vac",
        re.compile(
            r"\s*(?:\b(?:of )?vacuum|\b(?:of )?vac\.?|\bbelow atmosphere(?:ic)?|\bof depression|\bdepression)$",
            re.IGNORECASE,
        ),
    ),
)


def parse(
    text: str,
    kind: str,
    default_unit: str = "",
    where: str = "",
    *,
    atmosphere: float = ATMOSPHERE,
    density: float = PETROL,
    imperial: bool = False,
    full_scale: float | None = None,
) -> Amount:
    """What a person typed, in SI.

    Args:
        text: for example ``43.5``, ``3 bar``, ``38 to 44``, ``about 40 psi``, ``over 100``, ``dash 6``, ``1 pint in 30 s``.
        kind: one of ``KINDS``.
        default_unit: the unit of a value typed without one; empty for the kind's usual unit.
        where: the field, for the message.
        atmosphere: Pa, to turn absolute pressures into gauge pressures and back.
        density: kg/m3 of the fuel, to turn lb/h into a volume flow.
        imperial: a pint, quart or gallon not called US is an imperial one.
        full_scale: SI value at the end of the gauge's scale, for "pegged".

    Raises:
        QuantityError: the text is no such value, or one that cannot be true.
        UnknownNameError: no such kind or default unit (a mistake in the rule book, not of the person).
    """
    asked = kind_of(kind)
    unit_of(default_unit, kind)
    ask = Ask(one_line(text, LONGEST), asked, default_unit, where, atmosphere, density, imperial)
    if len(text) > LONGEST:
        ask.refuse(f"This is too long for {asked.a}.")
    bad = unfit(text.strip())
    if bad:
        ask.refuse(f"There is a {bad} in this value.")
    tidied = tidy(text)
    if not tidied:
        ask.refuse(f"Nothing was typed for {asked.a}.")
    if tidied.lower() in _UNKNOWN:
        ask.refuse(
            f"{ask.shown} is no value.", f"Leave it empty when it is not known, or type it like {asked.example}."
        )
    amount = _amount(tidied, ask, full_scale)
    _believable(amount, ask)
    return amount


def _amount(text: str, ask: Ask, full_scale: float | None) -> Amount:
    if ask.kind.name == "resistance" and text.lower() in _OPEN:
        words = "no continuity: above 1 megohm"
        return Amount(OPEN_METER, OPEN_METER, OPEN_METER, "above", "ohm", ask.text, words)
    pegged = _PEGGED.match(text)
    if pegged:
        return _pegged(text[pegged.end() :], ask, full_scale)
    for bound, start, end in (("above", _ABOVE, _ABOVE_END), ("below", _BELOW, _BELOW_END)):
        found = start.match(text)
        if found:
            return _bounded(text[found.end() :], bound, ask)
        found = end.match(text)
        if found:
            tail = found.group(2) if bound == "above" and found.group(2) else ""
            return _bounded(f"{found.group(1)} {tail}".strip(), bound, ask)
    found = _ABOUT.match(text)
    trimmed = _ABOUT_END.sub("", text[found.end() :] if found else text)
    about = found is not None or trimmed != text
    piece = _piece(trimmed, ask)
    if piece is None:
        piece = _span(trimmed, ask)
    elif about:
        low, high = piece.low - piece.half, piece.high + piece.half
        if ask.kind.low >= 0:
            low = max(low, 0.0)
        piece = Piece(
            piece.value, low, high, piece.unit, f"about {piece.words}", piece.half, piece.flipped, piece.assumed
        )
    return _finish(piece, "", ask)


def _pegged(rest: str, ask: Ask, full_scale: float | None) -> Amount:
    if rest:
        piece = _need(rest, ask)
        if piece.value != 0:
            return _finish(piece, "above", ask)
        return _finish(piece, "", ask)
    if full_scale is None:
        ask.refuse(f"{ask.shown} does not say where the scale ends.", f"Type it like over {ask.kind.example}.")
    words = f"past the end of the scale: above {show(full_scale, ask.kind.name, ask.default_unit or None)}"
    return Amount(full_scale, full_scale, full_scale, "above", ask.default_unit or ask.kind.usual, ask.text, words)


def _bounded(rest: str, bound: str, ask: Ask) -> Amount:
    return _finish(_need(rest, ask), bound, ask)


def _need(text: str, ask: Ask) -> Piece:
    piece = _piece(text, ask)
    if piece is None:
        ask.not_a_value()
    return piece


def _finish(piece: Piece, bound: str, ask: Ask) -> Amount:
    words = f"{bound} {piece.words}" if bound else piece.words
    if bound and piece.flipped:
        bound = "below" if bound == "above" else "above"
    usual = unit_of(ask.default_unit, ask.kind.name)
    if piece.assumed:
        words += " (unit taken from the case)" if ask.default_unit else " (the usual unit)"
    elif (
        piece.unit != usual.name and "which is" not in words and ask.kind.name not in ("bore", "wire", "ratio", "count")
    ):
        shown = show(piece.value, ask.kind.name, usual.name)
        words += f", which is {shown}"
    if bound:
        return Amount(piece.value, piece.value, piece.value, bound, piece.unit, ask.text, words)
    low, high = sorted((piece.low, piece.high))
    return Amount(piece.value, low, high, "", piece.unit, ask.text, words)


def _span(text: str, ask: Ask) -> Piece:
    found = _TOLERANCE.fullmatch(text)
    if found:
        return _tolerance(found, ask)
    found = _SPAN.fullmatch(text)
    if not found:
        return _refuse_single(text, ask)
    first, first_unit, last, last_unit = (part or "" for part in found.groups())
    unit = last_unit or first_unit
    low = _need(f"{first} {first_unit or unit}".strip(), ask)
    high = _need(f"{last} {unit}".strip(), ask)
    words = f"{low.words} to {high.words}" if low.unit != high.unit else f"{_bare(low.words)} to {high.words}"
    ends = (low.low, low.high, high.low, high.high)
    return Piece((low.value + high.value) / 2, min(ends), max(ends), high.unit, words, 0.0, high.flipped, high.assumed)


def _bare(words: str) -> str:
    return words.split(" ", 1)[0]


def _tolerance(found: re.Match[str], ask: Ask) -> Piece:
    number, unit, give, give_unit = (part or "" for part in found.groups())
    middle = _need(f"{number} {unit or ('' if give_unit == '%' else give_unit)}".strip(), ask)
    spread = split_number(give)
    if spread is None:
        ask.not_a_value()
    width = abs(spread[0].value)
    if give_unit.strip() == "%":
        half = abs(middle.value) * width / 100
    else:
        known = find_unit(give_unit or unit or ask.default_unit or ask.kind.usual, ask.kind.name)
        if known is None:
            ask.wrong_unit(give_unit, [], near_units(give_unit, ask.kind.name))
        half = width * known.factor
    words = f"{middle.words} give or take {give}{give_unit if give_unit == '%' else ''}"
    return Piece(
        middle.value, middle.value - half, middle.value + half, middle.unit, words, 0.0, middle.flipped, middle.assumed
    )


# ---- one number with its unit --------------------------------------------------------------------------------------


def _piece(text: str, ask: Ask) -> Piece | None:
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
    spelled = rest or _unit_without_words(number, ask)
    unit = find_unit(spelled, ask.kind.name)
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
    name = unit.spoken or unit.name
    typed = number.value if number.other is None or _si(number.value, unit, mark, ask) == value else number.other
    words = f"{show_number(typed)} {name}".strip()
    if ask.kind.name == "count" or (ask.kind.name == "fraction" and unit.name == "share"):
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
    if len(fits) == 2:
        hint = f"Type {show_number(number.other)} or {show_number(number.value)}."
        ask.refuse(f"{ask.shown} can be read in two ways.", hint)
    return fits[0] if fits else value


def _refuse_single(text: str, ask: Ask) -> Piece:
    split = split_number(text)
    if split is None:
        ask.not_a_value()
    rest, _ = _gauge_mark(split[1], ask)
    if not rest:
        ask.not_a_value()
    others = [name for name in kinds_with(rest) if name != ask.kind.name]
    ask.wrong_unit(rest, others, near_units(rest, ask.kind.name))


def _believable(amount: Amount, ask: Ask) -> None:
    """Refuse what no car's fuel system can have."""
    kind = ask.kind
    ends = (amount.low, amount.value, amount.high)
    if not all(math.isfinite(v) for v in ends):
        ask.not_a_value()
    if kind.name == "vacuum" and amount.high > ask.atmosphere * 1.0005:
        deepest = show(ask.atmosphere, "vacuum", ask.default_unit or None)
        ask.refuse(f"{ask.shown} is deeper than the air is heavy ({deepest}).", "Check the number and its unit.")
    if kind.name == "vacuum" and amount.low < 0:
        ask.refuse(f"{ask.shown} is above atmosphere, so it is no vacuum.", "Give it as a pressure, or check the unit.")
    if kind.name == "absolute pressure" and amount.low < 0:
        ask.refuse(
            f"{ask.shown} is below nothing: an absolute pressure cannot be negative.", "Check the number and its unit."
        )
    if kind.name == "pressure" and amount.low < -ask.atmosphere * 1.0005:
        ask.refuse(f"{ask.shown} is deeper than a perfect vacuum.", "Check the number and its unit.")
    slack = 1e-9 * max(abs(kind.low), abs(kind.high))
    if min(ends) < kind.low - slack or max(ends) > kind.high + slack:
        unit = ask.default_unit or kind.usual
        span = f"{show(kind.low, kind.name, unit)} to {show(kind.high, kind.name, unit)}"
        ask.refuse(f"{ask.shown} cannot be right for {kind.a} here ({span}).", "Check the number and its unit.")
