"""Written cases held against what the trade expects of them: every expectation that is not met, in a sentence."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from diag.casework.entries import Case
from diag.casework.replay import ModelCache, Standing, standing
from diag.inference.posterior import NOT_IN_BOOK, NOTHING_WRONG
from diag.rulebook.model import RuleBook
from diag.safety.steps import step_ids
from diag.simulation.expected import Expect, Worked
from diag.support.errors import UnknownNameError


def check_names(worked: Worked, case: Case, book: RuleBook) -> None:
    """Refuse an expectation that speaks of what is not there.

    Raises:
        UnknownNameError: a cause, check or step that the book does not have, or an entry that the case does not have.
    """
    causes = (*book.causes, NOTHING_WRONG, NOT_IN_BOOK)
    steps, entries = tuple(step_ids(book)), tuple(str(entry.number) for entry in case.entries)
    for expect in worked.expect:
        _known("entry", str(expect.at), entries, worked)
        for cause in (*expect.lead, *expect.all, *expect.some, *expect.below):
            _known("cause", cause, causes, worked)
    for step in (*(s for w in worked.walled for s in w.steps), *(s for _, found in worked.unwise for s in found)):
        _known("step", step, steps, worked)
    for check in worked.decisive:
        _known("check", check, tuple(book.checks), worked)


def _known(kind: str, name: str, known: Iterable[str], worked: Worked) -> None:
    if name not in known:
        raise UnknownNameError(kind, name, known, f"{worked.place} {worked.name}")


def unmet(worked: Worked, case: Case, book: RuleBook, cache: ModelCache | None = None) -> list[str]:
    """What of the expectations is not so, one sentence each; empty when all is as the trade expects.

    Raises:
        UnknownNameError: as ``check_names``.
    """
    check_names(worked, case, book)
    return [line for expect in worked.expect for line in unmet_at(expect, _after(case, expect.at, book, cache))]


def _after(case: Case, number: int, book: RuleBook, cache: ModelCache | None) -> Standing:
    entries = tuple(entry for entry in case.entries if entry.number <= number)
    return standing(replace(case, entries=entries), book, cache)


def unmet_at(expect: Expect, then: Standing) -> list[str]:
    """What is not so after one entry."""
    ranked = then.belief.ranked()
    chances, first = dict(ranked), [cause for cause, _ in ranked[: expect.first or 1]]
    front = ", ".join(f"{cause} {100 * chance:.0f} %" for cause, chance in ranked[:3])
    found = []
    if expect.lead and first[0] not in expect.lead:
        found.append(f"{' or '.join(expect.lead)} should lead; it is {front}.")
    missing = [cause for cause in expect.all if cause not in first]
    if missing:
        found.append(f"{', '.join(missing)} should be among the first {expect.first or 1}; they are {front}.")
    if expect.some and not set(expect.some) & set(first):
        found.append(f"One of {', '.join(expect.some)} should be among the first {expect.first or 1}: {front}.")
    for cause, limit in expect.below.items():
        if chances.get(cause, 0.0) >= limit:
            found.append(f"{cause} should stay below {limit:g} and is at {chances[cause]:.3f}.")
    if expect.proposes and then.proposal.kind != expect.proposes:
        found.append(f"The next step should be of the kind {expect.proposes}; it is {then.proposal.kind}.")
    if expect.odd and then.misfit.entry != expect.odd:
        found.append(f"Entry {expect.odd} should fit least; it is {then.misfit.entry}.")
    return [f"After entry {expect.at}: {line}" for line in found]
