"""What was told in the present look for wet fuel, place by place, and what that makes of the car.

A place in doubt ends a dry look at once; dry needs every place. In the proof of a repair every look is a whole one.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Literal

from diag.casework.entries import SignAnswer
from diag.rulebook.model import RuleBook
from diag.safety.effects import looked
from diag.safety.situation import Situation, Wet
from diag.safety.steps import LOOK_STAGES, look_places


class LookLedger:
    """The look-over's answers since it last lapsed."""

    def __init__(self, book: RuleBook) -> None:
        self._book = book
        self.places = look_places(book)
        self._told: dict[str, Literal["dry", "unsure"]] = {}
        self._in_this_look: set[str] = set()  # places told of in the present look of a proof

    @property
    def dry(self) -> frozenset[str]:
        """Places whose dry answer still counts."""
        return frozenset(sign for sign, told in self._told.items() if told == "dry")

    def clear(self) -> None:
        """Nothing told before counts any longer."""
        self._told.clear()

    def forget(self, signs: Iterable[str]) -> None:
        """These places are to be looked at again."""
        for sign in signs:
            self._told.pop(sign, None)

    def told_wet(self, state: Situation) -> Situation:
        """Fuel was found; no dry answer of before counts beside it."""
        self.clear()
        return looked(state, "wet")

    def told_not_wet(self, state: Situation, entry: SignAnswer, certain: bool) -> Situation:
        """A place was told dry, or could not be told for certain."""
        self._same_look(state, entry)
        self._told[entry.sign] = "dry" if certain else "unsure"
        whole = bool(self.places) and self._told.keys() >= self.places
        if "unsure" in self._told.values():
            return looked(state, "unsure") if whole or state.wet is Wet.DRY else state
        if not whole:
            return state
        if state.wet is Wet.REPAIRED and state.proof_stage in LOOK_STAGES:
            self.clear()  # every look of the proof is a new one
        return looked(state, "dry")

    def _same_look(self, state: Situation, entry: SignAnswer) -> None:
        """In a proof every look is a whole one: a place asked about again begins the next, which takes nothing over."""
        check = self._book.checks.get(entry.check)
        if state.wet is Wet.REPAIRED and check is not None and check.look_over:
            if entry.sign in self._in_this_look:
                self._told.clear()
                self._in_this_look = set()
            self._in_this_look.add(entry.sign)
