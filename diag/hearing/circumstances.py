"""Who is at the car, what is at hand and what the car's papers say, told in one line. Pure."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field

from diag.fuelsystem.car import read_field
from diag.hearing.facts import facts_in
from diag.hearing.figures import Figure, figures_in, with_digits
from diag.hearing.readings import target_hose
from diag.rulebook.steps import Person
from diag.support.errors import UserError

_PEOPLE: tuple[tuple[Person, str], ...] = (
    ("untrained", r"untrained|owner|customer|no training|layman|beginner"),
    (
        "hobbyist",
        r"hobbyist|hobby|amateur|trainee|apprentice|learner|home mechanic|enthusiast|used to (?:working on )?cars",
    ),
    ("shop", r"shop|workshop|full equipment|garage with everything"),
    ("mechanic", r"mechanic|technician|trained|tech"),
)
_TOOL_NAMES: dict[str, str] = {
    "earlier-log": r"(?:(?:earlier|old|data|pressure) ?)?logs?",
    "second-gauge": r"(?:second|other|another|two) (?:fuel )?(?:pressure )?gauges?",
    "vacuum-gauge": r"vacuum gauge",
    "compression-gauge": r"compression (?:gauge|tester)",
    "exhaust-gauge": r"exhaust gauge",
    "pressure-gauge": r"(?:fuel )?(?:pressure )?gauge",
    "hand-vacuum-pump": r"(?:hand )?vacuum pump|hand pump",
    "multimeter": r"(?:multi)?meter|voltmeter",
    "test-lamp": r"test (?:lamp|light)",
    "spark-tester": r"spark tester",
    "hose-clamp": r"(?:hose )?clamps?|pinch(?:ing)? clamps?",
    "container": r"(?:a |petrol |fuel |metal )can|jerry ?can|container",
    "hand-tools": r"spanners?|hand ?tools|wrenches|screwdrivers?",
    "torch": r"torch|flash ?light|lamp",
    "clear-hose": r"clear hose",
    "stopwatch": r"watch|stop ?watch",
    "scan-display": r"scan(?: ?tool| ?display)?|laptop|display|code reader",
    "helper": r"helper|second person|one to help|help",
    "regulated-air": r"(?:compressed |regulated )?(?<!fresh )(?<!open )air|compressor",
    "soap-water": r"soap(?:y)? water",
    "fused-lead": r"fused lead|jump(?:er)? lead",
    "thermometer": r"thermometer",
}
EVERYDAY = frozenset(("hand-tools", "torch", "stopwatch", "container"))
"""What nobody who works on cars thinks of naming when they say what is at hand."""
TOOL_WORDS = re.compile(rf"\b(?:{'|'.join(_TOOL_NAMES.values())})s?\b", re.IGNORECASE)
_ALONE = re.compile(r"\b(?:alone|on my own|by myself|no helper|nobody (?:else|to help))\b", re.IGNORECASE)
_HELPER = re.compile(
    r"\b(?:(?<!no )(?<!without )(?<!without a )helper|two of us|second person|someone to help|(?:my|a) (?:mate|friend|"
    r"wife|husband|son|daughter|colleague) (?:helps|to help|is here|here|with me))\b",
    re.IGNORECASE,
)
_PHONE = re.compile(r"\b(?:by|on the|over the) (?:tele)?phone\b|\bcaller\b", re.IGNORECASE)
_CLOSED = re.compile(r"\b(?:closed (?:room|garage)|indoors|doors? (?:shut|closed)|in a pit)\b", re.IGNORECASE)
_AIRED = re.compile(r"\b(?:outdoors|outside|in the open|aired|doors? open|fresh air)\b", re.IGNORECASE)
_NO_TOOLS = re.compile(r"\b(?:no|without) (?:any )?tools\b|\bbare hands\b", re.IGNORECASE)
_ALL_TOOLS = re.compile(r"\b(?:all (?:the )?tools|everything(?: at hand)?|full equipment)\b", re.IGNORECASE)
_LISTS = re.compile(r"\b(?:only|just|tools:|nothing else|that is all|that's all|nothing more)(?!\w)", re.IGNORECASE)
_DENIES = re.compile(
    r"\b(?:no|without(?: an?)?|haven't (?:got )?an?|have no|not got an?|don't have an?|nor)\s+([^,;.]*)", re.IGNORECASE
)
_FUEL = re.compile(r"\b(?:petrol|gasoline|gas|e10|e85|ethanol|methanol)\b", re.IGNORECASE)
_FUELS = {"gasoline": "petrol", "gas": "petrol", "e10": "E10", "e85": "E85"}
_RANGE = re.compile(
    r"\b(?:regulator|adjustable|adjusts|range)\b[^,;.\d]{0,30}?(?P<low>\d+(?:\.\d+)?) ?(?P<unit1>psi|bar|kpa)?"
    r" ?(?:to|-|up to|and) ?(?P<high>\d+(?:\.\d+)?) ?(?P<unit2>psi|bar|kpa)?",
    re.IGNORECASE,
)
_TOOL_PARTS = re.compile(r"\s*[,;.]\s*|\s+(?:and|with|plus|has|have|got)\s+", re.IGNORECASE)
_BESIDE_TOOLS = re.compile(
    r"\b(?:an?|the|my|his|her|our|with|and|plus|some|good|own|old|small|fuel|boost|has|have|got|on|by|over|phone|telephone|"
    r"caller|alone|here|there|two|one)\b",
    re.IGNORECASE,
)
_PARTS = re.compile(r"\s*[,;]\s+|\s*;\s*|\.\s+")
_JOINT = re.compile(r"[;.]\s|,(?!\d)|;")
_CYLINDERS = re.compile(r"\b(\d{1,2}) (?:injectors|cylinders)\b", re.IGNORECASE)
_BY_KIND = {
    "flow": "pump-flow", "injector": "injector-flow", "vacuum": "idle-vacuum", "altitude": "altitude",
    "length": "return-bore", "dash": "return-bore", "voltage": "battery-volts", "share": "fuel-level",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Circumstances:
    """What one line told; None and empty where it told nothing."""

    person: Person | None = None
    by_phone: bool | None = None
    helper: bool | None = None
    aired: bool | None = None
    missing: frozenset[str] = frozenset()
    only: frozenset[str] | None = None  # the tools at hand when they were listed; all others are not
    all_tools: bool = False
    papers: Mapping[str, str] = field(default_factory=dict)  # field of the car -> value as typed

    @property
    def about_people(self) -> bool:
        """Whether anything but the car was told."""
        return (
            any(x is not None for x in (self.person, self.by_phone, self.helper, self.aired, self.only))
            or bool(self.missing)
            or self.all_tools
        )


def tools_named(text: str) -> frozenset[str]:
    """The tools that some words name."""
    found: set[str] = set()
    left = text.lower()
    for tool, said in _TOOL_NAMES.items():
        pattern = re.compile(rf"\b(?:{said})\b")
        if pattern.search(left):
            found.add(tool)
            left = pattern.sub(" ", left)
    return frozenset(found)


def circumstances(text: str, unit_pressure: str = "psi") -> Circumstances:
    """Everything that one line tells about people, tools and papers."""
    person = next((who for who, said in _PEOPLE if re.search(rf"\b(?:{said})\b", text, re.IGNORECASE)), None)
    missing = frozenset(tool for part in _DENIES.findall(text) for tool in tools_named(re.sub(r"\bor\b", ",", part)))
    only = _just_these(text, missing, person)
    if _NO_TOOLS.search(text):
        only = frozenset()
    helper = False if _ALONE.search(text) else True if _HELPER.search(text) else None
    return Circumstances(
        person,
        True if _PHONE.search(text) else None,
        helper,
        False if _CLOSED.search(text) else True if _AIRED.search(text) else None,
        missing - {"helper"},
        only,
        _ALL_TOOLS.search(text) is not None,
        papers(text, unit_pressure),
    )


def _just_these(text: str, missing: frozenset[str], person: Person | None) -> frozenset[str] | None:
    """The tools at hand, where a line names them so that all others are not; None where it does not.

    "Only", "just", or something beside it that is not there ("no gauge, a screwdriver") makes it a list, and so does
    somebody without training, who has no more than what comes to mind. Tools that are named for themselves ("hobbyist,
    gauge") are a list too, beside what everybody has who works on cars.
    """
    if _ALL_TOOLS.search(text):
        return None
    there = tools_named(_DENIES.sub(" ", text)) - {"helper"}
    lists = _LISTS.search(text) is not None or bool(missing - {"helper"}) or person == "untrained"
    if there and lists:
        return there
    return there | (EVERYDAY - missing) if _names_just_tools(text) else None


def _names_just_tools(text: str) -> bool:
    """Whether a part of a line is tools and people and nothing else, so that the tools are told for themselves."""
    for part in _TOOL_PARTS.split(_DENIES.sub(" ", text)):
        left = re.sub(rf"\b(?:{'|'.join(said for _, said in _PEOPLE)})\b", " ", part, flags=re.IGNORECASE)
        if tools_named(left) - {"helper"} and not _BESIDE_TOOLS.sub(" ", TOOL_WORDS.sub(" ", left)).strip(" .&+"):
            return True
    return False


def not_taken(text: str, unit_pressure: str = "psi") -> tuple[str, ...]:
    """The parts of a line, as said, of which nothing was understood, or of whose figures one was left."""
    left = []
    whole = circumstances(text, unit_pressure)
    values = " ".join(whole.papers.values())
    for part in (part.strip(" .") for part in _PARTS.split(text)):
        told = circumstances(part, unit_pressure)
        figures = re.findall(r"\d+(?:\.\d+)?", with_digits(part))
        heard = told.about_people or bool(told.papers) or bool(tools_named(part)) or _says_hose(part, whole)
        if part and (not (heard or figures) or any(figure not in values for figure in figures)):
            left.append(part)
    return tuple(left)


def _says_hose(text: str, whole: Circumstances) -> bool:
    return "target-hose" in whole.papers and bool(target_hose(text))


def papers(text: str, unit_pressure: str = "psi") -> dict[str, str]:
    """Fields of the car in a line that speaks of the car's papers; a bare pressure is the target."""
    told = with_digits(text)
    figures = figures_in(told)
    found = {fact.field: fact.value for fact in facts_in(told, figures)}
    used = {(fact.start, fact.end) for fact in facts_in(told, figures)}
    fuel = _FUEL.search(told)
    if "fuel" not in found and fuel:
        found["fuel"] = _FUELS.get(fuel[0].lower(), fuel[0].lower())
    span = _RANGE.search(told)
    if span:
        unit = span["unit2"] or span["unit1"] or unit_pressure
        found |= {"regulator-low": f"{span['low']} {unit}", "regulator-high": f"{span['high']} {unit}"}
        used |= {(f.start, f.end) for f in figures if span.start() <= f.start < span.end()}
    count = _CYLINDERS.search(told)
    if count:
        found.setdefault("injector-count", count[1])
    for figure in figures:
        name = _field_of(figure, told)
        if (figure.start, figure.end) not in used and name and name not in found:
            found[name] = figure.typed
    hose = target_hose(told) if "target-pressure" in found else ""
    if hose:
        found["target-hose"] = hose
    return {name: value for name, value in found.items() if _fits(name, value, unit_pressure)}


def _field_of(figure: Figure, text: str) -> str:
    before = _JOINT.split(text[: figure.start])[-1]
    near = f"{before[-30:]}{text[figure.start : figure.end]}{_JOINT.split(text[figure.end :])[0][:30]}".lower()
    if figure.kind == "pressure" or (figure.kind == "bare" and "target" in near):
        for word, name in (("boost", "boost"), ("gauge", "gauge-span"), ("relief", "pump-relief")):
            if word in near:
                return name
        return "target-pressure"
    if figure.kind == "length":
        return "feed-bore" if "feed" in near else "return-bore"
    return _BY_KIND.get(figure.kind, "")


def _fits(name: str, value: str, unit_pressure: str) -> bool:
    try:
        return read_field(name, value, unit_pressure) is not None
    except UserError:
        return False
