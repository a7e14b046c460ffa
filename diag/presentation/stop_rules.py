"""Which stop rules are findings, what each of them orders for this kind of person, and in which order they are told."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import replace

from diag.rulebook.hazards import StopRule
from diag.rulebook.steps import ACTS, Act

_STANDING_FACTS = ("wet:unknown", "person:", "fuel:", "boost:", "likely:", "untold:")

_ACT_WORDS: dict[Act, str] = {
    "key on": "turn the key",
    "runs pump": "run the pump",
    "runs engine": "run the engine",
    "cranks engine": "crank",
    "drives car": "drive",
    "loads engine": "pull at full load or in boost",
    "opens system": "open a fuel joint",
    "pinches hose": "pinch a hose",
    "loads spring": "take off a regulator cover with its spring",
    "applies air": "apply air",
    "disturbs joint": "move a joint",
    "sparks": "make a spark (meter, relay, battery, lamp)",
}


def act_words(acts: Collection[str]) -> str:
    """What must not be done, in words."""
    if len(set(acts)) == len(ACTS):
        return "nothing may run, crank, drive, spark, or be opened, moved or pinched"
    words = ", ".join(_ACT_WORDS[act] for act in ACTS if act in acts)
    return f"do not {words}" if words else "leave alone what is named here"


def is_danger(rule: StopRule) -> bool:
    """Whether a stop rule answers to something that was seen, smelled or read.

    The standing ones (nobody has looked yet, no training, the kind of fuel, what is only likely) are no finding.
    """
    return any(not fact.startswith(_STANDING_FACTS) for fact in rule.when)


def to_be_told(rules: Sequence[StopRule]) -> list[StopRule]:
    """Stop rules as people should hear them: findings first, the strictest first, each order once.

    A rule is left out only where another one says the same for exactly this kind of person ("wet" and "wet and
    untrained"). One whose acts are forbidden already is still told: why, and what to do now, are its own.
    """
    kept = [
        rule for rule in rules if not any(_more(rule, other, "person:") for other in rules)
    ]  # fmt: skip
    kept.sort(key=lambda rule: (not is_danger(rule), -len(set(rule.forbids))))
    return _each_order_once([_as_ordered(rule, rules) for rule in kept])


def as_told(rules: Sequence[StopRule]) -> list[StopRule]:
    """All of the rules, each with the orders that this kind of person is to hear; for records and scripts."""
    return [_as_ordered(rule, rules) for rule in rules]


def _as_ordered(rule: StopRule, rules: Sequence[StopRule]) -> StopRule:
    """The rule with one list of orders: what hands at the car do is not for an untrained person.

    Nor is it said where another rule in force knows this very fuel: petrol is soaked up, methanol is flooded. While a
    finding sends everybody away nobody is given work, nor invited to look by the rules that merely wait for a look.
    """
    untrained = any("person:untrained" in other.when for other in rules)
    away = any(is_danger(other) and len(set(other.forbids)) == len(ACTS) for other in rules)
    hands = () if untrained or away or any(_more(rule, other, "fuel:") for other in rules) else rule.hands_on
    welcome = () if away and all(fact.startswith(("wet:unknown", "person:")) for fact in rule.when) else rule.do_now
    return replace(rule, do_now=(*welcome, *hands), hands_on=())


def _more(rule: StopRule, other: StopRule, kind: str) -> bool:
    """Whether the other rule is this one, only narrower by facts of one kind."""
    extra = set(other.when) - set(rule.when)
    return set(rule.when) < set(other.when) and all(fact.startswith(kind) for fact in extra)


def _each_order_once(rules: Collection[StopRule]) -> list[StopRule]:
    said: set[str] = set()
    found = []
    for rule in rules:
        fresh = tuple(order for order in rule.do_now if order not in said)
        said.update(fresh)
        found.append(replace(rule, do_now=fresh))
    return found
