"""What the auditor knows of dangers, written in words of the trade and apart from the stop rules of the book.

Each danger is raised by what was told, bars acts or single steps, and is over only once it was repaired. The second
half is advice that must never be given, whatever the state of the job. Common practice, no source, where none is named.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass, field, replace

from diag.casework.entries import CarFact, Entry, ReadingTaken, SignAnswer
from diag.rulebook.findings import BOTH
from diag.rulebook.model import RuleBook
from diag.rulebook.steps import Action, Remedy, Step

RUN = frozenset({"key on", "runs pump", "runs engine", "cranks engine", "drives car"})
PULL = frozenset({"loads engine"})
SQUEEZE = frozenset({"pinches hose", "applies air"})
MOST = 87.0 * 6894.757  # Pa: the highest dead-head figure that service texts quote
PRESSURES = ("rail pressure", "pump outlet pressure", "regulator outlet pressure")
PROVOKED = {
    "pinched": "pinches hose",
    "hand-air": "applies air",
}  # in names of points: what drives the pressure up there
# In names of parameters: once new, they may have been what held the pressure up.
EASES = ("set pressure", "return", "seat", "valve lift", "dead end", "ports swapped", "regulator", "pump", "gauge",
         "sensor", "filter", "feed")  # fmt: skip


@dataclass(frozen=True)
class Danger:
    """``signs``: sign to the answers that raise it (empty: anything but no); then what it bars and what repairs it."""

    name: str
    signs: dict[str, tuple[str, ...]]
    bars: frozenset[str] = frozenset()
    steps: tuple[str, ...] = ()
    repaired_by: tuple[str, ...] = ()  # words in the name of the repair
    renews: tuple[str, ...] = ()  # parameters one of which the repair renews
    unless_unboosted: bool = False
    seen_gone: bool = False  # the sign must be answered no after the repair as well


HOSES = ("renew-feed-hose", "renew-return-hose", "joint", "return-leak")
FEEDS = ("set pressure", "reference boost share", "reference gain", "pump flow factor", "pump rated flow", "pump duty",
         "filter restriction", "feed bore", "feed restriction hole", "diaphragm friction", "sensor scale")  # fmt: skip
REFERENCE = ("reference-hose", "clip-boost-hose", "hose-refitted", "reference-source", "hose-to-regulator")

NEW_PUMP = frozenset({"pump flow factor", "pump rated flow", "pump relief pressure"})
SETS_BASE = ("reset-base-pressure", "lock-the-adjuster")

DANGERS = (
    Danger("fuel in the reference hose", {"fuel-in-reference-hose": ()}, RUN | PULL, renews=("diaphragm leak",),
           seen_gone=True),
    Danger("fuel in the damper's hose", {"damper-hose-wet": ()}, RUN | PULL, repaired_by=("damper",), seen_gone=True),
    Danger("fuel in the oil", {"oil-smells-of-fuel": ()}, PULL | {"drives car"}, renews=("diaphragm leak",),
           repaired_by=("injector", "damper", "regulator"), seen_gone=True),
    Danger("a valve in the reference", {"valve-in-reference-hose": ()}, PULL, repaired_by=REFERENCE,
           unless_unboosted=True, seen_gone=True),
    Danger("a fuel hose that is bad", {"fuel-hose-cracked": ()}, RUN | PULL | SQUEEZE, repaired_by=HOSES,
           seen_gone=True),
    Danger("a hose not made for injection", {"hose-marking-wrong": ()}, RUN | PULL | SQUEEZE, repaired_by=HOSES,
           seen_gone=True),
    Danger("a fuse that blew again", {"fuse-blows-again": ()}, RUN | PULL, repaired_by=("wire", "pump")),
    Danger("lean in boost", {"lean-in-boost": ()}, PULL, renews=FEEDS),
    Danger("lean under load", {"lean-readings": ()}, PULL, renews=FEEDS),
    Danger("knock", {"knocks-under-load": ()}, PULL, renews=FEEDS),
    Danger("a reference off or capped", {"hose-condition": ("off-or-split", "capped")}, PULL, repaired_by=REFERENCE,
           unless_unboosted=True, seen_gone=True),
    Danger("a leaking reference", {"reference-bubbles": ()}, PULL, repaired_by=REFERENCE, unless_unboosted=True,
           seen_gone=True),
    Danger("the wrong fuel", {"jar-wrong-fuel": ()}, RUN | PULL, repaired_by=("drain",), seen_gone=True),
    Danger("rubber at the seam", {"diaphragm-edge-shows": ()}, steps=("retighten-cover", "cover-screw-feel"),
           repaired_by=("diaphragm", "regulator", "suspect")),
)  # fmt: skip


@dataclass
class DangerWatch:
    """Follows one job and says which dangers are there; an empty text means none bars the step."""

    book: RuleBook
    there: dict[str, bool] = field(default_factory=dict)  # danger -> repaired but not yet seen gone
    over: bool = False  # a pressure above the limit was read and nothing that may hold it up has been renewed since
    measured: frozenset[str] = frozenset()  # "pump", "base": what was measured for certain that says something of it
    driven: frozenset[str] = frozenset()  # acts that drove a pressure above the limit: not once more
    unboosted: bool = False
    tried: frozenset[str] = frozenset()

    def heard(self, entry: Entry) -> None:
        """One answer, reading or figure of the car."""
        if isinstance(entry, CarFact) and entry.field == "boost":
            self.unboosted = entry.text.strip().split(" ")[0] in ("0", "0.0", "none", "no")
        elif isinstance(entry, ReadingTaken):
            self._read(entry)
            self._measure(entry)
        elif isinstance(entry, SignAnswer) and entry.answer != "not known":
            seen = (entry.sure, entry.source) == ("sure", "own eyes")
            self.measured |= {"pump"} if seen and entry.check == "lamp-at-pump" else frozenset()
            self._answer(entry.sign, entry.answer, seen)

    def _read(self, entry: ReadingTaken) -> None:
        high = float("inf") if entry.bound == "above" else entry.high
        if entry.reading not in PRESSURES or high <= MOST:
            return
        drives = frozenset(act for part, act in PROVOKED.items() if part in entry.point)
        self.driven |= drives
        self.over = self.over or not drives  # an adjuster that was turned in stays in

    def _measure(self, entry: ReadingTaken) -> None:
        """Pressure, flow, volts and amps tell of a pump; only rail pressure without the reference tells of the base."""
        if (entry.sure, entry.source) != ("sure", "own eyes"):
            return
        if _any(entry.reading, ("pressure", "flow", "caught", "pump volts", "pump amps")):
            self.measured |= {"pump"}
        point = self.book.points.get(entry.point)
        if entry.reading == "rail pressure" and point is not None and point.settings.get("hose") == "off":
            self.measured |= {"base"}

    def _unmeasured(self, step: Step) -> str:
        if not isinstance(step, Remedy):
            return ""
        new_pump = "pump" in step.id and "opens system" in step.does and NEW_PUMP & set(step.redraws)
        if new_pump and "pump" not in self.measured:
            return "a new pump before anything was measured"
        if step.id in SETS_BASE and "base" not in self.measured:
            return "the base is set and was never read with the reference hose off"
        return ""

    def _answer(self, sign: str, answer: str, seen: bool) -> None:
        for danger in DANGERS:
            if sign not in danger.signs:
                continue
            raising = danger.signs[sign]
            if (not raising and answer != "absent") or any(part in raising for part in answer.split(BOTH)):
                self.there[danger.name] = False
            elif self.there.get(danger.name) and seen:  # hearsay and guesses take no danger away
                del self.there[danger.name]

    def did(self, step: Step) -> None:
        """A step was done."""
        renewed = set(step.redraws) if isinstance(step, Remedy | Action) else set()
        for danger in DANGERS:
            named = isinstance(step, Remedy | Action) and any(word in step.id for word in danger.repaired_by)
            if danger.name in self.there and (named or renewed & set(danger.renews)):
                if danger.seen_gone:
                    self.there[danger.name] = True
                else:
                    del self.there[danger.name]
        if any(word in name for name in renewed for word in EASES):
            self.over, self.driven = False, frozenset()

    def objection(self, step: Step) -> str:
        """The danger that bars this step."""
        acts: set[str] = set(step.does)
        unmeasured = self._unmeasured(step)
        if unmeasured:
            return unmeasured
        if self.over and acts & (RUN | PULL | SQUEEZE):
            return "more than 87 psi was read and nothing was repaired since"
        if self.driven & acts:
            return "more than 87 psi was read when this was done, and nothing was repaired since"
        for danger in DANGERS:
            if danger.name not in self.there or (danger.unless_unboosted and self.unboosted):
                continue
            if acts & danger.bars or step.id in danger.steps:
                return danger.name
        return ""

    def copy(self) -> DangerWatch:
        """A watch that may run ahead of the job."""
        return replace(self, there=dict(self.there))


# ------------------------------------------------------------------ advice that is never given

_NEVER = (
    (r"\b(cut|shorten|grind)\w*\b.*\bspring", "a spring is not shortened"),
    (r"\bunfused\b|\bpermanent\w* (bridge|lead)", "no unfused or lasting bridge"),
    (r"\b(tape|sealant)\b.*\b(o-ring|flare|cone)", "no sealant on an O-ring or cone seat"),
    (r"\b(starting fluid|start spray)\b", "no starting fluid"),
    (r"\bpour\w*\b.*\bfuel\b.*\bintake", "no fuel poured into the intake"),
    (r"\bpour\w*\b.*\bwater\b.*\b(hot|fuel)", "no water on hot parts"),
    (r"\bdriv\w+\b.*\bcap (off|loose)", "no driving with the filler cap off"),
    (r"\bplug\b.*\b(nipple|port)\b.*\bdriv", "the reference is not plugged to drive on"),
    (r"\bopen (bucket|bowl)\b", "no open vessel for fuel"),
    (r"\bleave\b.*\b(squeezed|pinched|clamped|bridged)\b", "a test aid is not left in place"),
    (r"\braise\b.*\bbase\b.*\bcover", "base pressure is not raised to cover a fault"),
)  # fmt: skip
_FORBIDDEN = re.compile(r"\b(never|not|no|nobody|without|stop|until)\b|\?", re.I)


def bad_advice(step: Step) -> str:
    """What in the words of a step must not be said; empty when nothing is wrong with them."""
    for line in (*step.steps, *step.aloud):
        for sentence in re.split(r"(?<=[.?!])\s+", line):
            if _FORBIDDEN.search(sentence):
                continue
            for pattern, wrong in _NEVER:
                if re.search(pattern, sentence, re.I):
                    return f"{wrong}: {sentence}"
    return _out_of_order(step)


def _out_of_order(step: Step) -> str:
    """Running, clamping and opening in the words of one step, in an order that hurts."""
    text = " ".join(step.steps).casefold()
    acts = set(step.does)
    if "adjuster" in text and re.search(r"turn\w* (it|the adjuster)[^.]* (in|out)\b", text) and "thread" not in text:
        return "a turn of the adjuster without bounds"
    if {"pinches hose", "runs pump"} <= acts and not _any(text, ("pump off", "pumps off", "off", "two seconds")):
        return "a clamp while the pump runs"
    release, battery = text.find("release the pressure"), text.find("battery negative off")
    if "opens system" in acts and 0 <= release < battery:
        return "the battery is taken off after fuel was let out"
    return ""


def _any(text: str, words: Iterable[str]) -> bool:
    return any(word in text for word in words)
