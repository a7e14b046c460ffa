"""The desk on which a rule book is read: the names that exist and the problems found so far."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from difflib import get_close_matches

from diag.support.errors import Place, SourceError

RESERVED_CAUSES = ("nothing-wrong", "not-in-book")
ID_PATTERN = r"[a-z0-9]+(-[a-z0-9]+)*"
SPOKEN_PATTERN = r"[a-z0-9]+([ -][a-z0-9]+)*"


class Problem(SourceError):
    """One finding of loading or lint: which rule, where, what is wrong and what to do instead."""

    def __init__(self, rule: str, what: str, hint: str = "", place: Place | None = None, advice: bool = False) -> None:
        self.rule = rule
        self.advice = advice
        super().__init__(what, hint, place)

    @property
    def sort_key(self) -> tuple[str, int, int, str, str]:
        """File order, then line, column, rule and wording."""
        place = self.place or Place("")
        return (place.file, place.line, place.column, self.rule, self.what)


def nearest(name: str, known: Iterable[str]) -> str:
    """A hint naming the known names closest to ``name``; empty when nothing is close."""
    candidates = list(known)
    near = get_close_matches(name, candidates, n=3, cutoff=0.6)
    if not near:
        parts = set(re.split(r"[ -]", name))
        near = [c for c in candidates if len(parts & set(re.split(r"[ -]", c))) >= 2][:3]
    return f"Did you mean {' or '.join(near)}?" if near else ""


class Desk:
    """Collects problems while objects are read.

    ``names`` maps a section of the book ("signs") to the ids that exist anywhere in it, each with its place.
    ``words`` and ``frequencies`` are the strength and frequency words of the knobs.
    """

    def __init__(self) -> None:
        self.problems: list[Problem] = []
        self.names: dict[str, dict[str, Place]] = {}
        self.words: Mapping[str, float] = {}
        self.frequencies: Mapping[str, float] = {}
        self.choices: dict[str, tuple[str, ...]] = {}  # choice sign -> answer ids
        self.usual: dict[str, dict[str, float]] = {}  # choice sign -> answer -> usual chance, once it is read
        self.seen_by_physics: set[str] = set()
        self.graded: dict[str, frozenset[str]] = {}  # choice sign -> answers that the physics decides
        self.silent: dict[str, dict[str, str]] = {}  # sign -> cause that says of itself that it does not show it -> why
        self.quantity_of: dict[str, str] = {}  # reading -> kind of quantity

    def problem(self, rule: str, place: Place | None, what: str, hint: str = "") -> None:
        """Note one problem and go on."""
        self.problems.append(Problem(rule, what, hint, place))

    def knows(self, sections: Iterable[str], name: str) -> bool:
        """Whether any of the sections holds ``name``."""
        return any(name in self.names.get(section, {}) for section in sections)

    def check_name(self, sections: tuple[str, ...], name: str, place: Place) -> bool:
        """Whether ``name`` exists in one of the sections; notes a problem with the nearest names when not."""
        if self.knows(sections, name):
            return True
        known = [n for section in sections for n in self.names.get(section, {})]
        self.problem("unknown-name", place, f"There is no {one_of(sections)} called {name!r}.", nearest(name, known))
        return False


SINGULAR = {
    "causes": "cause",
    "signs": "sign",
    "states": "state",
    "readings": "reading",
    "points": "point",
    "checks": "check",
    "setups": "setup",
    "remedies": "remedy",
    "actions": "action",
    "hazards": "hazard",
    "stops": "stop",
    "contexts": "context",
    "procedures": "procedure",
    "tools": "tool",
    "areas": "area",
}


def one_of(sections: Iterable[str]) -> str:
    """ "sign or state" for ("signs", "states")."""
    return " or ".join(SINGULAR.get(s, s) for s in sections)
