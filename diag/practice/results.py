"""What a trainee has done so far: plain records, and their YAML text. Pure."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from diag.practice.judge import Score
from diag.practice.levels import LEVELS
from diag.practice.moves import read_move
from diag.practice.state import Session
from diag.support.errors import Place, SourceError, UnknownNameError, UserError
from diag.support.text import one_line
from diag.support.yaml.reader import (
    as_flag,
    as_list,
    as_map,
    as_number,
    as_text,
    as_texts,
    as_whole,
    dump_yaml,
    read_yaml,
)

FORMAT = 1
MOST_MINUTES = 1e6
LONGEST_NAME = 60


@dataclass(frozen=True, slots=True)
class Result:
    """One finished session. ``moves`` are lines for ``read_move``: with level, seed and book they are the session.

    ``program_minutes`` and ``program_risk`` are those of the program's own order on the same car.
    """

    at: str
    level: str
    seed: int
    book: str  # fingerprint of the rule book
    causes: tuple[str, ...]
    solved: bool
    named: bool
    proven: bool
    minutes: float
    risk: float
    checks: int
    wasted: int
    unsafe: int
    hints: int
    program_minutes: float
    program_risk: float
    moves: tuple[str, ...]

    @property
    def pace(self) -> float:
        """Minutes, times those of the program's order on the same car."""
        return self.minutes / max(self.program_minutes, 1.0)


@dataclass(frozen=True, slots=True)
class Trainee:
    """A name and the sessions under it, oldest first."""

    name: str
    results: tuple[Result, ...] = ()


def trainee_name(text: str) -> str:
    """A name as it is kept.

    Raises:
        UserError: there is nothing in it.
    """
    name = one_line(text, LONGEST_NAME).strip()
    if not name or not any(c.isalnum() for c in name):
        raise UserError("No trainee was named.", "Give a name or initials.", "trainee")
    return name


def result_of(session: Session, score: Score, program: Score, at: str) -> Result:
    """The record of a finished session.

    Args:
        at: the time now, ISO 8601, UTC.
    """
    return Result(
        at,
        session.deal.level.id,
        session.deal.seed,
        session.book.fingerprint,
        session.deal.causes,
        score.solved,
        score.named,
        score.proven,
        round(score.minutes, 1),
        round(score.risk, 1),
        score.checks,
        score.wasted,
        score.unsafe,
        score.hints,
        round(program.minutes, 1),
        round(program.risk, 1),
        tuple(move.text() for move in session.moves),
    )


# ------------------------------------------------------------------ YAML


def to_text(trainee: Trainee) -> str:
    """The file of a trainee."""
    head = "# Practice sessions of one trainee. With level, seed and moves each of them can be played again.\n"
    return head + dump_yaml(
        {"format": FORMAT, "trainee": trainee.name, "sessions": [_plain(r) for r in trainee.results]}
    )


def _plain(r: Result) -> dict[str, Any]:
    return {
        "at": r.at,
        "level": r.level,
        "seed": r.seed,
        "book": r.book,
        "causes": list(r.causes),
        "solved": r.solved,
        "named": r.named,
        "proven": r.proven,
        "minutes": r.minutes,
        "risk": r.risk,
        "checks": r.checks,
        "wasted": r.wasted,
        "unsafe": r.unsafe,
        "hints": r.hints,
        "program": {"minutes": r.program_minutes, "risk": r.program_risk},
        "moves": list(r.moves),
    }


def from_text(text: str, file: str) -> Trainee:
    """A trainee's file.

    Raises:
        SourceError: what is wrong, with file, line and column.
    """
    root = as_map(read_yaml(text, file), "The file")
    root.only(("format", "trainee", "sessions"), "a practice file")
    version = as_whole(root.need("format", "The file"), "The format", 1)
    if version > FORMAT:
        raise SourceError(
            f"This file is of format {version}; this program reads up to {FORMAT}.",
            "Use the newer program.",
            root.place,
        )
    name = as_text(root.need("trainee", "The file"), "The trainee")
    listed = root.get("sessions")
    sessions = () if listed is None else tuple(_result(as_map(n, "A session")) for n in as_list(listed, "The sessions"))
    return Trainee(one_line(name, LONGEST_NAME), sessions)


_KEYS = ("at", "level", "seed", "book", "causes", "solved", "named", "proven", "minutes", "risk", "checks", "wasted",
         "unsafe", "hints", "program", "moves")  # fmt: skip


def _result(node: Any) -> Result:
    node.only(_KEYS, "a session")

    def number(key: str, of: Any = node) -> float:
        return as_number(of.need(key, "A session"), key, 0.0, MOST_MINUTES)

    def whole(key: str, high: float = MOST_MINUTES) -> int:
        return as_whole(node.need(key, "A session"), key, 0, high)

    def flag(key: str) -> bool:
        return as_flag(node.need(key, "A session"), key)

    def texts(key: str) -> tuple[str, ...]:
        found = node.get(key)
        return () if found is None else as_texts(found, key)

    program = as_map(node.need("program", "A session"), "program")
    program.only(("minutes", "risk"), "program")
    level = as_text(node.need("level", "A session"), "level")
    if level not in {x.id for x in LEVELS}:
        raise SourceError(
            f"{one_line(level, 60)!r} is no level.", "Known: " + ", ".join(x.id for x in LEVELS), node.place
        )
    moves = texts("moves")
    _check_moves(moves, node.place)
    return Result(
        one_line(as_text(node.need("at", "A session"), "at"), 40), level, whole("seed", 2**31),
        one_line(as_text(node.need("book", "A session"), "book"), 80), texts("causes"), flag("solved"), flag("named"),
        flag("proven"), number("minutes"), number("risk"), whole("checks"), whole("wasted"), whole("unsafe"),
        whole("hints"), number("minutes", program), number("risk", program), moves,
    )  # fmt: skip


def _check_moves(moves: Iterable[str], place: Place) -> None:
    for line in moves:
        try:
            read_move(line)
        except (UserError, UnknownNameError) as error:
            raise SourceError(f"{one_line(line, 80)!r} is no move.", error.one_line(), place) from None
