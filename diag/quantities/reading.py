"""Typed text -> an amount in SI, with words that say how it was understood."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass

from diag.quantities.kinds import find_unit, kind_of, near_units, unit_of
from diag.quantities.numbers import NUMBER, split_number, tidy
from diag.quantities.piece import PETROL, Ask, Piece
from diag.quantities.showing import show, show_number
from diag.quantities.single import piece_of, refuse_single
from diag.quantities.units import ATMOSPHERE
from diag.support.text import one_line, unfit

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


_NO_SECOND_UNIT = frozenset({"bore", "wire", "ratio", "count"})


def _start(words: str) -> re.Pattern[str]:
    return re.compile(rf"(?:{words})\s*(?=\S)", re.IGNORECASE)


_ABOUT = _start(
    r"about|around|approx(?:imately|\.)?|roughly|circa|ca\.?|nearly|almost|just (?:over|under|above|below)|some|~"
)
_ABOUT_WITHIN = re.compile(r"((?:\bin|\bper|/) ?)(?:about |around |~ ?)", re.IGNORECASE)
_ABOUT_END = re.compile(r"(?<=\S)\s*(?:,? or so|or thereabouts|-?ish|,? roughly|,? approx\.?|,? about)$", re.IGNORECASE)
_ABOVE = _start(
    r"over|above|more than|greater than|higher than|at least|no less than|not less than|not below"
    r"|min(?:imum)?(?= \d)|>=?"
)
_BELOW = _start(
    r"under|below|less than|lower than|at most|no more than|not more than|not above|not over|up to"
    r"|max(?:imum)?(?= \d)|<=?"
)
_PEGGED = re.compile(
    r"(?:pegged|pinned|off (?:the )?(?:scale|clock)|full scale|maxed(?: out)?)(?: (?:at|on|past))?\s*", re.IGNORECASE
)
_ABOVE_END = re.compile(
    r"^([^+]*\d[^+]*?)(?:\s*\+\s*([a-z].*)?|\s+(?:or (?:more|above|over|higher)|plus|minimum))$", re.IGNORECASE
)
_BELOW_END = re.compile(r"^(.*\d.*?)\s+(?:or (?:less|below|under|lower)|max(?:imum)?\.?)$", re.IGNORECASE)
_SPAN = re.compile(
    rf"(?:between |from )?({NUMBER})(?:\s*([^\s\d-].*?))??\s*"
    rf"(?:\.{{2,}}|-|\bto\b|\bor\b|\band\b|\buntil\b)\s*({NUMBER})\s*(.*)",
    re.IGNORECASE,
)
_TOLERANCE = re.compile(rf"({NUMBER})\s*(.*?)\s*(?:±|\+ ?/ ?-|\+-|plus or minus)\s*({NUMBER})\s*(.*)", re.IGNORECASE)
_UNKNOWN = frozenset({"?", "unknown", "not known", "don't know", "dont know", "no idea", "n/a", "na", "-", "not sure"})
_OPEN = frozenset({"ol", "o.l", "o.l.", "open", "open circuit", "infinite", "infinity", "no continuity"})


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
        text: for example ``43.5``, ``3 bar``, ``38 to 44``, ``about 40 psi``, ``over 100``, ``1 pint in 30 s``.
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
    within = _ABOUT_WITHIN.sub(r"\1", text)  # a pint in about 30 s
    about_within, text = within != text, within
    found = _ABOUT.match(text)
    trimmed = _ABOUT_END.sub("", text[found.end() :] if found else text)
    about = about_within or found is not None or trimmed != text
    piece = piece_of(trimmed, ask)
    if piece is None:
        piece = _span(trimmed, ask)
    elif about:
        low, high = piece.low - piece.half, piece.high + piece.half
        if ask.kind.low >= 0:
            low = max(low, 0.0)
        words = f"about {piece.words}, taken as {_range_words(low, high, piece.unit, ask)}"
        piece = Piece(piece.value, low, high, piece.unit, words, piece.half, piece.flipped, piece.assumed)
    return _finish(piece, "", ask)


def _range_words(low: float, high: float, unit: str, ask: Ask) -> str:
    name = unit if find_unit(unit, ask.kind.name) else ask.default_unit
    first, last = (show(v, ask.kind.name, name or None) for v in sorted((low, high)))
    tail = first.partition(" ")[2]
    return f"{first.removesuffix(tail).strip()} to {last}"


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
    piece = piece_of(text, ask)
    return refuse_single(text, ask) if piece is None else piece


def _finish(piece: Piece, bound: str, ask: Ask) -> Amount:
    words = f"{bound} {piece.words}" if bound else piece.words
    if bound and piece.flipped:
        bound = "below" if bound == "above" else "above"
    usual = unit_of(ask.default_unit, ask.kind.name)
    if piece.assumed:
        words += " (unit taken from the case)" if ask.default_unit else " (the usual unit)"
    elif piece.unit != usual.name and ask.kind.name not in _NO_SECOND_UNIT and "which is" not in words:
        number = (piece.value - usual.offset) / usual.factor
        # A megohm told in ohms helps nobody.
        words += f", which is {show(piece.value, ask.kind.name, usual.name)}" if 0.01 <= abs(number) < 1e5 else ""
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
        return refuse_single(text, ask)
    first, first_unit, last, last_unit = (part or "" for part in found.groups())
    unit = last_unit or first_unit
    low = _need(f"{first} {first_unit or unit}".strip(), ask)
    high = _need(f"{last} {unit}".strip(), ask)
    number, _, tail = low.words.partition(" ")
    same = tail == high.words.partition(" ")[2]  # "38 psi", "44 psi" -> "38 to 44 psi"
    words = f"{number if same else low.words} to {high.words}"
    ends = (low.low, low.high, high.low, high.high)
    return Piece((low.value + high.value) / 2, min(ends), max(ends), high.unit, words, 0.0, high.flipped, high.assumed)


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
        percent = kind.name == "fraction" and 1 < amount.value <= 100 and amount.unit == "share"
        hint = f"Did you mean {show_number(amount.value)} %?" if percent else "Check the number and its unit."
        ask.refuse(f"{ask.shown} cannot be right for {kind.a} here ({span}).", hint)
