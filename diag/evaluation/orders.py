"""Other ways to choose the next check, for comparison. All of them obey the wall and judge with the same belief.

That flatters them: a flowchart on paper weighs nothing, and does not know when the cause is as good as found.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

from diag.casework.replay import Standing
from diag.decision.groups import price
from diag.decision.next_step import propose_by
from diag.decision.proposal import Proposal
from diag.safety.setups import Plan
from diag.simulation.generators import rng_of

FLOWCHART: tuple[str, ...] = (
    "look-over",
    "ask-start-story",
    "ask-running-story",
    "ask-about-level",
    "listen-to-pump",
    "base-pressure",
    "pull-reference-hose",
    "idle-pressure-hose-off",
    "idle-pressure-hose-on",
    "hand-pump-reference",
    "adjuster-sweep",
    "look-at-fuse",
    "swap-relay",
    "pump-volts-reading",
    "feed-drop-reading",
    "ground-drop-reading",
    "pump-amps-reading",
    "walk-the-return",
    "open-return",
    "outlet-gauge",
    "dead-head-test",
    "pump-flow-test",
    "bleed-free",
    "bleed-return-clamped",
    "bleed-feed-clamped",
    "full-load-pressure",
    "faded-pressure",
    "cap-test",
    "gauge-zero",
    "compare-second-gauge",
    "filter-drop-reading",
    "suction-gauge-test",
    "read-settings",
    "compare-mixture-with-aim",
    "look-at-plugs",
    "spark-test",
    "compression-test",
    "strip-regulator",
)
"""The order in which a shop manual walks through a fuel system: leaks, story, pump, pressure, reference, supply,
return, volume, holding pressure, load, tank, gauge, then the rest of the engine. Common practice, no source."""


def engine(seed: int) -> Callable[[Standing], Proposal]:
    """The engine's own choice."""
    return lambda here: here.proposal


def _by(pick: Callable[[Standing, Sequence[Plan]], Plan | None]) -> Callable[[Standing], Proposal]:
    def choose(here: Standing) -> Proposal:
        return propose_by(here.model, here.belief, here.evidence, here.situation, lambda plans: pick(here, plans))

    return choose


def at_random(seed: int) -> Callable[[Standing], Proposal]:
    """Any allowed check."""
    rng = rng_of("random order", seed)
    return _by(lambda here, plans: plans[int(rng.integers(len(plans)))] if plans else None)


def cheapest(seed: int) -> Callable[[Standing], Proposal]:
    """The check with the fewest minutes first."""

    def pick(here: Standing, plans: Sequence[Plan]) -> Plan | None:
        return min(plans, key=lambda p: (price(p, here.situation, here.book), p.target.id), default=None)

    return _by(pick)


def ratio(seed: int) -> Callable[[Standing], Proposal]:
    """The classical order: the confirming check of the cause with the highest chance per minute."""

    def pick(here: Standing, plans: Sequence[Plan]) -> Plan | None:
        chance: dict[str, float] = {}
        for cause, p in zip(here.belief.causes, here.belief.marginal, strict=True):
            for check in here.book.causes[cause].confirmed_by:
                chance[check] = chance.get(check, 0.0) + float(p)

        def rate(plan: Plan) -> tuple[float, str]:
            return -chance.get(plan.target.id, 0.0) / price(plan, here.situation, here.book), plan.target.id

        best = min(plans, key=rate, default=None)
        return best if best is not None and chance.get(best.target.id, 0.0) > 0.0 else None

    return _by(pick)


def flowchart(seed: int) -> Callable[[Standing], Proposal]:
    """A fixed order; the next check of the list that is still open, then whatever is cheapest."""

    def pick(here: Standing, plans: Sequence[Plan]) -> Plan | None:
        open_ = {p.target.id: p for p in plans}
        listed = next((open_[name] for name in FLOWCHART if name in open_), None)
        return listed or min(plans, key=lambda p: (price(p, here.situation, here.book), p.target.id), default=None)

    return _by(pick)


ORDERS: dict[str, Callable[[int], Callable[[Standing], Proposal]]] = {
    "engine": engine,
    "flowchart": flowchart,
    "cheapest": cheapest,
    "ratio": ratio,
    "random": at_random,
}
