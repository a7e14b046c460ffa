"""What raised a stop is not gone because it dried: a stop about a fault or a reading names the repair that lifts it."""

from collections.abc import Iterator

from diag.rulebook.desk import Problem
from diag.rulebook.hazards import StopRule
from diag.rulebook.lint.tools import error
from diag.rulebook.load import Draft
from diag.rulebook.model import RuleBook
from diag.rulebook.steps import ACTS

PRESSURES = ("rail pressure", "pump outlet pressure", "regulator outlet pressure")  # what can burst something


def find(draft: Draft) -> Iterator[Problem]:
    """Stops without what lifts them, and pressures without a stop."""
    book = draft.book
    shown = {sign for cause in book.causes.values() for sign in (*cause.shows, *cause.answers)}
    for rule in book.stops.values():
        place = draft.place("stops", rule.id, "when")
        signs = [f.partition(":")[2].partition("=")[0] for f in rule.when if f.startswith("sign:")]
        faults = [
            s for s in signs if s in book.signs and (s in shown or book.signs[s].conditions) and not book.signs[s].wet
        ]
        people = len(set(rule.forbids)) == len(ACTS)  # fire, somebody hurt: over when somebody says so
        if not rule.lifted_by and not people and (faults or any(f.startswith("reading:") for f in rule.when)):
            what = f"{rule.id!r} answers to a fault or a reading and does not say what lifts it."
            yield error("stop-is-lifted", place, what, "Add 'lifted_by' with the repairs, or 'new: PARAMETER'.")
        if not (rule.forbids or rule.bars):
            yield error("stop-is-lifted", place, f"{rule.id!r} forbids nothing.", "Name acts or steps.")
    if book.stops and "pressure-released" in book.setups:
        yield from _unlimited(draft, book)


def _unlimited(draft: Draft, book: RuleBook) -> Iterator[Problem]:
    for name in PRESSURES:
        if name in book.readings and not any(_limits(rule, name) for rule in book.stops.values()):
            place = draft.place("readings", name, "plausible")
            what = f"No stop rule says at which {name!r} to stop."
            yield error("stop-is-lifted", place, what, f'Add a stop with "reading:{name} above AMOUNT".')


def _limits(rule: StopRule, reading: str) -> bool:
    return any(fact.startswith(f"reading:{reading} above") for fact in rule.when) and "runs pump" in rule.forbids
