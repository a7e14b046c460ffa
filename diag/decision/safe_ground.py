"""What the weighing tells the safety wall, which weighs nothing itself: likely causes, a base far off, high pressures.

And the way on where a stop rule bars the rest of the work: the look or the repair that the rule itself names.
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import replace

from diag.decision.candidates import Candidate
from diag.decision.groups import can_go, put_aside
from diag.decision.policy import POLICY, Policy
from diag.decision.proposal import Alternative, Proposal
from diag.decision.reason import Leader, Reason
from diag.decision.view import View, proposal_of
from diag.fuelsystem.car import Car, hose_off_target
from diag.fuelsystem.points import CHOICES
from diag.inference.evidence import Evidence
from diag.inference.expected_reading import predicted_reading
from diag.inference.model import Model
from diag.inference.posterior import Belief
from diag.rulebook.findings import ABSENT
from diag.rulebook.hazards import StopRule
from diag.rulebook.model import RuleBook
from diag.rulebook.steps import Action, Check, Remedy, Step
from diag.rulebook.stopfacts import RENEWS
from diag.safety.limits import limit
from diag.safety.situation import Situation
from diag.safety.steps import find_step
from diag.safety.stop_rules import rules_in_force

_BASE = {"pump": "on", "hose": "off"}  # settings of a reading that shows the base pressure ...
_PLAIN = ("screw", "return", "speed", "clamp", "tank cap")  # ... with these as they are on the car


def informed(
    situation: Situation, model: Model, belief: Belief, evidence: Evidence, policy: Policy = POLICY
) -> Situation:
    """The situation with the likely causes that a stop rule asks about, and whether the base is far from its target."""
    asked = _asked_about(model.book)
    chances = zip(belief.causes, belief.marginal, strict=True)
    likely = frozenset(name for name, chance in chances if name in asked and chance >= policy.likely)
    far = base_is_far(model.car, evidence, model.book, policy, situation.doubtful)
    return replace(situation, likely=likely, facts=situation.facts | {"base:far"} if far else situation.facts)


def _asked_about(book: RuleBook) -> frozenset[str]:
    facts = (f.partition(":") for rule in book.stops.values() for f in rule.when)
    return frozenset(name.strip() for head, _, tail in facts if head == "likely" for name in tail.split(","))


def base_is_far(
    car: Car,
    evidence: Evidence,
    book: RuleBook,
    policy: Policy = POLICY,
    doubtful: Collection[int] = (),
) -> bool:
    """Whether the base pressure was last read far from the told target.

    A reading in doubt (its entry's number is among ``doubtful``) or a mere limit ("over 40") may show it far off, and
    never clears that again.
    """
    target = hose_off_target(car)
    far = False
    for r in evidence.readings:
        if target is None or r.epoch != len(evidence.epochs) - 1 or r.reading != "rail pressure":
            continue
        if _shows_base(r.point, book):
            off = abs(r.value - target) > policy.base_far * target
            far = off or (far and (r.entry in doubtful or bool(r.bound)))
    return far


def _shows_base(point: str, book: RuleBook) -> bool:
    settings = book.points[point].settings if point in book.points else {}
    plain = all(settings.get(name, CHOICES[name][0]) == CHOICES[name][0] for name in _PLAIN)
    still = settings.get("engine") in ("off", "idle")
    return plain and still and all(settings.get(name) == value for name, value in _BASE.items())


# ------------------------------------------------------------------ pressures to be expected


def expected_over(view: View, chosen: Candidate) -> tuple[Reason, ...]:
    """For each likely cause with which a reading of this check would pass its limit: the stop, said before all else."""
    check, model = chosen.plan.target, view.model
    if not isinstance(check, Check) or model.physics is None or check.from_log:
        return ()
    found = []
    for item in check.yields:
        if not item.reading:
            continue
        settings = view.book.points[item.at].settings
        most = limit(item.reading, settings, hose_off_target(model.car), view.situation.by_phone)
        if most is None or settings.get("pump") != "on":
            continue
        found += [Reason("over limit", step=check.id, leaders=(Leader((cause,), chance),), pressure=mean, limit=most)
                  for cause, chance, mean in _expected(view, item.reading, item.at) if mean > most]  # fmt: skip
    return tuple(sorted(found, key=lambda r: -r.pressure)[:1])


def _expected(view: View, reading: str, point: str) -> list[tuple[str, float, float]]:
    """(cause, its chance, mean reading in Pa) for every likely cause that the fuel system feels."""
    causes = view.book.causes
    likely = [
        (c, float(p)) for c, p in zip(view.belief.causes, view.belief.marginal, strict=True) if p >= view.policy.likely
    ]
    return [
        (cause, chance, predicted_reading(view.model, (cause,), reading, point, view.evidence).mean)
        for cause, chance in likely
        if causes[cause].is_physical
    ]


# ------------------------------------------------------------------ the way on from a stop


def made_safe(view: View, others: tuple[Alternative, ...]) -> Proposal | None:
    """The look or the repair that a stop rule names, where the rule bars the pump and with it the rest of the work."""
    for rule in rules_in_force(view.situation, view.book):
        if "runs pump" not in rule.forbids and not _bars_the_leader(view, rule):
            continue
        check = _look(view, rule)
        remedy = None if check is not None else _repair(view, rule)
        step = check or remedy
        if step is not None:
            kind = "check" if check is not None else "remedy"
            return proposal_of(view, kind, view.plan(step), (Reason("makes safe", step.id, rule=rule.id),), others)  # type: ignore[arg-type]
    return None


def seen_unfit(view: View) -> Proposal | None:
    """The repair of a part that was seen to be unfit for pressure, before anything else is asked.

    Those are the rules that want the sign seen gone after their own repair: a hose that is cracked is renewed whatever
    else is wrong, and nothing that needs the pump can be found out before.
    """
    for rule in rules_in_force(view.situation, view.book):
        if not rule.asked_again or "runs pump" not in rule.forbids:
            continue
        remedy = _repair(view, rule)
        if remedy is not None and remedy.id in rule.lifted_by:
            return proposal_of(view, "remedy", view.plan(remedy), (Reason("makes safe", remedy.id, rule=rule.id),))
    return None


def _bars_the_leader(view: View, rule: StopRule) -> bool:
    """Whether the rule bars the very remedy most likely needed, such as setting the base to a doubtful gauge."""
    return view.leader()[0] in rule.bars


def _look(view: View, rule: StopRule) -> Check | None:
    """The check that answers what the rule says nobody has looked at, or that must be seen gone after the repair."""
    untold = {f.partition(":")[2].strip() for f in rule.when if f.startswith("untold:")}
    repaired = _repaired(view, rule)
    if repaired and rule.asked_again:
        untold |= _signs(rule)
    proves = rule.proven_by if repaired else ()
    checks = [c for c in view.book.checks.values() if c.id in proves or any(y.sign in untold for y in c.yields)]
    new = [c for c in checks if c.id not in view.situation.done]  # asked and not told for certain: not again and again
    open_ = [c for c in new if not put_aside(c, view.situation) and can_go(view.plan(c), view.situation)]
    return min(open_, key=lambda c: (c.minutes + c.risk_minutes, c.id), default=None)


def _signs(rule: StopRule) -> set[str]:
    return {f.partition(":")[2].partition("=")[0].strip() for f in rule.when if f.startswith("sign:")}


def _named_first_time(view: View, rule: StopRule, remedy: Remedy) -> bool:
    """What the rule names needs no chance once; what did not take the sign away is not made again on its word."""
    return remedy.id in rule.lifted_by and not view.times_done(remedy)


def _repaired(view: View, rule: StopRule) -> bool:
    """Whether what the rule names was done since the sign was last seen, so that only the look is wanting."""
    if not rule.asked_again and not rule.proven_by:
        return False
    signs, evidence = _signs(rule), view.evidence
    seen = max((f.epoch for f in evidence.findings if f.sign in signs and f.answer != ABSENT), default=0)
    steps = (find_step(view.book, epoch.step) for epoch in evidence.epochs[seen + 1 :])
    return any(_lifts(rule, step) for step in steps)


def _lifts(rule: StopRule, step: Step | None) -> bool:
    if not isinstance(step, Remedy | Action):
        return False
    new = {name.removeprefix(RENEWS).strip() for name in rule.lifted_by if name.startswith(RENEWS)}
    return step.id in rule.lifted_by or bool(new & set(step.redraws))


def _repair(view: View, rule: StopRule) -> Remedy | None:
    """The repair that lifts the rule: the one most likely needed; one that the rule names itself needs no chance."""
    if _repaired(view, rule):
        return None
    shares = dict(zip(view.groups.names, (float(s) for s in view.shares()), strict=True))
    open_ = [
        remedy
        for remedy in view.book.remedies.values()
        if _lifts(rule, remedy)
        and remedy.keeps_car
        and not put_aside(remedy, view.situation)
        and not view.done_enough(remedy)
        and (_named_first_time(view, rule, remedy) or shares.get(remedy.id, 0.0) >= view.policy.guess_at)
        and can_go(view.plan(remedy), view.situation)
    ]
    named = {name: at for at, name in enumerate(rule.lifted_by)}
    return min(open_, key=lambda r: (-shares.get(r.id, 0.0), named.get(r.id, 99), r.id), default=None)
