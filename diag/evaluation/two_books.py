"""Two versions of a rule book over the same written cases: what moved, by how much, and whether for better or worse."""

from __future__ import annotations

import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import Any

from diag.casework.entries import Case
from diag.casework.replay import standing
from diag.evaluation.book_changes import Changes, changes
from diag.evaluation.cores import on_every_core
from diag.rulebook.load import book_from_texts, load_book, texts_of
from diag.rulebook.model import RuleBook

MOVED = 0.01  # a change of a chance worth telling
MOST_MOVES = 3


@dataclass(frozen=True, slots=True)
class Piece:
    """One case to weigh with both books; ``truths`` are the causes that may lead, empty when nobody said."""

    case: Case
    truths: frozenset[str]


@dataclass(frozen=True, slots=True)
class Beside:
    """One case under both books: leaders with their chances, the causes that moved most, next steps, place of truth.

    ``right`` is whether a true cause leads (old, new), None where no truth is known.
    """

    name: str
    old: tuple[str, float]
    new: tuple[str, float]
    moves: tuple[tuple[str, float, float], ...]
    steps: tuple[str, str]
    right: tuple[bool, bool] | None

    @property
    def largest(self) -> float:
        """By how much the chance moved that moved most."""
        return max((abs(after - before) for _, before, after in self.moves), default=0.0)

    @property
    def verdict(self) -> str:
        """Better, worse, changed (another leader, no truth known), moved, or same."""
        if self.right is not None and self.right[0] != self.right[1]:
            return "better" if self.right[1] else "worse"
        if self.old[0] != self.new[0]:
            return "changed"
        return "moved" if self.largest >= MOVED or self.steps[0] != self.steps[1] else "same"


@dataclass(frozen=True, slots=True)
class Difference:
    """What differs between the books themselves, and case by case."""

    added: tuple[str, ...]
    gone: tuple[str, ...]
    cases: tuple[Beside, ...]
    changed: Changes
    left: int = 0  # cases there was no time for, those that the changes concern least


def beside(piece: Piece, old: RuleBook, new: RuleBook) -> Beside:
    """One case under both."""
    before, after = standing(piece.case, old), standing(piece.case, new)
    then, now = dict(before.belief.ranked()), dict(after.belief.ranked())
    moves = [(c, then.get(c, 0.0), now.get(c, 0.0)) for c in sorted(then.keys() | now.keys())]
    moves = [m for m in moves if abs(m[2] - m[1]) >= MOVED]
    moves.sort(key=lambda m: (-abs(m[2] - m[1]), m[0]))
    first, second = before.belief.ranked()[0], after.belief.ranked()[0]
    steps = tuple(f"{s.proposal.kind} {s.proposal.step}".strip() for s in (before, after))
    right = (first[0] in piece.truths, second[0] in piece.truths) if piece.truths else None
    return Beside(piece.case.id, first, second, tuple(moves[:MOST_MOVES]), (steps[0], steps[1]), right)


def _open(old: Path, new: Path) -> tuple[RuleBook, RuleBook]:
    return _earlier(old), load_book(new)


def _beside(books: tuple[RuleBook, RuleBook], piece: Piece) -> Beside:
    return beside(piece, *books)


def _earlier(folder: Path) -> RuleBook:
    """An earlier book: figures of the whole book that came later take the value of a book that does not say."""
    return book_from_texts(texts_of(folder))


def compare_books(
    old: Path,
    new: Path,
    pieces: Sequence[Piece],
    workers: int | None = None,
    progress: Callable[[int, int], None] | None = None,
    within: float | None = None,
) -> Difference:
    """Both books over the cases; the same whatever the number of processes.

    Where the books differ in words only no case is weighed, since none can move.

    Args:
        within: seconds after which no further case is begun; those that the changes concern most come first.

    Raises:
        RuleBookError, StorageError: one of the books cannot be used.
    """
    begun = time.monotonic()
    before, after = _earlier(old), load_book(new)
    changed = changes(before, after)
    pieces = [] if changed.alone_words else list(pieces)
    pieces.sort(key=lambda piece: (-changed.concern(piece.case, piece.truths), piece.case.id))
    found: list[Beside] = []
    for done, one in enumerate(on_every_core(partial(_open, old, new), _beside, pieces, workers), 1):
        found.append(one)
        if progress is not None:
            progress(done, len(pieces))
        if within is not None and time.monotonic() - begun > within:
            break
    there, here = _names(before), _names(after)
    return Difference(
        tuple(sorted(here - there)),
        tuple(sorted(there - here)),
        tuple(sorted(found, key=lambda one: one.name)),
        changed,
        len(pieces) - len(found),
    )


def _names(book: RuleBook) -> set[str]:
    kinds = {"cause": book.causes, "sign": book.signs, "check": book.checks, "remedy": book.remedies}
    return {f"{kind} {name}" for kind, entries in kinds.items() for name in entries}


def difference_text(difference: Difference) -> str:
    """In words: what came and went, the count of each verdict, and every case that is not the same."""
    lines = [_listed("Added", difference.added), _listed("Gone", difference.gone)]
    if difference.changed.alone_words:
        many = len(difference.changed.worded)
        return "\n".join(
            [line for line in lines if line] + [f"No ranking can move: {many or 'no'} entries differ in words."]
        )
    lines.append(_listed("Changed in what is weighed", sorted(difference.changed.weighed)))
    lines.append(_listed("Changed in what may be done", sorted(difference.changed.done)))
    counts = {v: sum(one.verdict == v for one in difference.cases) for v in ("better", "worse", "changed", "moved")}
    same = len(difference.cases) - sum(counts.values())
    words = ", ".join(f"{count} {verdict}" for verdict, count in counts.items())
    late = f" No time for {difference.left} that the changes concern less." if difference.left else ""
    lines.append(f"{len(difference.cases)} cases: {words}, {same} the same.{late}")
    order = {"worse": 0, "changed": 1, "better": 2, "moved": 3}
    told = sorted((one for one in difference.cases if one.verdict in order), key=lambda o: (order[o.verdict], o.name))
    for one in told:
        lines.append(f"  {one.verdict}: {one.name}")
        lines.append(f"      leads: {one.old[0]} {100 * one.old[1]:.0f} %, now {one.new[0]} {100 * one.new[1]:.0f} %")
        lines += [f"      {cause}: {100 * was:.0f} % to {100 * now:.0f} %" for cause, was, now in one.moves]
        if one.steps[0] != one.steps[1]:
            lines.append(f"      next: {one.steps[0]}, now {one.steps[1]}")
    return "\n".join(line for line in lines if line)


def _listed(title: str, names: Sequence[str]) -> str:
    return f"{title} ({len(names)}): {', '.join(names)}" if names else ""


def difference_data(difference: Difference) -> dict[str, Any]:
    """The same for scripts."""
    return {
        "added": list(difference.added),
        "gone": list(difference.gone),
        "weighed": sorted(difference.changed.weighed),
        "done": sorted(difference.changed.done),
        "worded": sorted(difference.changed.worded),
        "left": difference.left,
        "cases": [
            {"name": one.name, "verdict": one.verdict, "old": list(one.old), "new": list(one.new),
             "moves": [list(m) for m in one.moves], "steps": list(one.steps), "right": one.right}
            for one in difference.cases
        ],
    }  # fmt: skip
