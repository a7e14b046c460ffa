"""What the program believed, written into the case, and what another rule book makes of the same entries."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from diag.casework.entries import Believed, Case
from diag.casework.record import next_number
from diag.inference.posterior import Belief
from diag.rulebook.model import RuleBook

KEPT = 10  # causes written down
NOTABLE = 0.02  # a change of chance worth telling; the engine's own sampling error stays below


def with_belief(case: Case, book: RuleBook, belief: Belief, at: str, who: str) -> Case:
    """The case with its present ranking written down: before a remedy, at the end of a session, at the outcome.

    Nothing is added when the last entry says the same already.
    """
    ranking = {cause: chance for cause, chance in belief.ranked()[:KEPT] if chance >= 1e-4}
    last = case.entries[-1] if case.entries else None
    if isinstance(last, Believed) and last.ranking == ranking and last.book_fingerprint == book.fingerprint:
        return case
    entry = Believed(next_number(case), at, who, ranking, book.version, book.fingerprint)
    return replace(case, entries=(*case.entries, entry), book_version=book.version, book_fingerprint=book.fingerprint)


@dataclass(frozen=True, slots=True)
class Drift:
    """The last written ranking against today's, for the same entries.

    ``moved`` holds cause id, chance then, chance now, largest change first. ``book_changed`` tells whether another
    rule book explains it; if not, the file's entries were changed by hand or the program itself changed.
    """

    book_then: str
    book_now: str
    book_changed: bool
    moved: tuple[tuple[str, float, float], ...]

    def words(self, titles: dict[str, str] | None = None) -> tuple[str, ...]:
        """Plain sentences for the screen; empty when nothing changed."""
        titles = titles or {}
        lines = []
        if self.book_changed:
            lines.append(f"The rule book has changed since ({self.book_then} then, {self.book_now} now).")
        elif self.moved:
            lines.append("The same rule book ranks this case differently than it did.")
        for cause, then, now in self.moved[:5]:
            lines.append(f"{titles.get(cause, cause)}: {100 * then:.0f} % then, {100 * now:.0f} % now.")
        if self.book_changed and not self.moved:
            lines.append("The ranking is the same.")
        return tuple(lines)


def case_as_believed(case: Case) -> tuple[Case, Believed] | None:
    """The case as it was when its last ranking was written down, with that ranking; None when there is none."""
    for at in range(len(case.entries) - 1, -1, -1):
        entry = case.entries[at]
        if isinstance(entry, Believed):
            return replace(case, entries=case.entries[:at]), entry
    return None


def drift(then: Believed, now: Sequence[tuple[str, float]], book: RuleBook) -> Drift:
    """Compare a written ranking with the ranking of the same entries under this book.

    Args:
        then: what was written.
        now: ``belief.ranked()`` of ``case_as_believed(case)[0]``.
        book: the book used now.
    """
    today = dict(now)
    names = list(dict.fromkeys([*then.ranking, *(cause for cause, chance in now if chance >= NOTABLE)]))
    changes = [(name, then.ranking.get(name, 0.0), today.get(name, 0.0)) for name in names]
    moved = [change for change in changes if abs(change[1] - change[2]) >= NOTABLE]
    moved.sort(key=lambda change: (-abs(change[1] - change[2]), change[0]))
    changed = then.book_fingerprint != book.fingerprint
    return Drift(then.book_version, book.version, changed, tuple(moved))
