"""The shipped book, dealt cars and short sessions for the practice tests."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from functools import cache

from diag.casework.replay import ModelCache
from diag.practice.deal import Deal, deal
from diag.practice.levels import LEVELS, Level
from diag.practice.moves import read_move
from diag.practice.results import Result
from diag.practice.session import play
from diag.practice.state import Session
from diag.rulebook.load import load_book
from diag.rulebook.model import RuleBook
from tests import ROOT

KEPT: ModelCache = {}


@cache
def the_book() -> RuleBook:
    """The shipped rule book."""
    return load_book(ROOT / "rules")


def level(name: str) -> Level:
    """A level by its id."""
    return next(x for x in LEVELS if x.id == name)


@cache
def dealt(name: str, seed: int) -> Deal:
    """A dealt car."""
    return deal(the_book(), level(name), seed, KEPT)


def first_deal(name: str, fits: Callable[[Deal], bool]) -> Deal:
    """The first car of a level that fits, whatever the rule book of the day makes of the numbers."""
    return next(d for d in (dealt(name, seed) for seed in range(1, 200)) if fits(d))


def played(found: Deal, *lines: str) -> Session:
    """A session from lines of moves."""
    return play(the_book(), found, [read_move(line) for line in lines])


def result(seed: int = 1, **more: object) -> Result:
    """A kept session with figures of one's choice."""
    fields: dict[str, object] = {
        "at": "2026-11-25T14:00:00Z", "level": "loud-fault", "seed": seed, "book": "abc", "causes": ("pump-dead",),
        "solved": True, "named": True, "proven": True, "minutes": 120.0, "risk": 20.0, "checks": 6, "wasted": 0,
        "unsafe": 0, "hints": 0, "program_minutes": 100.0, "program_risk": 18.0,
        "moves": ("do look-over", "name pump-dead", "finish cured"), **more,
    }  # fmt: skip
    return Result(**fields)  # type: ignore[arg-type]


class Script:
    """Lines in from a list, lines out into another."""

    def __init__(self, answers: Iterable[str]) -> None:
        self.answers = list(answers)
        self.said: list[str] = []

    def say(self, text: str = "", indent: str = "") -> None:
        """One paragraph."""
        self.said.append(indent + text)

    def ask(self, prompt: str = "") -> str | None:
        """The next line."""
        self.said.append(f"{prompt}>")
        return self.answers.pop(0) if self.answers else None

    @property
    def text(self) -> str:
        """Everything said."""
        return "\n".join(self.said)
