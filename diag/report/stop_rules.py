"""Which stop rules are findings, and which of them people should hear, in which order."""

from __future__ import annotations

from collections.abc import Sequence

from diag.rulebook.model import StopRule

_STANDING_FACTS = ("wet:unknown", "person:", "fuel:")


def is_danger(rule: StopRule) -> bool:
    """Whether a stop rule answers to something that was seen, smelled or read.

    The standing ones (nobody has looked yet, an untrained person, the kind of fuel) hold on every such job from its
    first minute and are no finding.
    """
    return any(not fact.startswith(_STANDING_FACTS) for fact in rule.when)


def to_be_told(rules: Sequence[StopRule]) -> list[StopRule]:
    """Stop rules as people should hear them: findings first, the strictest first.

    A rule is left out where another one says the same for exactly this kind of person: telling an untrained caller
    to catch the drip and to step away would be two orders at once.
    """
    kept = [
        rule
        for rule in rules
        if not any(
            set(rule.when) < set(other.when) and all(f.startswith("person:") for f in set(other.when) - set(rule.when))
            for other in rules
        )
    ]
    return sorted(kept, key=lambda rule: (not is_danger(rule), -len(rule.forbids)))
