"""One value on its way from text to SI, and the refusals on that way."""

from __future__ import annotations

from dataclasses import dataclass
from typing import NoReturn

from diag.quantities.kinds import KINDS, Kind, kind_of, units_of
from diag.quantities.units import ATMOSPHERE
from diag.support.errors import QuantityError
from diag.support.text import one_line

PETROL = 740.0  # kg/m3, the middle of the range EN 228 allows at 15 C (720 to 775)
ABOUT = 0.05  # "about 40" means 38 to 42: common practice, no source


@dataclass(frozen=True, slots=True)
class Ask:
    """What is asked for, and what a typed value is read against."""

    text: str
    kind: Kind
    default_unit: str
    where: str
    atmosphere: float = ATMOSPHERE
    density: float = PETROL
    imperial: bool = False

    def refuse(self, what: str, hint: str = "") -> NoReturn:
        """Raise the QuantityError for this value."""
        raise QuantityError(what, hint or f"Type it like {self.kind.example}.", self.where)

    @property
    def shown(self) -> str:
        """The typed text, fit for a message."""
        return repr(one_line(self.text, 40))

    def not_a_value(self) -> NoReturn:
        """Refuse a text that holds no number."""
        self.refuse(f"{self.shown} is not {self.kind.a}.")

    def wrong_unit(self, unit: str, others: list[str], near: list[str]) -> NoReturn:
        """Refuse a unit that this kind does not have."""
        units = units_of(self.kind.name)
        known = f"; units known here: {', '.join(units[:8])}{' and others' if len(units) > 8 else ''}" * (
            len(units) > 1
        )
        if others:
            self.refuse(
                f"{self.shown} is {kind_of(others[0]).a}, not {self.kind.a}.",
                f"Type it like {self.kind.example}{known}.",
            )
        meant = f"Did you mean {' or '.join(near)}? " if near else ""
        self.refuse(
            f"{one_line(unit, 20)!r} is not a unit of {self.kind.name}.",
            f"{meant}Type it like {self.kind.example}{known}.",
        )

    def another(self, kind: str, default_unit: str = "") -> Ask:
        """The same question for another kind, for the parts of a compound value."""
        return Ask(self.text, KINDS[kind], default_unit, self.where, self.atmosphere, self.density, self.imperial)


@dataclass(frozen=True, slots=True)
class Piece:
    """One value in SI. ``half`` is how far "about" reaches; ``flipped`` when more on the gauge is less in SI."""

    value: float
    low: float
    high: float
    unit: str
    words: str
    half: float = 0.0
    flipped: bool = False
    assumed: bool = False  # nobody typed the unit


def plain_piece(value: float, unit: str, words: str, half: float = 0.0) -> Piece:
    """A piece without a range of its own."""
    return Piece(value, value, value, unit, words, half or ABOUT * abs(value))
