"""A whole rule book, with the few figures that belong to it as a whole.

Its parts lie beside it (causes, findings, steps, hazards). Everything is frozen data; loading and checking are apart.
Probabilities are plain floats strictly between 0 and 1, times are minutes, physical values are SI.
Names refer to each other by id; the loader guarantees that every id exists.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from diag.rulebook.basis import Basis
from diag.rulebook.causes import Cause, Frequency
from diag.rulebook.findings import Point, ReadingKind, Sign, State
from diag.rulebook.hazards import Hazard, StopRule
from diag.rulebook.steps import Action, Check, Remedy, Setup
from diag.support.errors import Place


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
    how_often: Frequency | None = None  # share of jobs in which it holds; without one its "no" says nothing
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
    witness_invents: float = 1.0  # share of a slip's chance with which "present" is said of what is not there
    asked_again: float = 1.0  # factor on the slip when the same question is put again
    between_bouts: float = 0.0  # chance that a fault that comes and goes does not show when somebody looks
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
