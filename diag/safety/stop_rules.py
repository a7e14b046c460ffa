"""Stop rules of the book: which are in force, and which steps they keep shut. Pure."""

from __future__ import annotations

from diag.rulebook.derived import derived
from diag.rulebook.hazards import StopRule
from diag.rulebook.model import RuleBook
from diag.rulebook.steps import ACTS, Act, Step
from diag.safety.effects import acts_of, hands_car_on
from diag.safety.situation import Situation, Verdict, Wet, refused
from diag.safety.wet_fuel import next_joint, way_back


def rules_in_force(situation: Situation, book: RuleBook) -> tuple[StopRule, ...]:
    """The book's stop rules whose facts all hold, by id."""
    known = _rules_known(book)
    key = (
        situation.wet,
        situation.person,
        situation.fuel,
        situation.boost,
        situation.likely,
        situation.facts,
        situation.stops,
    )
    if key not in known:
        known[key] = tuple(rule for rule in book.stops.values() if _in_force(situation, rule))
    return known[key]


def _in_force(situation: Situation, rule: StopRule) -> bool:
    """A rule that came into force stays so for what was seen or read; all else counts as it is now.

    Otherwise a plan that begins with the look-over would still be stopped after it for want of a look-over.
    """
    if rule.id not in situation.stops:
        return bool(rule.when) and all(_holds(situation, fact) for fact in rule.when)
    return all(_holds(situation, fact) for fact in rule.when if fact.partition(":")[0] in _AS_IT_IS_NOW)


_AS_IT_IS_NOW = frozenset({"wet", "person", "fuel", "boost", "likely"})


class _InForce(dict[tuple[object, ...], tuple[StopRule, ...]]):
    """Rules in force by what is known; a plan asks the same question hundreds of times."""

    def __init__(self, book: RuleBook) -> None:
        super().__init__()


def _rules_known(book: RuleBook) -> _InForce:
    return derived(book, _InForce, lambda known: len(known) > _MOST_KNOWN)


_MOST_KNOWN = 1000


def _holds(situation: Situation, fact: str) -> bool:
    head, _, tail = fact.partition(":")
    tail = tail.strip()
    if head == "wet":
        return tail == _WET_WORD[situation.wet]
    if head == "person":
        return tail == situation.person
    if head == "fuel":
        return bool(situation.fuel) and tail.casefold() == situation.fuel.casefold()
    if head == "boost":
        return situation.boost == "yes" or (tail == "possible" and situation.boost == "unknown")
    if head == "likely":
        return any(cause.strip() in situation.likely for cause in tail.split(","))
    return fact in situation.facts


def likely_heard(situation: Situation, book: RuleBook) -> frozenset[str]:
    """Of the likely causes one for each fact that they make true, so that as many as possible come to the same."""
    facts = derived(book, _likely_facts)
    return frozenset(heard[0] for fact in facts if (heard := [c for c in fact if c in situation.likely]))


def _likely_facts(book: RuleBook) -> tuple[tuple[str, ...], ...]:
    facts = {fact for rule in book.stops.values() for fact in rule.when if fact.startswith("likely:")}
    return tuple(tuple(name.strip() for name in fact.removeprefix("likely:").split(",")) for fact in sorted(facts))


_WET_WORD = {Wet.UNKNOWN: "unknown", Wet.DRY: "dry", Wet.WET: "wet", Wet.REPAIRED: "repaired"}


def stop_rule(situation: Situation, step: Step, book: RuleBook) -> Verdict | None:
    back = way_back(situation, step, book) or next_joint(situation, step)
    kinds = derived(book, _kinds)
    for rule in rules_in_force(situation, book):
        forbids, about_wet, total = kinds[rule.id]
        if total and not hands_car_on(step):
            return refused(f"{rule.title}: {rule.why}", rule.until, ACTS)
        if step.id in rule.bars:
            return refused(f"{rule.title}: {rule.why}", rule.until, tuple(step.does))
        acts = acts_of(step, forbids)
        if acts and not (back and about_wet):
            return refused(f"{rule.title}: {rule.why}", rule.until, acts)
    return None


def _kinds(book: RuleBook) -> dict[str, tuple[frozenset[Act], bool, bool]]:
    """Of each rule: what it forbids, whether it only puts the wet-fuel wall into words, whether it forbids all."""
    return {
        rule.id: (frozenset(rule.forbids), _about_wet_only(rule, book), _total(rule, book))
        for rule in book.stops.values()
    }


def full_stop(situation: Situation, book: RuleBook) -> StopRule | None:
    """A stop rule in force that forbids everything (fire, somebody hurt): nothing at all is done at the car."""
    return next((rule for rule in rules_in_force(situation, book) if _total(rule, book)), None)


def _total(rule: StopRule, book: RuleBook) -> bool:
    return len(set(rule.forbids)) == len(ACTS) and not _about_wet_only(rule, book)


def _about_wet_only(rule: StopRule, book: RuleBook) -> bool:
    """Rules that only put the wet-fuel wall into words; the way back from wet fuel is not theirs to block.

    A rule that names its own repair says more: a damper that is new and dry outside proves no dry hose inside.
    """

    def about_wet(fact: str) -> bool:
        head, _, tail = fact.partition(":")
        return head == "wet" or (head == "sign" and tail in book.signs and book.signs[tail].wet)

    return bool(rule.when) and not rule.lifted_by and all(about_wet(f) for f in rule.when)
