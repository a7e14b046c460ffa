"""The objects a rule book is made of. Everything here is frozen data; loading and checking live beside it.

Probabilities are plain floats strictly between 0 and 1, times are minutes, physical values are SI.
Names refer to each other by id; the loader guarantees that every id exists.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

from diag.support.errors import Place

PRESENT = "present"
ABSENT = "absent"
NOT_KNOWN = "not known"
BOTH = " & "  # between two choices of one sign that hold together, as a hose off at one end and kinked at the other

Person = Literal["untrained", "hobbyist", "mechanic", "shop"]
PERSONS: tuple[Person, ...] = ("untrained", "hobbyist", "mechanic", "shop")

Act = Literal[
    "key on",  # primes the pump on most cars, so it counts as running it
    "runs pump",
    "runs engine",
    "cranks engine",
    "drives car",
    "loads engine",  # full load or boost: a hard pull, on rollers or on the road
    "opens system",  # a fuel joint is opened, fuel will come out
    "pinches hose",
    "loads spring",  # a bonnet with the set spring behind it comes off
    "applies air",
    "disturbs joint",  # a fuel joint is moved or remade, so an earlier dry look no longer counts
    "sparks",  # meter leads, relays, battery terminals, lamps near fuel
]
ACTS: tuple[Act, ...] = (
    "key on",
    "runs pump",
    "runs engine",
    "cranks engine",
    "drives car",
    "loads engine",
    "opens system",
    "pinches hose",
    "loads spring",
    "applies air",
    "disturbs joint",
    "sparks",
)

Kind = Literal["damage", "sizing", "setting", "instrument", "outside", "exit"]
KINDS: tuple[Kind, ...] = ("damage", "sizing", "setting", "instrument", "outside", "exit")


@dataclass(frozen=True, slots=True)
class Basis:
    """Where a figure comes from."""

    kind: Literal["source", "computed", "judgement", "common practice, no source"]
    why: str


@dataclass(frozen=True, slots=True)
class Frequency:
    """Share of jobs with exactly one fault in which it is this one; scaled over the book when compiled."""

    share: float
    words: str
    basis: Basis


@dataclass(frozen=True, slots=True)
class Effect:
    """What a damage does to one named parameter of the fuel system: times, add or set, low to high (SI)."""

    parameter: str
    how: Literal["times", "add", "set"]
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class Condition:
    """A comparison on a quantity the physics predicts, evaluated inside every draw.

    True when ``reading`` at ``point`` lies on ``side`` of ``base + offset``, and, where ``larger`` and
    ``than`` are given, the quantity ``larger`` also exceeds the quantity ``than`` at the same point.
    ``base`` is "zero", "target" (the car's target rail pressure) or another quantity's name. With ``less_point`` it is
    the difference that counts: the reading at ``point`` less the same reading there. ``spread`` is the standard
    deviation of where people draw the line, in the quantity's unit; with 0 the line is sharp.
    """

    reading: str
    point: str
    side: Literal["above", "below"]
    base: str
    offset: float
    larger: str = ""
    than: str = ""
    less_point: str = ""
    spread: float = 0.0


@dataclass(frozen=True, slots=True)
class Cause:
    """A fault, a wrong setting, an unfit part or an honest non-fault."""

    id: str
    title: str
    area: str
    kind: Kind
    in_words: str
    how_often: Frequency
    remedies: tuple[str, ...]
    confirmed_by: tuple[str, ...] = ()
    more_likely_when: Mapping[str, float] = field(default_factory=dict)  # context id -> factor on the odds
    leads_to: Mapping[str, float] = field(default_factory=dict)  # cause id -> factor on the odds of both together
    acts_on: tuple[Effect, ...] = ()
    is_when: Condition | None = None
    shows: Mapping[str, float] = field(default_factory=dict)  # sign or state id -> chance that it alone shows it
    answers: Mapping[str, Mapping[str, float]] = field(default_factory=dict)  # choice sign -> answer -> probability
    hides: Mapping[str, float] = field(default_factory=dict)  # sign or state id -> chance that it suppresses it
    mistaken_for: tuple[str, ...] = ()
    phrases: tuple[str, ...] = ()  # everyday words that lead to it
    tell_apart: str = ""
    source: str = ""
    fits: tuple[str, ...] = ()  # what the car must have for it to be possible, see diag.rulebook.built
    place: Place = field(default=Place("?"), compare=False)

    @property
    def is_physical(self) -> bool:
        """Whether the fuel-system model can see this cause."""
        return bool(self.acts_on) or self.is_when is not None


@dataclass(frozen=True, slots=True)
class Answer:
    """One possible answer of a choice sign; ``usual`` is its chance when no cause of the book speaks."""

    id: str
    words: str
    usual: float
    phrases: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Sign:
    """Something seen, heard, smelled or felt.

    Three kinds: yes/no by noisy-OR (``chance`` is the leak: chance sign or false report), choice (``choices``
    not empty: one categorical row per cause), and yes/no that the physics predicts (``seen_when``, with more
    conditions in ``seen_also``, of which ``joined`` "all" or "any" must hold).
    """

    id: str
    title: str
    ask: str
    means: str
    chance: float
    phrases: tuple[str, ...] = ()
    symptom: bool = False
    choices: tuple[Answer, ...] = ()
    seen_when: Condition | None = None
    seen_also: tuple[Condition, ...] = ()
    joined: Literal["all", "any"] = "all"
    silent: Mapping[str, str] = field(default_factory=dict)  # cause id -> why it does not show it
    told_right: float = 0.95
    told_wrongly: float = 0.05
    fits: tuple[str, ...] = ()  # what the car must have for the question to make sense
    seen_with: tuple[str, ...] = ()  # tools without which nobody can have seen it, so that nobody is asked
    wet: bool = False  # present means liquid fuel or its smell outside: the safety wall listens to it
    basis: Basis = Basis("judgement", "")
    place: Place = field(default=Place("?"), compare=False)

    @property
    def possible(self) -> tuple[str, ...]:
        """The answers that say something, in order."""
        return tuple(a.id for a in self.choices) if self.choices else (PRESENT, ABSENT)

    @property
    def conditions(self) -> tuple[Condition, ...]:
        """All conditions by which the physics decides it; empty for a sign that words alone decide."""
        return () if self.seen_when is None else (self.seen_when, *self.seen_also)


@dataclass(frozen=True, slots=True)
class State:
    """A hidden condition (running rich) behind signs that are nearly one fact."""

    id: str
    title: str
    chance: float
    seen_as: Mapping[str, float]  # sign id -> chance of the sign while the state is there
    basis: Basis = Basis("judgement", "")
    place: Place = field(default=Place("?"), compare=False)


@dataclass(frozen=True, slots=True)
class Point:
    """A stated condition at which a reading is taken. Empty text means: as it is on this car."""

    id: str
    title: str
    how_taken: str
    settings: Mapping[str, str | float]  # the names and values that diag.fuelsystem.points documents
    fits: tuple[str, ...] = ()  # what the car must have, and the state it must be in, for a reading there
    place: Place = field(default=Place("?"), compare=False)


@dataclass(frozen=True, slots=True)
class ReadingKind:
    """A measurable quantity: unit family, plausible range and instrument error, all SI."""

    id: str
    title: str
    ask: str
    quantity: str  # a kind of diag.quantities, such as "pressure"
    low: float
    high: float
    error: float  # standard deviation of one careful reading besides the shared gauge offset
    offset: float  # standard deviation of the offset shared by readings on the same instrument
    model_error: float
    misread_spread: float
    instrument: str  # readings with the same instrument share their offset
    phrases: tuple[str, ...] = ()  # everyday words that lead to it
    basis: Basis = Basis("judgement", "")
    place: Place = field(default=Place("?"), compare=False)

    @property
    def on_vacuum_gauge(self) -> bool:
        """Whether it is read on a vacuum and boost gauge, whose scale runs both ways from the atmosphere."""
        return self.instrument == "vacuum gauge"

    def can_be(self, low: float, high: float, bound: str = "") -> bool:
        """Whether some of what was read (SI) lies where this quantity can; ``bound`` is "above", "below" or empty."""
        return (high >= self.low or bound == "above") and (low <= self.high or bound == "below")


@dataclass(frozen=True, slots=True)
class Yield:
    """What a check gives: a sign, or a reading at a point."""

    sign: str = ""
    reading: str = ""
    at: str = ""


@dataclass(frozen=True, slots=True)
class Step:
    """What check, setup, remedy and action have in common: something a person does, as the wall sees it."""

    id: str
    title: str
    why: str
    steps: tuple[str, ...]
    aloud: tuple[str, ...]
    minutes: float
    tools: tuple[str, ...]
    hazards: tuple[str, ...]
    does: tuple[Act, ...]
    needs: tuple[str, ...]  # setup ids that must be in place
    undoes: tuple[str, ...]  # setup ids that are no longer in place afterwards
    person: Person  # least training that may do it
    by_phone: bool  # may be asked of a caller of that training
    for_leaks: bool  # made for wet fuel: pump off, nothing opened
    risk_minutes: float
    place: Place = field(default=Place("?"), compare=False)
    fits: tuple[str, ...] = ()  # what the car must have, and the state it must be in
    look_again: tuple[str, ...] = ()  # wet signs to look for again after it; empty after an opened joint means all


@dataclass(frozen=True, slots=True)
class PassFigure:
    """What a sound car shows in a check, in words with its figure, and where the figure comes from."""

    words: str
    basis: Basis


@dataclass(frozen=True, slots=True)
class Check(Step):
    """Something a person does to learn something."""

    yields: tuple[Yield, ...] = ()
    look_over: bool = False  # answers whether there is wet fuel
    passes: tuple[PassFigure, ...] = ()  # what a sound car shows
    from_log: bool = False  # read off an earlier log: nothing is run for it, whatever its point says
    teaches: str = ""  # what a trainee should take from it


@dataclass(frozen=True, slots=True)
class Setup(Step):
    """An enabling step: pressure released, gauge fitted, engine warm. Costs minutes once."""

    group: str = ""  # setups of one group exclude each other (hose on, hose off)
    releases_pressure: bool = False
    raises_pressure: bool = False
    stands_for: tuple[str, ...] = ()  # setups that count as in place as well: another way to the same thing


@dataclass(frozen=True, slots=True)
class Remedy(Step):
    """What cures a cause. ``redraws`` names the parameters that are new afterwards."""

    parts: tuple[str, ...] = ()
    proof: tuple[str, ...] = ()  # check ids
    redraws: tuple[str, ...] = ()
    botch: float = 0.05
    keeps_car: bool = True  # False: hand the car on
    looks_first: tuple[str, ...] = ()  # checks that must have been tried before it, since it wipes out what they see
    measured_first: tuple[str, ...] = ()  # "READING", "READING at POINT" or a check: one must have been taken before


@dataclass(frozen=True, slots=True)
class Action(Step):
    """A deed that is no cure but changes what later readings mean (screw turned, hose refitted)."""

    redraws: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Hazard:
    """A danger with the cautions shown before a step."""

    id: str
    title: str
    cautions: tuple[str, ...]
    basis: Basis
    place: Place = field(default=Place("?"), compare=False)


@dataclass(frozen=True, slots=True)
class StopRule:
    """What must not be done now, why, and when it becomes allowed again.

    ``when`` lists facts that must all hold:

    - "sign:ID" (present, unsure counts), "sign:ID=ANSWER" of a choice, "untold:ID" (never answered for certain);
    - "wet:WORD", "person:WORD", "fuel:WORD", "boost:yes" (told), "boost:possible" (not told to have none);
    - "reading:KIND above VALUE", "reading:KIND at POINT above VALUE";
    - "likely:CAUSE, CAUSE" (one of them is likely by now), "base:far" (base pressure read far from its target).

    ``bars`` are single steps that must not be done, besides all that do one of the acts in ``forbids``. What was seen
    or read stays in force until one of ``lifted_by`` was done: a step's name, or "new: PARAMETER" for any step that
    renews it. Empty: until the question is answered otherwise. ``asked_again``: after that step the sign must be
    answered dry or absent as well.
    """

    id: str
    title: str
    when: tuple[str, ...]
    forbids: tuple[Act, ...]
    why: str
    until: str
    do_now: tuple[str, ...]
    basis: Basis
    place: Place = field(default=Place("?"), compare=False)
    bars: tuple[str, ...] = ()
    lifted_by: tuple[str, ...] = ()
    asked_again: bool = False
    hands_on: tuple[str, ...] = ()  # what a trained person at the car does besides ``do_now``, which is for everybody


@dataclass(frozen=True, slots=True)
class Context:
    """A yes/no fact about the car that moves the odds (just rebuilt, alcohol fuel)."""

    id: str
    title: str
    ask: str
    phrases: tuple[str, ...] = ()
    when_car: str = ""  # derived instead of asked, for example "fuel: methanol, ethanol, E85"
    asked_by: tuple[str, ...] = ()  # signs that decide it both ways, the question first; "not ID" the other way round
    shown_by: tuple[str, ...] = ()  # signs that show it when they are there
    denied_by: tuple[str, ...] = ()  # signs that exclude it when they are there
    lapses: bool = False  # a state of the car that every repair may change
    place: Place = field(default=Place("?"), compare=False)


@dataclass(frozen=True, slots=True)
class Procedure:
    """A piece of shop knowledge: setting base pressure, rebuilding a regulator, choosing fittings."""

    id: str
    title: str
    why: str
    steps: tuple[str, ...]
    hazards: tuple[str, ...]
    basis: Basis
    place: Place = field(default=Place("?"), compare=False)


@dataclass(frozen=True, slots=True)
class Term:
    """One term of the trade, what else people call it (understood by search), and what the book does not call it."""

    term: str
    also: tuple[str, ...] = ()
    never: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Knobs:
    """The few figures that belong to the book as a whole."""

    none: float  # chance that nothing is wrong
    two_or_more: float  # wanted share of faulty jobs with more than one fault
    out_of_book: float  # chance that the cause is not in the book
    unsure_wrong: float  # chance that an answer marked unsure is wrong
    second_hand_wrong: float
    sure_wrong: float
    misread: float  # chance that a reading is misread
    strengths: Mapping[str, float]  # word -> probability
    strengths_basis: Basis
    basis: Mapping[str, Basis]
    setup_weight: float = 0.35
    commit_at: float = 0.8
    borrow_minutes: float = 30.0  # price of a tool that is not at hand
    hand_on_minutes: float = 240.0
    witness_slips: Mapping[str, float] = field(default_factory=dict)  # level -> chance that a sure answer is wrong
    witness_levels: Mapping[str, Mapping[str, float]] = field(default_factory=dict)  # person -> level -> share
    witness_by_phone: float = 1.0  # factor on the odds of every level but the first when answers come by phone
    asked_again: float = 1.0  # factor on the slip when the same question is put again
    in_between: Mapping[str, float] = field(default_factory=dict)  # answer -> how far it leans to "present"
    frequencies: Mapping[str, float] = field(default_factory=dict)  # frequency word -> share of single-fault jobs


@dataclass(frozen=True, slots=True)
class RuleBook:
    """A whole, checked book. Every mapping is ordered by id, so that results never depend on file order."""

    version: str
    fingerprint: str  # hash of the text it was loaded from
    knobs: Knobs
    causes: Mapping[str, Cause]
    signs: Mapping[str, Sign]
    states: Mapping[str, State]
    readings: Mapping[str, ReadingKind]
    points: Mapping[str, Point]
    checks: Mapping[str, Check]
    setups: Mapping[str, Setup]
    remedies: Mapping[str, Remedy]
    actions: Mapping[str, Action]
    hazards: Mapping[str, Hazard]
    stops: Mapping[str, StopRule]
    contexts: Mapping[str, Context]
    procedures: Mapping[str, Procedure]
    tools: Mapping[str, str]  # id -> words
    areas: Mapping[str, str]  # id -> words
    vocabulary: tuple[Term, ...] = ()  # in file order
    formerly: Mapping[str, Mapping[str, str]] = field(default_factory=dict)  # section -> former id -> id of today
    # What others worked out from this book, see diag.rulebook.derived; no part of it, and never copied with it.
    kept: dict[str, object] = field(default_factory=dict, init=False, repr=False, compare=False)
