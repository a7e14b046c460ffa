"""Whoever moves a screw, clip or fitting of a part under pressure lets the pressure off first, tightening included."""

import re
from collections.abc import Iterator

from diag.rulebook.desk import Problem
from diag.rulebook.lint.tools import error, needed_setups, sentences_of, steps_of
from diag.rulebook.load import Draft
from diag.rulebook.steps import Setup

MOVES = re.compile(r"\b(tighten|loosen|undo|unscrew|slacken|crack open|nip up|turn)\w*\b", re.I)
PART = re.compile(r"\b(union|fitting|banjo|hose clip|(cap|cover) screws?|hose end|(fuel|filter) joint)\b", re.I)
HARMLESS = re.compile(r"\?|\b(never|not?|nothing|leave)\b|lock nut|battery|reference hose|thin hose|meter", re.I)


def find(draft: Draft) -> Iterator[Problem]:
    """Steps that move a fastener of the fuel system without saying so and without the pressure released."""
    book = draft.book
    for section, step in steps_of(book):
        moves = [s for field, s in sentences_of(step) if field == "steps" and MOVES.search(s) and PART.search(s)]
        moves = [s for s in moves if not HARMLESS.search(s)]
        if not moves or (isinstance(step, Setup) and step.releases_pressure):
            continue
        released = any(book.setups[name].releases_pressure for name in needed_setups(book, step))
        if "disturbs joint" not in step.does or not released:
            what = f"{step.id!r} moves a fastener of a part under pressure: {moves[0]!r}."
            hint = "Add 'disturbs joint' to 'does' and pressure-released to 'needs'."
            yield error("fastener-moved", draft.place(section, step.id, "does"), what, hint)
