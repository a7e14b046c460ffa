"""How the asking ends: with a remedy, with closing the job, or with handing the car on.

The remedies stand in the order of chance over cost. Each is passed over by the first rule of ``PASSED_OVER`` that
speaks against it; the first that is left is proposed.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from diag.decision.candidates import Candidate, for_another
from diag.decision.groups import can_go, ends_job, explains_only, put_aside
from diag.decision.proof import complaint_again, complaint_stays
from diag.decision.proposal import Alternative, Proposal
from diag.decision.reason import Reason
from diag.decision.reasoning import of_cost, of_hand_on, of_remedy, of_still_wrong
from diag.decision.still_wrong import read_or_set_again, readings_outside
from diag.decision.view import View, only_sets, proposal_of
from diag.inference.evidence import Reading
from diag.inference.posterior import NOTHING_WRONG
from diag.rulebook.steps import Step
from diag.safety.beforehand import measures_any, unmeasured, untraced
from diag.safety.setups import Plan
from diag.safety.situation import Wet
from diag.safety.steps import WIPE

GAUGE = "gauge"  # the area of the book whose causes are faults of the instrument


@dataclass(frozen=True, slots=True)
class Ending:
    """One way to end: the group of causes it settles, its place among the groups, its chance.

    ``more_to_ask``: some check that can be done still tells enough to be worth its minutes.
    """

    name: str
    at: int
    share: float
    more_to_ask: bool
    harmless: float = 0.0  # chance that all there is to do is to explain, one way or another

    @property
    def closes(self) -> bool:
        """Whether it says that nothing is wrong."""
        return self.name == NOTHING_WRONG


@dataclass(frozen=True, slots=True)
class PassOver:
    """A reason not to end this way now."""

    name: str
    why: str
    holds: Callable[[View, Ending], bool]


def _not_open(view: View, ending: Ending) -> bool:
    return not view.top.prices.curable[ending.at]


def _does_not_pay(view: View, ending: Ending) -> bool:
    prices = view.top.prices
    return ending.share * prices.hand_on <= (1.0 - ending.share) * float(prices.minutes[ending.at])


def _sends_away(view: View, ending: Ending) -> bool:
    if ending.closes or explains_only(ending.name, view.book):
        return max(ending.share, ending.harmless) < view.policy.close_at
    return ends_job(view.groups.plans[ending.name].target) and ending.share < view.policy.close_at


def _fuel_outside(view: View, ending: Ending) -> bool:
    return ending.closes and view.situation.wet in (Wet.WET, Wet.REPAIRED)


def _still_there(view: View, ending: Ending) -> bool:
    return ending.closes and complaint_stays(view) and complaint_again(view) is None


def _outside(view: View, ending: Ending) -> tuple[Reading, ...]:
    wide = ending.share >= view.policy.confirmed  # then only what is far off counts: one reading in thirty is misread
    return readings_outside(view, wide)


def _reads_wrong(view: View, ending: Ending) -> bool:
    return ending.closes and bool(_outside(view, ending))


def _known_for_another(view: View, ending: Ending) -> bool:
    return for_another(view) is not None and ending.share < view.policy.close_at


def _done_enough(view: View, ending: Ending) -> bool:
    step = view.book.remedies.get(ending.name)
    return step is not None and view.done_enough(step)


def _done_before(view: View, ending: Ending) -> bool:
    step = view.book.remedies.get(ending.name)
    if step is None or step.for_leaks or only_sets(step) or ending.share >= view.policy.confirmed:
        return False  # a leak may come back, and a setting may have to be made twice
    return view.times_done(step) > 0


def _set_by_a_doubted_gauge(view: View, ending: Ending) -> bool:
    step = view.book.remedies.get(ending.name)
    if step is None or not only_sets(step):
        return False
    shares, curable = view.shares(), view.top.prices.curable
    doubt = sum(
        float(shares[at])
        for at, name in enumerate(view.groups.names)
        if curable[at] and name != ending.name and _of_the_gauge(view, at)
    )
    return doubt >= view.policy.gauge_doubt


def _of_the_gauge(view: View, group: int) -> bool:
    """Whether all that this remedy stands for here is a fault of the gauge itself, its place or its line."""
    members = view.groups.of_cause[:-1] == group
    causes = (view.book.causes[c] for c, there in zip(view.belief.causes, members, strict=True) if there)
    return all(cause.area == GAUGE and cause.kind != "exit" for cause in causes) and bool(members.any())


READS_WRONG = PassOver(
    "still reads wrong",
    "what was read is outside what a sound car shows, so something is wrong, named or not",
    _reads_wrong,
)
PASSED_OVER: tuple[PassOver, ...] = (
    PassOver("not open", "this person cannot carry it out here", _not_open),
    PassOver(
        "does not pay",
        "what is lost when it was needless outweighs what is lost when the car goes away for nothing",
        _does_not_pay,
    ),
    PassOver(
        "sends away",
        "explaining is cheap, but nobody is sent away while some fault is likelier than all that is harmless",
        _sends_away,
    ),
    PassOver(
        "another's job",
        "what is needed is known and is for somebody else, so nothing is tried here on the off chance before it",
        _known_for_another,
    ),
    PassOver(
        "gauge in doubt",
        "what is set by a gauge that may show wrongly is set wrongly, so the gauge is put right first",
        _set_by_a_doubted_gauge,
    ),
    PassOver(
        "done before",
        "what was carried out once and did not help is not tried again on the off chance",
        _done_before,
    ),
    PassOver(
        "done enough",
        "what was carried out twice and did not last will not last the third time: something else is wrong",
        _done_enough,
    ),
    PassOver("fuel outside", "no job is closed with fuel outside the system", _fuel_outside),
    READS_WRONG,
    PassOver(
        "complaint still there",
        "what the owner came with was seen again after the repair, so something else may be wrong as well",
        _still_there,
    ),
)


def remedy_or_end(view: View, others: tuple[Alternative, ...], more_to_ask: bool = False) -> Proposal:
    """No check is worth it: the first remedy that no rule passes over, else wipe a wet place, else hand on."""
    for ending in _endings(view, more_to_ask):
        against = next((rule for rule in PASSED_OVER if rule.holds(view, ending)), None)
        if against is READS_WRONG:
            again = read_or_set_again(view, _outside(view, ending), others)
            if again is not None:
                return again
        if against is not None:
            continue
        if ending.closes:
            return _closed(view, ending, others)
        if not unmeasured(view.situation, view.groups.plans[ending.name].target):
            return _repaired(view, ending, others)
        measuring = _measuring(view, view.groups.plans[ending.name].target)
        if measuring is not None:
            why = (Reason("measure first", remedy=ending.name),)
            return proposal_of(view, "check", measuring, why, others)
    traced = _trace(view)
    if traced is not None:
        return proposal_of(view, "check", traced, (Reason("trace first", traced.target.id),), others)
    wiped = _wipe(view)
    if wiped is not None:
        return proposal_of(view, "remedy", wiped, (Reason("wipe"),), others)
    return _handed_on(view, others)


def _handed_on(view: View, others: tuple[Alternative, ...]) -> Proposal:
    """To somebody else; ``toward`` names the remedy when it is known."""
    named = for_another(view)
    why = of_still_wrong(readings_outside(view)) + of_hand_on(view.situation, view.leader(), view.groups, named)
    toward = named.target.id if named is not None else ""
    return Proposal("hand on", "", "Hand the car on", (), why, alternatives=others, toward=toward)


def _endings(view: View, more_to_ask: bool) -> list[Ending]:
    """All ways to end by chance over cost; what is likelier than not stands before cheaper things to try."""
    group, share = view.leader()
    shares, names = view.shares(), view.groups.names
    order = [int(at) for at in view.top.prices.orders(view.top.weights[:, None])[0]]
    if share >= view.policy.close_at:
        order.sort(key=lambda at: names[at] != group)
    harmless = sum(
        float(share)
        for name, share in zip(names, shares, strict=True)
        if name == NOTHING_WRONG or explains_only(name, view.book)
    )
    return [Ending(names[at], at, float(shares[at]), more_to_ask, harmless) for at in order]


def _closed(view: View, ending: Ending, others: tuple[Alternative, ...]) -> Proposal:
    again = complaint_again(view)
    if again is not None:
        return again
    why = (Reason("nothing wrong", chance=ending.share),)
    return Proposal("close", "", "Nothing more is wrong", (), why, alternatives=others)


def _repaired(view: View, ending: Ending, others: tuple[Alternative, ...]) -> Proposal:
    plan = view.groups.plans[ending.name]
    why = of_remedy(plan.target, ending.share, view.belief, view.book) + of_cost(plan, view.situation)
    return proposal_of(view, "remedy", plan, why, others)


def confirmed_by(view: View, end: Proposal, telling: list[Candidate]) -> Candidate | None:
    """Before a dear step, a check that is cheap beside it and still tells something, while there is some doubt.

    Minutes alone would allow changing a return line, or sending the car away, on nine chances in ten; nobody explains
    that to an owner, and one slip of the tongue is enough to be wrong.
    """
    name = {"remedy": end.toward or end.step, "close": NOTHING_WRONG, "hand on": end.toward}.get(end.kind, "")
    policy = view.policy
    if name not in view.groups.names or view.leader()[1] >= policy.confirmed:
        return None
    dear = float(view.top.prices.minutes[view.groups.names.index(name)])
    most = policy.confirm_share * (dear + view.top.prices.hand_on * (end.kind == "hand on"))
    return next((c for c in telling if c.score.minutes <= most and c.score.gain >= policy.tells_much), None)


def _measuring(view: View, remedy: Step) -> Plan | None:
    """The quickest way to a measurement that the remedy waits for; None when there is none here."""
    wanted, new = unmeasured(view.situation, remedy), view.situation.done
    return view.quickest(c for c in view.book.checks.values() if c.id not in new and measures_any(c, wanted))


def _trace(view: View) -> Plan | None:
    """The first look that must be tried before a wet place is wiped; None when nothing is wet or all were tried."""
    step = view.book.remedies.get(WIPE)
    if step is None or view.situation.wet is not Wet.WET:
        return None
    plans = [view.plan(view.book.checks[name]) for name in untraced(view.situation, step) if name in view.book.checks]
    return next((plan for plan in plans if can_go(plan, view.situation)), None)


def shows_second_fault(view: View, end: Proposal, usable: list[Candidate]) -> Candidate | None:
    """Before a dear repair, one reading that is cheap beside it and would show a second fault, if none was taken.

    However sure the first fault is: a car that comes back after a long repair with another one comes back angry.
    """
    policy, name = view.policy, end.toward or end.step
    if end.kind != "remedy" or name not in view.groups.names:
        return None
    dear = float(view.top.prices.minutes[view.groups.names.index(name)])
    now = len(view.evidence.epochs) - 1
    if dear < policy.dear_minutes or any(r.epoch == now for r in view.evidence.readings):
        return None
    reads = (c for c in usable if any(y.reading for y in c.prospect.check.yields))
    cheap = [c for c in reads if c.score.minutes <= policy.confirm_share * dear and c.score.gain >= policy.shows_second]
    return max(cheap, key=lambda c: c.score.gain, default=None)


def _wipe(view: View) -> Plan | None:
    """Fuel outside and no leak that pays to repair: wiped once, and then proven like any repair."""
    step = view.book.remedies.get(WIPE)
    if step is None or view.times_done(step) or view.situation.wet is not Wet.WET or put_aside(step, view.situation):
        return None
    plan = view.plan(step)
    return plan if can_go(plan, view.situation) else None
