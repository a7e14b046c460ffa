"""Who is at the car, what is at hand and what the car's papers say, told in one line. Pure."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field

from diag.fuelsystem.car import read_field
from diag.hearing.facts import facts_in
from diag.hearing.figures import Figure, figures_in, with_digits
from diag.rulebook.model import Person
from diag.support.errors import UserError

_PEOPLE: tuple[tuple[Person, str], ...] = (
    ("untrained", r"untrained|owner|customer|no training|layman|beginner"),
    ("hobbyist", r"hobbyist|hobby|amateur|home mechanic|enthusiast|used to (?:working on )?cars"),
    ("shop", r"shop|workshop|full equipment|garage with everything"),
    ("mechanic", r"mechanic|technician|trained|tech"),
)
_TOOL_NAMES: dict[str, str] = {
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
    "container": r"(?:petrol |fuel )?can|container",
    "hand-tools": r"spanners?|hand ?tools|wrenches|screwdrivers?",
    "torch": r"torch|flash ?light|lamp",
    "clear-hose": r"clear hose",
    "stopwatch": r"watch|stop ?watch",
    "scan-display": r"scan(?: ?tool| ?display)?|laptop|display|code reader",
    "helper": r"helper|second person|one to help|help",
    "regulated-air": r"(?:compressed |regulated )?air|compressor",
    "soap-water": r"soap(?:y)? water",
    "fused-lead": r"fused lead|jump(?:er)? lead",
    "thermometer": r"thermometer",
}
TOOL_WORDS = re.compile(rf"\b(?:{'|'.join(_TOOL_NAMES.values())})s?\b", re.IGNORECASE)
_ALONE = re.compile(r"\b(?:alone|on my own|by myself|no helper|nobody (?:else|to help))\b", re.IGNORECASE)
_HELPER = re.compile(
    r"\b(?:with (?:a )?helper|helper (?:here|there)|two of us|second person|someone to help|a helper)\b", re.I
)
_PHONE = re.compile(r"\b(?:by|on the|over the) (?:tele)?phone\b|\bcaller\b", re.IGNORECASE)
_CLOSED = re.compile(r"\b(?:closed (?:room|garage)|indoors|doors? (?:shut|closed)|in a pit)\b", re.IGNORECASE)
_AIRED = re.compile(r"\b(?:outdoors|outside|in the open|aired|doors? open|fresh air)\b", re.IGNORECASE)
_NO_TOOLS = re.compile(r"\b(?:no|without) (?:any )?tools\b|\bbare hands\b", re.IGNORECASE)
_ALL_TOOLS = re.compile(r"\b(?:all (?:the )?tools|everything(?: at hand)?|full equipment)\b", re.IGNORECASE)
_ONLY = re.compile(r"\b(?:only|just|tools:)\s*([^;.]*)", re.IGNORECASE)
_DENIES = re.compile(
    r"\b(?:no|without(?: an?)?|haven't got an?|have no|not got an?|don't have an?|nor)\s+([^,;.]*)", re.IGNORECASE
)
_FUEL = re.compile(r"\b(?:petrol|gasoline|gas|e10|e85|ethanol|methanol)\b", re.IGNORECASE)
_FUELS = {"gasoline": "petrol", "gas": "petrol", "e10": "E10", "e85": "E85"}
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
    listed = _ONLY.search(text)
    only = tools_named(listed[1]) if listed and tools_named(listed[1]) else None
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


def papers(text: str, unit_pressure: str = "psi") -> dict[str, str]:
    """Fields of the car in a line that speaks of the car's papers; a bare pressure is the target."""
    told = with_digits(text)
    figures = figures_in(told)
    found = {fact.field: fact.value for fact in facts_in(told, figures)}
    used = {(fact.start, fact.end) for fact in facts_in(told, figures)}
    fuel = _FUEL.search(told)
    if "fuel" not in found and fuel:
        found["fuel"] = _FUELS.get(fuel[0].lower(), fuel[0].lower())
    count = _CYLINDERS.search(told)
    if count:
        found.setdefault("injector-count", count[1])
    for figure in figures:
        name = _field_of(figure, told)
        if (figure.start, figure.end) not in used and name and name not in found:
            found[name] = figure.typed
    return {name: value for name, value in found.items() if _fits(name, value, unit_pressure)}


def _field_of(figure: Figure, text: str) -> str:
    near = text[max(0, figure.start - 18) : figure.end + 14].lower()
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
