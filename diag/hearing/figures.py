"""Figures in what was said: every number with its unit, the words before it that belong to it, and where it "
"stands."""

from __future__ import annotations

import re
from dataclasses import dataclass

from diag.hearing.fractions import INCHES, in_parts
from diag.hearing.halves import in_one
from diag.hearing.numbers import number_of, spelled_out
from diag.hearing.roughly import said_plainly

_UNITS = (
    (r"psi|pounds?(?! an| per)|lbs?\b(?!/)", "psi", "pressure"),
    (r"bars?\b", "bar", "pressure"),
    (r"kpa\b|kilopascals?", "kPa", "pressure"),
    (r"(?:in|ins|inch|inches|\")(?: ?of)? ?(?:vacuum|vac|mercury|hg)|inhg|(?:in|ins|inch|inches)\b"
     r"(?! \d| the| a | my| an |to|side)", "inHg", "vacuum"),
    (r"v\b|volts?\b", "V", "voltage"),
    (r"a\b|amps?\b|amperes?", "A", "current"),
    (r"l ?/ ?h\b|lph\b|litres? (?:an|per|a) hour|liters? (?:an|per|a) hour", "L/h", "flow"),
    (r"gph\b|gallons? (?:an|per) hour", "gph", "flow"),
    (r"l ?/ ?min\b|lpm\b|l ?p ?m\b|lit(?:re|er)s? (?:a|per) minute", "L/min", "flow"),
    (r"(?:b?hp|horse(?:s|power)?|ps|brake)\b", "hp", "power"),
    (r"(?:litres?|liters?|l|pints?|quarts?|ml|cc)(?: of \w+)? (?:in|every|per) (?:about )?(?:\d+|thirty|sixty|ten|"
     r"fifteen|twenty) ?(?:s|sec|secs|seconds?|min|minutes?)?\b", "", "caught"),
    (r"cc ?/ ?min\b|cc(?: a minute| per minute)?\b", "cc/min", "injector"),
    (r"mm\b|mil(?:l?s?)\b|millimet(?:re|er)s?", "mm", "length"),
    (r"(?:m|met(?:re|er)s?)\b", "m", "altitude"),
    (r"(?:ft|feet|foot)\b", "ft", "altitude"),
    (r"%|per ?cent\b|percent\b", "%", "share"),
)  # fmt: skip
_NOT_MEANT = (
    r"thousand|hundred|rpm|revs?\b|turns?\b|minutes?|mins?\b|seconds?|secs?\b|s\b|hours?|days?|weeks?|months?|years?|"
    r"miles?|km\b|degrees?|cylinders?|doors?|gears?|times?|tanks?|primes?|gauges?|of them|pumps?|o'?clock|pin\b|"
    r"st\b|nd\b|rd\b|th\b|quarters?|"
    r"x \d|injectors?|plugs?|keys?(?! on)|filters?|relays?|more\b|short\b|lean|amp fuse|amp\b(?= fuse)"
)
_HEDGE = (
    r"about|around|roughly|nearly|almost|approximately|over|under|above|below|more than|less than|at least|at most|"
    r"up to|just over|just under|maybe|only|some"
)
_KEPT_HEDGE = re.compile(r"^(?:about|around|roughly|nearly|almost|approximately|just over|just under)$")
_LIMIT = re.compile(r"^(?:over|under|above|below|more than|less than|at least|at most|up to)$")
_FIGURE = re.compile(
    rf"(?P<hedge>\b(?:{_HEDGE})\s+)?(?<![\w.-])(?<!\d/)(?P<number>\d+(?:\.\d+)?)(?:\s*(?P<span>-|to|"
    rf"or)\s*(?P<second>\d+(?:\.\d+)?))?"
    rf"(?P<unit>\s*(?:{'|'.join(f'(?P<u{at}>{said})' for at, (said, _, _) in enumerate(_UNITS))}))?(?![\w]|\.\d|/\d)",
    re.IGNORECASE,
)  # fmt: skip
_VOLTS_AT = re.compile(r"\s*at the (?:pump|battery|plug|posts?|terminals?)\b", re.IGNORECASE)
_DENIED_BELOW = re.compile(
    r"(?:not|n't|never|wont|cannot|cant|unable|impossible|"
    r"fail\w*)\b[^,.;]{0,30}$",
    re.IGNORECASE,
)
_RATE = re.compile(
    r"\s*(?:(?:every|per|each) (?:\w+ )?(?:seconds?|secs?|minutes?|mins?|hour)|(?:either|each|one) way|up and down|"
    r"back and forth|to and fro)\b",
    re.IGNORECASE,
)
_BY = re.compile(r"\b(?:by|another|extra)\s*$", re.IGNORECASE)
_RISES_TO = re.compile(
    r"(?:shoots?|shot|go(?:es)?|jump(?:s|ed)?|rises?|rose|climb(?:s|ed)?|creeps?|crept|straight|spike[sd]?|came|comes|gets?|"
    r"got|went|flew|leapt|ran|straight|right)(?: \w+){0,2} up to\s*$|\b(?:shot|jumped|flew|leapt|straight) up to\s*$",
    re.IGNORECASE,
)
_AFTER = re.compile(rf"\s*(?:{_NOT_MEANT})", re.IGNORECASE)
_DASH = re.compile(r"(?:\b(?:dash|an)\s?|(?<![\w.)-])-\s?)(\d{1,2})(?: an)?\b(?!\.\d)", re.IGNORECASE)
_FALL = re.compile(
    r"\bfrom\s+(?:about\s+)?\d+(?:\.\d+)?(?:\s*(?:psi|bar|kpa))?\s+(?:down\s+)?(?=to\s+(?:about\s+|around\s+)?\d)",
    re.IGNORECASE,
)
_NOTHING = re.compile(
    r"\b(?:drops?|falls?|fell|goes|sinks?|bleeds?|bled|reads?|shows?|(?<!there )is|at|"
    r"dropped)(?: from \d+(?:\.\d+)? ?(?:psi|bar|kpa)?| \w+)?? (?:to )?"
    r"(?:nothing|nil|nought)\b(?! (?:wrong|to|new|else|left|there|i|we|you)\b)",
    re.IGNORECASE,
)
_OF_REVS = re.compile(r"\b(?:rev ?counter|tacho(?:meter)?|tach|rpm|engine speed|revs)\b", re.IGNORECASE)
_TIMES = re.compile(r"(?<=\d) ?[x\u00d7*] ?(?=\d)", re.IGNORECASE)
_SIGNED = re.compile(r"\b(?:minus|plus)\s+(?:about\s+)?$", re.IGNORECASE)
_TENTHS = re.compile(
    r"\b(?P<whole>ten|eleven|twelve|thirteen|fourteen|1[0-4]) (?P<part>one|two|three|four|five|six|seven|eight|nine)\b"
    r"(?! hundred| thousand| ?o'?clock| times)",
    re.IGNORECASE,
)  # "twelve six" is how volts are read out
_OF_VOLTS = re.compile(
    r"\b(?:battery|alternator|volts?|voltage|multi ?meter|pump (?:only )?(?:sees|gets))\b[^,.;\d]{0,24}$", re.IGNORECASE
)
_DASH_SAID = re.compile(r"\bdash[ -](?P<size>four|five|six|eight|ten|twelve)\b", re.IGNORECASE)
_APART = re.compile(
    r"(?:about |around |some |a good |only )?\b\d+(?:\.\d+)?(?: ?(?:psi|bar|kpa|pounds|lbs?))?\s+"
    r"(?:too (?P<too>high|much|low|little)|(?P<way>over|above|higher than|more than|up on|below|under|lower than|"
    r"less than|down on|short of) (?=(?:what|where|spec\w*|target|normal|usual|it (?:should|ought)|"
    r"(?:the|its|my) (?:book|manual|target|spec\w*|handbook|paper\w*|figure|usual|normal|proper|right|sheet|card))\b)"
    r"[^,.;]*|(?P<short>short|too few)(?=[,.;]|$))",
    re.IGNORECASE,
)
_LESS = ("below", "under", "lower than", "less than", "down on", "short of")
_UNIT = re.compile(rf"(?:{'|'.join(said for said, _, _ in _UNITS)})(?![a-z])", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Figure:
    """One figure as said.

    ``kind`` is pressure, vacuum, voltage, current, flow, caught, injector, length, altitude, share, dash or bare;
    ``typed`` is the value as ``diag.quantities`` reads it; ``start`` and ``end`` say where it stands in the text.
    """

    kind: str
    typed: str
    number: float
    start: int
    end: int


def with_digits(text: str) -> str:
    """Numbers in words made digits where a figure is meant, see ``diag.hearing.numbers``; "drops to nothing" too."""
    if _OF_VOLTS.search(text) or re.search(r"\bbattery\b", text, re.IGNORECASE):
        text = _TENTHS.sub(_with_tenths, text)
    text = in_parts(said_plainly(text))
    text = _DASH_SAID.sub(lambda f: f"dash {number_of(f['size']):g}", text)
    told = in_one(_APART.sub(_how_far_off, spelled_out(_TIMES.sub(" x ", text), _UNIT, _AFTER)))
    return told if _OF_REVS.search(told) else _NOTHING.sub(lambda f: f[0].rsplit(" ", 1)[0] + " 0 psi", told)


def _with_tenths(found: re.Match[str]) -> str:
    whole = found["whole"] if found["whole"].isdigit() else f"{number_of(found['whole']):g}"
    return f"{whole}.{number_of(found['part']):g}"


def _how_far_off(found: re.Match[str]) -> str:
    """A difference from what it should be is no reading, but a complaint: "20 psi over what the book says"."""
    if found["short"]:
        return "too low"
    low = found["too"].lower() in ("low", "little") if found["too"] else found["way"].lower() in _LESS
    return "pressure too low" if low else "pressure too high"


def figures_in(text: str) -> list[Figure]:
    """Every figure of a text in which numbers are digits already; counts, times and engine speeds are left out."""
    text = _FALL.sub(lambda fall: " " * len(fall[0]), text)  # of "from 43 to 5" only the end was read in that state
    taken: list[tuple[int, int]] = []
    found = []
    for dash in _DASH.finditer(text):
        if dash[0][0] != "-" or text[: dash.start()].endswith(" "):
            taken.append(dash.span())
            found.append(Figure("dash", f"dash {dash[1]}", float(dash[1]), *dash.span()))
    for inch in INCHES.finditer(text):
        taken.append(inch.span())
        found.append(Figure("length", f"{inch[1]} in", int(inch[2]) / int(inch[3]), *inch.span()))
    for match in _FIGURE.finditer(text):
        if any(start <= match.start("number") < end for start, end in taken):
            continue
        figure = _figure(match, text)
        if figure is not None:
            found.append(figure)
    return sorted(found, key=lambda figure: figure.start)


def _figure(match: re.Match[str], text: str) -> Figure | None:
    kind, unit = "bare", ""
    for at, (_, name, of) in enumerate(_UNITS):
        if match[f"u{at}"]:
            kind, unit = of, name or match[f"u{at}"]
            break
    else:
        if _AFTER.match(text[match.end() :]):
            return None
    if kind == "bare" and 4 <= float(match["number"]) <= 16 and _OF_VOLTS.search(text[: match.start("number")]):
        kind, unit = "voltage", "V"
    if kind == "bare" and "." in match["number"] and 6 <= float(match["number"]) <= 15:
        kind, unit = ("voltage", "V") if _VOLTS_AT.match(text[match.end() :]) else (kind, unit)
    if kind == "current" and re.match(r"\s+(?:\w+ )?(?:fuse|relay|breaker)\b", text[match.end() :], re.IGNORECASE):
        return None  # what a part is made for was not measured
    if kind in ("pressure", "bare") and _RATE.match(text[match.end() :]):
        return None  # how fast or how far it moves was told, not where it stands
    if _BY.search(text[: match.start()]):
        return None  # a difference is no reading
    if kind == "bare" and _OF_REVS.search(text[: match.start()][-30:]):
        return None
    if kind == "bare" and _SIGNED.search(text[: match.start("number")]):
        return None  # a correction, such as that of a fuel trim
    number = match["number"]
    if match["second"] and match["span"].lower() != "or":
        number = f"{number} to {match['second']}"
    hedge = " ".join((match["hedge"] or "").lower().split())
    if hedge in ("below", "under", "above", "over", "more than") and _DENIED_BELOW.search(text[: match.end("hedge")]):
        hedge = ""  # "never below 43" is the lowest that was read, "never above 30" the highest
    if hedge == "up to" and _RISES_TO.search(text[: match.end("hedge")]):
        hedge = ""
    words = f"{hedge} " if _KEPT_HEDGE.match(hedge) or _LIMIT.match(hedge) else ""
    if hedge == "maybe":
        words = "about "
    return Figure(kind, f"{words}{number} {unit}".strip(), float(match["number"]), match.start(), match.end())
