"""What a trainee can do, as data and as one line of text; a stored session is a list of such lines."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, get_args

from diag.support.errors import UnknownNameError, UserError
from diag.support.text import one_line

Deed = Literal["do", "ready", "ask", "borrow", "name", "doubt", "forget", "measure", "hint", "finish"]
Claim = Literal["cured", "hand on", "give up"]
DEEDS: tuple[Deed, ...] = get_args(Deed)
MANY = frozenset({"name", "ask"})
CLAIMS: tuple[Claim, ...] = get_args(Claim)


@dataclass(frozen=True, slots=True)
class Move:
    """One move.

    do STEP: carry out a check, setup, action or remedy. ready STEP: carry out the setups it still needs, then it.
    ask SIGN, SIGN: only these of the loose questions of one check.
    borrow TOOL. name CAUSE, CAUSE: commit to what is wrong. doubt NUMBER: strike a reading or answer of the job.
    forget FIELD: strike a told fact of the car. measure FIELD: measure it. hint: ask what the program would do.
    finish CLAIM: end the session.
    """

    deed: Deed
    what: tuple[str, ...] = ()

    @property
    def first(self) -> str:
        """The only or first thing named."""
        return self.what[0] if self.what else ""

    def text(self) -> str:
        """One line, readable by ``read_move``."""
        return f"{self.deed} {', '.join(self.what)}".strip()


def read_move(text: str) -> Move:
    """The move that a line means.

    Raises:
        UserError: it means none.
    """
    words = one_line(text, 400).split(maxsplit=1)
    if not words:
        raise UserError("Nothing was said.", f"Begin with one of: {', '.join(DEEDS)}.")
    deed = next((d for d in DEEDS if d == words[0].casefold()), None)
    if deed is None:
        raise UnknownNameError("move", words[0], DEEDS)
    what = tuple(w.strip() for w in words[1].split(",") if w.strip()) if len(words) > 1 else ()
    if deed == "hint":
        return Move(deed)
    if not what or (len(what) > 1 and deed not in MANY):
        raise UserError(f"{deed!r} needs {'names' if deed in MANY else 'one name'} after it.", "", "move")
    return Move(deed, what)
