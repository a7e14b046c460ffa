"""How each kind of entry is spelled in a case file: the word after ``kind:`` and the fields that follow.

The table drives reading, writing and the documentation, so that the three cannot drift apart.
"""

from __future__ import annotations

import math
from dataclasses import MISSING, dataclass, fields
from typing import Literal, get_args

from diag.casework import entries as e
from diag.rulebook.findings import MetIn
from diag.rulebook.steps import PERSONS

Shape = Literal[
    "line",  # one line of text
    "text",  # text that may run over several lines
    "choice",  # one of a few fixed words
    "number",  # a finite number, SI
    "whole",  # a whole number from 0
    "flag",  # yes or no
    "lines",  # a list of lines
    "numbers",  # names with a number each
    "entry",  # a whole entry inside another
]


@dataclass(frozen=True, slots=True)
class FieldSpec:
    """One field of an entry: its attribute, its key in the file, its shape, and what it refers to."""

    attr: str
    key: str
    shape: Shape
    choices: tuple[str, ...] = ()
    refers: str = ""  # a table of the rule book, or "car" for a field of the car
    optional: bool = False
    default: object = None
    limits: tuple[float, float] = (-math.inf, math.inf)  # of a number


@dataclass(frozen=True, slots=True)
class KindSpec:
    """One kind of entry."""

    word: str
    cls: type[e.Entry]
    fields: tuple[FieldSpec, ...]
    what: str


def _spec(
    cls: type[e.Entry],
    attr: str,
    shape: Shape,
    key: str = "",
    refers: str = "",
    choices: tuple[str, ...] = (),
    limits: tuple[float, float] = (-math.inf, math.inf),
) -> FieldSpec:
    """Fill in from the data class whether the field may be left out, and what it then is."""
    found = next(f for f in fields(cls) if f.name == attr)
    if found.default is not MISSING:
        return FieldSpec(attr, key or attr, shape, choices, refers, True, found.default, limits)
    if found.default_factory is not MISSING:
        return FieldSpec(attr, key or attr, shape, choices, refers, True, found.default_factory(), limits)
    return FieldSpec(attr, key or attr, shape, choices, refers, limits=limits)


def _kind(word: str, cls: type[e.Entry], what: str, *rows: tuple[str, Shape, dict[str, object]]) -> KindSpec:
    """Short form for the table below."""
    return KindSpec(word, cls, tuple(_spec(cls, attr, shape, **more) for attr, shape, more in rows), what)  # type: ignore[arg-type]


_SURE: dict[str, object] = {"choices": get_args(e.Sure)}
_SOURCE: dict[str, object] = {"choices": get_args(e.Source)}

KINDS: tuple[KindSpec, ...] = (
    _kind("car", e.CarFact, "a field of the car as told; an empty text means not known",
          ("field", "line", {"refers": "car"}), ("text", "text", {"key": "typed"})),
    _kind("sign", e.SignAnswer, "an answer about something seen, heard, smelled or felt",
          ("sign", "line", {"refers": "signs"}), ("answer", "line", {}), ("sure", "choice", _SURE),
          ("source", "choice", _SOURCE), ("check", "line", {"refers": "checks"}), ("text", "text", {"key": "typed"}),
          ("place_seen", "line", {})),
    _kind("reading", e.ReadingTaken, "a measured value: typed as it was typed; value, low and high in SI",
          ("reading", "line", {"refers": "readings"}), ("point", "line", {"refers": "points"}),
          ("text", "text", {"key": "typed"}), ("value", "number", {}), ("low", "number", {}), ("high", "number", {}),
          ("bound", "choice", {"choices": ("", "above", "below")}), ("gauge", "line", {}),
          ("conditions", "numbers", {}), ("check", "line", {"refers": "checks"}), ("sure", "choice", _SURE),
          ("error", "number", {"limits": (0.0, 1e9)}), ("log", "line", {}), ("source", "choice", _SOURCE),
          ("met_in", "choice", {"choices": get_args(MetIn)})),
    _kind("step", e.StepDone, "a check, setup, action or remedy that was carried out",
          ("step", "line", {"refers": "steps"}), ("minutes", "number", {"limits": (0.0, e.MOST_MINUTES)}),
          ("text", "text", {})),
    _kind("not-done", e.StepRefused, "a proposed step that was not done",
          ("step", "line", {"refers": "steps"}), ("why", "choice", {"choices": ("cannot", "later", "skip")}),
          ("text", "text", {})),
    _kind("person", e.PersonTold, "who is at the car, and what they have",
          ("person", "choice", {"choices": PERSONS}), ("by_phone", "flag", {}), ("second_person", "flag", {}),
          ("ventilated", "flag", {}), ("tools", "lines", {"refers": "tools"})),
    _kind("acknowledged", e.Acknowledged, "a caution or stop rule that was read and accepted",
          ("rule", "line", {"refers": "rules"})),
    _kind("handed-over", e.HandedOver, "the job goes to another person",
          ("to", "line", {}), ("text", "text", {})),
    _kind("note", e.Note, "free text", ("text", "text", {})),
    _kind("kept", e.KeptEvidence, "something kept for a suspect-part report, as told",
          ("about", "choice", {"choices": get_args(e.About)}), ("text", "text", {})),
    _kind("status", e.StatusSet, "open, waiting for part or closed",
          ("status", "choice", {"choices": e.STATUSES}), ("text", "text", {})),
    _kind("outcome", e.Outcome, "how the job ended, and whether the cure was proven",
          ("result", "choice",
           {"choices": ("cured", "not cured", "could not reproduce", "handed on", "normal")}),
          ("causes", "lines", {"refers": "causes"}), ("proven", "flag", {}), ("text", "text", {})),
    _kind("believed", e.Believed, "what the program ranked at that moment, and with which rule book",
          ("ranking", "numbers", {"limits": (0.0, 1.0)}), ("book_version", "line", {}),
          ("book_fingerprint", "line", {})),
    _kind("taken-back", e.Retracted, "takes back an earlier entry",
          ("target", "whole", {}), ("why", "text", {})),
    _kind("replaced", e.Replaced, "puts a new answer in the place of an earlier entry",
          ("target", "whole", {}), ("by", "entry", {})),
)  # fmt: skip

BY_WORD = {k.word: k for k in KINDS}
BY_CLASS = {k.cls: k for k in KINDS}
COMMON_KEYS = ("entry", "at", "who", "kind")
