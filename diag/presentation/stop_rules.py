"""Which stop rules are findings, and which of them people should hear, in which order."""

from __future__ import annotations

from collections.abc import Collection, Sequence

from diag.rulebook.model import ACTS, Act, StopRule

_STANDING_FACTS = ("wet:unknown", "person:", "fuel:")

_ACT_WORDS: dict[Act, str] = {
    "key on": "turn the key",
    "runs pump": "run the pump",
    "runs engine": "run the engine",
    "cranks engine": "crank",
    "drives car": "drive",
    "opens system": "open a fuel joint",
    "pinches hose": "pinch a hose",
    "loads spring": "take off a bonnet with its spring",
    "applies air": "apply air",
    "disturbs joint": "move a joint",
    "sparks": "make a spark (meter, relay, battery, lamp)",
}


def act_words(acts: Collection[str]) -> str:
    """What must not be done, in words."""
    if len(set(acts)) == len(ACTS):
        return "nothing may run, crank, drive, spark, or be opened, moved or pinched"
    return "do not " + ", ".join(_ACT_WORDS[act] for act in ACTS if act in acts)


def is_danger(rule: StopRule) -> bool:
    """Whether a stop rule answers to something that was seen, smelled or read.

    The standing ones (nobody has looked yet, an untrained person, the kind of fuel) hold on every such job from its
    first minute and are no finding.
    """
    return any(not fact.startswith(_STANDING_FACTS) for fact in rule.when)


def to_be_told(rules: Sequence[StopRule]) -> list[StopRule]:
    """Stop rules as people should hear them: findings first, the strictest first.

    A rule is left out where another one says the same for exactly this kind of person: telling an untrained caller
    to catch the drip and to step away would be two orders at once. For the same reason only rules that forbid
    everything are told while one of them is in force for an untrained person.
    """
    away = any("person:untrained" in rule.when and len(set(rule.forbids)) == len(ACTS) for rule in rules)
    kept = [
        rule
        for rule in rules
        if not (away and len(set(rule.forbids)) < len(ACTS))
        and not any(
            set(rule.when) < set(other.when) and all(f.startswith("person:") for f in set(other.when) - set(rule.when))
            for other in rules
        )
    ]
    return sorted(kept, key=lambda rule: (not is_danger(rule), -len(rule.forbids)))
