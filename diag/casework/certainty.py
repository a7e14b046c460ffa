"""What is certain: told for sure, and seen by whoever tells it. All else may raise a danger and never clears one."""

from __future__ import annotations

from diag.casework.entries import Case, Entry, ReadingTaken, Replaced, SignAnswer


def is_certain(entry: SignAnswer | ReadingTaken) -> bool:
    """Whether it was told for sure and at first hand."""
    return entry.sure == "sure" and entry.source == "own eyes"


def still_said(case: Case, told: Entry, now: Entry) -> tuple[Entry, ...]:
    """What is still said at the place of ``told``, which reads ``now`` after all edits, oldest first.

    A correction that is itself in doubt does not unsay what stood there before, so that "no, I think" put in the place
    of "yes" leaves the yes standing beside it.
    """
    if not isinstance(now, SignAnswer | ReadingTaken) or is_certain(now):
        return (now,)
    said = [told, *(edit.by for edit in case.entries if isinstance(edit, Replaced) and edit.target == told.number)]
    certain = [at for at, x in enumerate(said) if isinstance(x, SignAnswer | ReadingTaken) and is_certain(x)]
    return tuple(said[certain[-1] if certain else 0 :])
