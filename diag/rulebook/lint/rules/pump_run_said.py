"""Most pumps stop two seconds after key on: a check that runs one longer needs the set-up, any other says so."""

import re
from collections.abc import Iterator

from diag.rulebook.desk import Problem
from diag.rulebook.lint.tools import error, needed_setups
from diag.rulebook.load import Draft

HELD = "pump-held-on"  # a book without this set-up does not tell the two apart
SHORT = re.compile(r"two[- ]second|prime|stops by itself", re.I)
STAGES = ("prime-two-seconds", "run-sixty-seconds")  # the proof of a leak repair has a switch and a helper of its own


def find(draft: Draft) -> Iterator[Problem]:
    """Checks that run the pump with the engine off and say neither how nor how long."""
    book = draft.book
    if HELD not in book.setups:
        return
    for check in book.checks.values():
        runs = "runs pump" in check.does and "key on" in check.does
        if not runs or {"runs engine", "cranks engine"} & set(check.does) or check.id in STAGES:
            continue
        if HELD in needed_setups(book, check):
            continue
        for field, words in (("steps", check.steps), ("aloud", check.aloud if check.by_phone else ())):
            if words and not SHORT.search(" ".join(words)):
                what = f"{check.id!r} runs the pump and {field!r} does not say that most stop after two seconds."
                hint = f"Add {HELD} to 'needs', or say what a two-second prime can show."
                yield error("pump-run-said", draft.place("checks", check.id, field), what, hint)
