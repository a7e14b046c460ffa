"""Closed jobs -> cause frequencies of this workshop, as counts on top of the book's.

The book's shares are a Dirichlet prior worth ``strength`` jobs; every job that proves exactly one cause adds one count.
Chance of no fault and share of double faults are Beta counts in the same way. Nothing is learnt from a job whose cure
was not proven: which jobs count stands in ``diag.casework.lessons``.
Conjugate updating of Dirichlet and Beta counts: any textbook of Bayesian statistics; formulas from memory.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterable
from dataclasses import dataclass, replace

from diag.casework.lessons import Counts, count
from diag.casework.summary import Summary
from diag.rulebook.basis import Basis
from diag.rulebook.causes import Cause, Frequency
from diag.rulebook.model import Knobs, RuleBook

STRENGTH = 200.0
"""How many jobs the book's own frequencies weigh; judgement: a workshop's first fifty jobs should nudge, not rule."""

LOWEST_SHARE = 1e-5
MOST_NONE = 0.5


@dataclass(frozen=True, slots=True)
class Overlay:
    """Learnt counts with the strength of the book beside them. ``enabled`` False leaves the book as it is.

    ``before`` is what stood there earlier, newest first; ``undone`` brings it back.
    """

    counts: Counts
    made: str
    book_version: str
    book_fingerprint: str
    strength: float = STRENGTH
    enabled: bool = True
    before: tuple[Overlay, ...] = ()


@dataclass(frozen=True, slots=True)
class Shift:
    """One cause's share of single-fault jobs: in the book, after learning, and the jobs behind it."""

    cause: str
    title: str
    book: float
    learnt: float
    jobs: int


def learn(
    jobs: Iterable[Summary], book: RuleBook, made: str, old: Overlay | None = None, strength: float = STRENGTH
) -> Overlay:
    """A fresh overlay from all closed jobs. The former one is kept behind it, five deep; switched off stays off.

    Counting always starts anew from the files, so no job can be counted twice and a corrected job is corrected here.
    """
    return learnt(count(jobs, book), book, made, old, strength)


def learnt(
    counts: Counts, book: RuleBook, made: str, old: Overlay | None = None, strength: float = STRENGTH
) -> Overlay:
    """The same from jobs that were counted already."""
    if not strength > 0:
        raise ValueError("strength must be above 0")
    before = (replace(old, before=()), *old.before)[:5] if old else ()
    enabled = old.enabled if old else True
    return Overlay(counts, made, book.version, book.fingerprint, strength, enabled, before)


def undone(overlay: Overlay) -> Overlay | None:
    """The overlay before this one, None when there was none."""
    if not overlay.before:
        return None
    return replace(overlay.before[0], before=overlay.before[1:])


def switched(overlay: Overlay, on: bool) -> Overlay:
    """The same overlay, in use or not."""
    return replace(overlay, enabled=on)


def shares(book: RuleBook, overlay: Overlay) -> dict[str, float]:
    """Learnt share of every cause among single-fault jobs; they sum to what the book's shares sum to."""
    total = sum(cause.how_often.share for cause in book.causes.values())
    known = {cause: n for cause, n in overlay.counts.causes.items() if cause in book.causes}
    weight = overlay.strength + sum(known.values())
    return {
        cause.id: max(
            (overlay.strength * cause.how_often.share / total + known.get(cause.id, 0)) / weight * total, LOWEST_SHARE
        )
        for cause in book.causes.values()
    }


def apply_overlay(book: RuleBook, overlay: Overlay | None) -> RuleBook:
    """The book with this workshop's frequencies; the book itself when there is no overlay or it is switched off.

    The fingerprint changes with the counts, so that a case always tells which frequencies ranked it.
    """
    if overlay is None or not overlay.enabled or not overlay.counts.used:
        return book
    learnt = shares(book, overlay)
    causes = {name: _learnt(cause, learnt[name], overlay) for name, cause in book.causes.items()}
    mark = hashlib.sha256(repr((sorted(learnt.items()), overlay.counts.several, overlay.counts.none)).encode())
    return replace(
        book,
        causes=causes,
        knobs=_knobs(book.knobs, overlay),
        version=f"{book.version}, learnt from {overlay.counts.used} jobs",
        fingerprint=f"{book.fingerprint}+{mark.hexdigest()[:12]}",
    )


def _learnt(cause: Cause, share: float, overlay: Overlay) -> Cause:
    jobs = overlay.counts.causes.get(cause.id, 0)
    why = f"{jobs} proven jobs of {overlay.counts.single} on top of the book, which weighs {overlay.strength:g} jobs"
    return replace(cause, how_often=Frequency(share, cause.how_often.words, Basis("computed", why)))


def _knobs(knobs: Knobs, overlay: Overlay) -> Knobs:
    """Beta updates of the chance of no fault and of the share of faulty jobs with more than one."""
    counts, strength = overlay.counts, overlay.strength
    faulty = counts.single + counts.several
    none = (strength * knobs.none + counts.none) / (strength + faulty + counts.none)
    several = (strength * knobs.two_or_more + counts.several) / (strength + faulty)
    return replace(knobs, none=min(none, MOST_NONE), two_or_more=min(several, MOST_NONE))


def shifts(book: RuleBook, overlay: Overlay) -> list[Shift]:
    """For reviewing: every cause whose share moved, largest change first. Works on a switched-off overlay too."""
    total = sum(cause.how_often.share for cause in book.causes.values())
    learnt = shares(book, overlay)
    rows = [
        Shift(name, cause.title, cause.how_often.share / total, learnt[name] / total,
              overlay.counts.causes.get(name, 0))
        for name, cause in book.causes.items()
    ]  # fmt: skip
    moved = [row for row in rows if row.jobs or abs(row.learnt - row.book) > 1e-9]
    return sorted(moved, key=lambda row: (-abs(row.learnt - row.book), row.cause))
