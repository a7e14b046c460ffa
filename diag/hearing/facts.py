"""Facts of the car in what was said: fuel, sizes, boost, height, tank. Yes/no facts of the book are heard as words."""

from __future__ import annotations

import re
from dataclasses import dataclass

from diag.hearing.figures import Figure
from diag.hearing.numbers import number_of


@dataclass(frozen=True, slots=True)
class Fact:
    """A field of the car with its value as typed, and the words it was heard in."""

    field: str
    value: str
    start: int
    end: int


def _says(pattern: str) -> re.Pattern[str]:
    return re.compile(rf"\b(?:{pattern})(?!\w)", re.IGNORECASE)


_SHARE = r"(?:{}) ?(?:%|per ?cent|percent)(?: of)? (?:ethanol|alcohol)"
_FUELS = (
    ("E85", _says(rf"e ?85|corn fuel|flex ?fuel|{_SHARE.format('85|eighty[ -]five')}")),
    ("E10", _says(rf"e ?10|{_SHARE.format('10|ten')}")),
    ("methanol", _says(r"(?:on|runs|burns|running|of|with|to) methanol|methanol (?:in|fuel|car|engine)")),
    ("ethanol", _says(r"(?:on|runs|burns|running|of|with|to) (?:neat |pure )?ethanol|(?<!cent )(?<!% )ethanol (?:in|"
     r"fuel|car|engine)")),
    ("petrol", _says(rf"e ?5|{_SHARE.format('5|five')}")),  # as all petrol may hold, EN 228 (from memory)
    ("petrol", _says(r"(?:ordinary|normal|pump|plain|regular|super|unleaded) (?:petrol|gas(?:oline)?|unleaded)|"
                     r"(?:runs|it is|it's|car is|car,) on (?:petrol|gas(?:oline)?)|petrol (?:engine|car|injection)|"
                     r"(?:petrol|gasoline) in the tank|on pump (?:petrol|gas)")),
)  # fmt: skip
_NO_BOOST = (
    (
        "0 psi",
        _says(
            r"(?:no|without an?|not an?) (?:turbo|blower|supercharger|boost)|(?:naturally|normally) aspirated|"
            r"non ?turbo|"
            r"(?-i:N\.?A\b\.?|N/A)|nat(?:urally)? asp\w*|unblown|no forced induction"
        ),
    ),
)
_LEFT = _says(r"from (?:pump )?(?:gas|petrol|gasoline|e ?10|e ?85|ethanol|methanol) to")
_PUMPS = (
    ("two", _says(r"(?:twin|two|double|pair of) (?:fuel )?pumps")),
    ("staged", _says(r"staged pumps?|second pump (?:that )?comes in")),
)
_PLACE = (
    (
        "in tank",
        _says(
            r"in[ -]?tank (?:fuel )?pump|pump (?:is |sits |lives |hangs )?(?:a |an |the )?"
            r"(?:[^,.;]{0,40}? )?in(?:side)? (?:the |my )?tank"
        ),
    ),
    (
        "outside",
        _says(
            r"(?:inline|in line|external|outside) pump|pump (?:is )?(?:outside|under the (?:car|floor)|"
            r"slung under)"
        ),
    ),
)
_LEVEL = (
    ("3/4", _says(r"(?:tank) (?:is |about |roughly )*(?:three quarters|3/4)(?: full)?|three quarters of a tank")),
    ("1/2", _says(r"(?:tank) (?:is |about |roughly )*half(?: full)?|half a tank|1/2 (?:a |of a )?tank|half full")),
    ("1/3", _says(r"(?:tank) (?:is |about |roughly )*a third(?: full)?|a third of a tank|third full")),
    ("2/3", _says(r"(?:tank) (?:is |about |roughly )*two thirds(?: full)?|two thirds of a tank")),
    ("1/8", _says(r"(?:tank) (?:is |about |roughly )*an eighth(?: full)?|an eighth of a tank left")),
    (
        "1/4",
        _says(
            r"(?:a )?quarter (?:of a )?tank|1/4 (?:of a )?tank|"
            r"(?:tank) (?:is |about |roughly )*(?:at )?a quarter(?: full)?|tank is (?:a )?quarter(?: full)?"
        ),
    ),
    ("100 %", _says(r"tank is full|brim ?full tank")),
)
_LINE_AFTER = re.compile(r"\s*(?:bore )?(return|feed|supply)\b", re.IGNORECASE)
_RETURN = re.compile(r"\breturn\b", re.IGNORECASE)
_FEED = re.compile(r"\bfeed|supply\b", re.IGNORECASE)
_INJECTOR = re.compile(r"\binjectors?\b", re.IGNORECASE)
_COUNTED = re.compile(r"\b(\d{1,2}) x (?=\d{2,4}(?:\.\d)? ?cc)", re.IGNORECASE)
_COUNT = r"([2-9]|1[0-2]|two|three|four|five|six|eight|ten|twelve)"
_CYLINDERS = re.compile(
    rf"(?<!on )(?<!of )(?<!all )(?<!only )(?<!the )(?<!these )(?<!those )\b{_COUNT}[ -](?:cylinders?|cyls?|"
    rf"pots?|bangers?)\b"
    rf"(?! (?:is|are|was|were|dead|down|lean|not|fir\w+|miss\w+|out|run\w*|weak))\b"
    rf"|\b(?:straight|inline|flat)[ -]{_COUNT}\b(?! out)|(?-i:\bV)([68]|10|12)\b",
    re.IGNORECASE,
)
_FUEL_ALONE = re.compile(r"(?:^|[,;:]|\band)\s*(petrol|gasoline)\s*(?=[,;.]|and\b|$)", re.IGNORECASE)
_PUMP = re.compile(r"\bpump\b", re.IGNORECASE)
_HEIGHT = re.compile(
    r"\b(?:altitude|height|high|above sea|up at|up here|sea level|we are at|we'?re at|we'?re (?:up )?at|lives? at|"
    r"metres up|pass|mountain)",
    re.IGNORECASE,
)
_MEASURED = re.compile(r"\b(?:return|rtn|measured|caught|catch|only (?:gives|get|makes))\b", re.IGNORECASE)
_BARE_FLOW = re.compile(
    r"\bpump(?:'s| is) (?:a |an )?(?P<is>\d{2,3})\b(?! ?(?:psi|bar|v|volts?|a|amps?|kpa|"
    r"%)\b)|\b(?P<of>\d{2,3}) (?:\w+ )?pump\b",
    re.IGNORECASE,
)


def facts_in(text: str, figures: list[Figure]) -> list[Fact]:
    """Fields of the car told in a sentence in which numbers are digits already."""
    found = [*_words(text), *(fact for figure in figures if (fact := _sized(text, figure)) is not None)]
    counted = _COUNTED.search(text)
    if counted:
        found.append(Fact("injector-count", counted[1], *counted.span()))
    built = _CYLINDERS.search(text)
    if built and not counted:
        count = built[1] or built[2] or built[3]
        number = count if count.isdigit() else f"{number_of(count):g}"
        found.append(Fact("injector-count", number, *built.span()))
    alone = _FUEL_ALONE.search(text)
    if alone and not any(fact.field == "fuel" for fact in found):
        found.append(Fact("fuel", "petrol", *alone.span(1)))
    if not any(fact.field == "pump-flow" for fact in found):
        bare = _BARE_FLOW.search(text)
        size = int(bare["is"] or bare["of"]) if bare else 0
        if bare and 40 <= size <= 900 and size % 5 == 0:
            found.append(Fact("pump-flow", f"{size} L/h", *bare.span()))
    return found


def _words(text: str) -> list[Fact]:
    found = []
    left = _LEFT.search(text)
    for field, table in (
        ("fuel", _FUELS),
        ("pumps", _PUMPS),
        ("pump-place", _PLACE),
        ("fuel-level", _LEVEL),
        ("boost", _NO_BOOST),
    ):
        for value, says in table:
            hit = says.search(text, left.end() - 2 if left and field == "fuel" else 0)
            doubted = hit and field == "fuel-level" and _BUT.match(text[hit.end() :])
            if hit and not doubted and not _denied(text, hit.start(), field == "fuel-level"):
                found.append(Fact(field, value, *hit.span()))
                break
    return found


_BUT = re.compile(r",? (?:but|yet|though)\b", re.IGNORECASE)  # "the gauge says half full but it acts like empty"
_NOT_SO = re.compile(
    r"\b(?:when|if|until|once|no|not|never|without|isn'?t|nor|under|below|less than|over|above|past)\s+"
    r"(?:\w+\s+){0,2}$",
    re.IGNORECASE,
)
_ONLY_THEN = re.compile(
    r"\b(?:whenever|till|unless|more than|only|worse|better|fine|on|after)\s+(?:(?!tank\b)[\w']+\s+){0,3}$",
    re.IGNORECASE,
)


def _denied(text: str, at: int, level: bool) -> bool:
    """Whether the words before deny it, or only name it as a condition ("when the tank is full").

    ``level``: of a tank's level, which is a condition more often than a fact.
    """
    return _NOT_SO.search(text[:at]) is not None or (level and _ONLY_THEN.search(text[:at]) is not None)


def _line_of(before: str, after: str) -> str:
    """Whether a size is that of the feed or of the return: the one named last before it, else the first after it."""
    at_once = _LINE_AFTER.match(after)
    if at_once:
        return "return-bore" if at_once[1].lower() == "return" else "feed-bore"
    for words, at in ((before, -1), (after, 0)):
        named = [("return-bore", m.start()) for m in _RETURN.finditer(words)]
        named += [("feed-bore", m.start()) for m in _FEED.finditer(words)]
        if named:
            return sorted(named, key=lambda pair: pair[1])[at][0]
    return ""


def _sized(text: str, figure: Figure) -> Fact | None:
    """A figure that is a size of the car, by its unit and the part it stands beside."""
    span = (figure.start, figure.end)
    if figure.kind in ("length", "dash"):
        field = _line_of(text[: figure.start][-40:], text[figure.end :][:25])
        return Fact(field, figure.typed, *span) if field else None
    if figure.kind == "injector" and (_INJECTOR.search(text) or _COUNTED.search(text)):
        return Fact("injector-flow", figure.typed.removesuffix(" cc/min") + " cc/min", *span)
    if figure.kind == "power" and figure.number >= 20:
        return Fact("engine-power", figure.typed, *span)
    if figure.kind == "flow" and _PUMP.search(text) and not _MEASURED.search(text[: figure.start][-25:]):
        return Fact("pump-flow", figure.typed, *span)
    if figure.kind == "altitude" and figure.number <= 20 and not _HEIGHT.search(text):
        field = _line_of(text[: figure.start][-60:], text[figure.end :][:25])
        return Fact(field.replace("-bore", "-length"), figure.typed, *span) if field else None
    if figure.kind == "altitude" and _HEIGHT.search(text) and figure.number >= 100:
        return Fact("altitude", figure.typed, *span)
    return None
