"""What closed jobs teach: which of them count, and what each of them says about how often a cause comes.

Nothing is learnt from a job whose cure was not proven: the guards are in ``verdict_of`` and every job passed over is
counted with its reason.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from diag.casework.summary import Summary
from diag.rulebook.causes import Cause
from diag.rulebook.model import RuleBook

ONE, SEVERAL, NONE = "one cause", "several causes", "nothing wrong"


@dataclass(frozen=True, slots=True)
class Counts:
    """What proven jobs said. ``refused`` counts the jobs passed over, by reason."""

    causes: Mapping[str, int] = field(default_factory=dict)
    several: int = 0
    none: int = 0
    refused: Mapping[str, int] = field(default_factory=dict)

    @property
    def single(self) -> int:
        """Jobs that proved exactly one cause."""
        return sum(self.causes.values())

    @property
    def used(self) -> int:
        """Jobs that taught something."""
        return self.single + self.several + self.none


def verdict_of(job: Summary, known: Mapping[str, Cause]) -> tuple[str, str]:
    """What may be learnt from one job: (ONE | SEVERAL | NONE, "") or ("", why nothing)."""
    if "-copy-" in job.id:
        return "", "a copy of another job"
    if job.status != "closed":
        return "", "not closed"
    if job.result == "normal":
        return (NONE, "") if job.proven and not job.causes else ("", "normal behaviour, not proven")
    if job.result != "cured":
        return "", f"ended as: {job.result or 'no outcome'}"
    if not job.proven:
        return "", "cured, but not proven"
    if not job.causes:
        return "", "cured, but no cause named"
    if any(cause not in known for cause in job.causes):
        return "", "a cause that this rule book does not have"
    done = {step for step, _ in job.steps}
    if any(known[cause].remedies and done.isdisjoint(known[cause].remedies) for cause in job.causes):
        return "", "cured, but no remedy for that cause on record"
    # Cures done together prove no single cause, so such a job counts for the number of faults only.
    return (ONE, "") if len(set(job.causes)) == 1 else (SEVERAL, "")


def count(jobs: Iterable[Summary], book: RuleBook) -> Counts:
    """Go through the jobs once; each job name counts once."""
    causes: Counter[str] = Counter()
    refused: Counter[str] = Counter()
    several = none = 0
    seen: set[str] = set()
    for job in jobs:
        if job.id in seen:
            refused["seen twice"] += 1
            continue
        seen.add(job.id)
        what, why = verdict_of(job, book.causes)
        if what == ONE:
            causes[job.causes[0]] += 1
        elif what == SEVERAL:
            several += 1
        elif what == NONE:
            none += 1
        else:
            refused[why] += 1
    return Counts(dict(sorted(causes.items())), several, none, dict(sorted(refused.items())))
