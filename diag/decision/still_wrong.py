"""What is still wrong after a repair: readings that no sound car shows. While one stands, no job is closed as sound.

Such a reading is taken once more, since one in thirty is misread. When it stands and is the rail's own pressure, the
base is set: regulators leave a bench at any figure, and setting it is a quarter of an hour.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import replace

import numpy as np

from diag.decision.groups import can_go
from diag.decision.proof import complaint_stays
from diag.decision.proposal import Alternative, Proposal
from diag.decision.reason import Reason
from diag.decision.reasoning import of_cost, of_read_again, of_still_wrong
from diag.decision.view import SET, View, proposal_of
from diag.inference.evidence import Evidence, Reading
from diag.inference.expected_reading import predicted_reading
from diag.inference.posterior import NOTHING_WRONG
from diag.rulebook.model import RuleBook
from diag.rulebook.steps import Remedy, Yield

RAIL = "rail pressure"


def seeking(view: View) -> View:
    """The view for choosing checks: while something is plainly still wrong, "nothing wrong" counts for little.

    A complaint that was seen again after a repair, or a reading that no sound car shows, has a cause, also where all
    that is left is unlikely beforehand; but not for ever, since some complaints are false reports. Repairs and endings
    go by the belief itself.
    """
    top, names = view.top, view.groups.names
    if len(view.situation.tried) >= view.policy.seek_at_most:
        return view
    calm = (top.prices.members == names.index(NOTHING_WRONG)).any(axis=1)
    share = float(top.weights[calm].sum())
    if share <= view.policy.calm_at_most or share >= 1.0 or not (complaint_stays(view) or readings_outside(view)):
        return view
    weights = np.where(calm, view.policy.calm_at_most / share, (1.0 - view.policy.calm_at_most) / (1.0 - share))
    return replace(view, top=replace(top, weights=top.weights * weights))


def readings_outside(view: View, wide: bool = False) -> tuple[Reading, ...]:
    """The latest reading of each kind and point since the last change of the car that a sound car does not show.

    ``wide`` leaves room for twice the band.
    """
    now = len(view.evidence.epochs) - 1
    latest = {(r.reading, r.point): r for r in view.evidence.readings if r.epoch == now}
    return tuple(r for r in latest.values() if _outside(view, r, view.policy.sound_band * (2.0 if wide else 1.0)))


def _outside(view: View, reading: Reading, band: float) -> bool:
    """Whether a reading, with its own bounds, lies off the band of a sound copy of this car as it is now.

    The stretches stay, since what a remedy renewed is no longer as it was told.
    """
    bare = Evidence((), (), view.evidence.epochs, view.evidence.contexts)
    sound = predicted_reading(view.model, (), reading.reading, reading.point, bare, reading.conditions)
    half = 0.5 * (sound.p95 - sound.p05) * band
    middle = 0.5 * (sound.p95 + sound.p05)
    below = reading.high < middle - half and reading.bound != "above"
    above = reading.low > middle + half and reading.bound != "below"
    return below or above


def read_or_set_again(view: View, outside: tuple[Reading, ...], others: tuple[Alternative, ...]) -> Proposal | None:
    """What to do about readings that no sound car shows while nothing else is likely: None when both was done."""
    return _read_again(view, outside) or _set_again(view, outside, others)


def _read_again(view: View, outside: tuple[Reading, ...]) -> Proposal | None:
    """The quickest check that takes one of these readings once more, if it was taken once since the last change."""
    now = len(view.evidence.epochs) - 1
    takes = Counter((r.reading, r.point) for r in view.evidence.readings if r.epoch == now)
    once = {Yield(reading=r.reading, at=r.point): r for r in outside if takes[r.reading, r.point] == 1}
    plan = view.quickest(c for c in view.book.checks.values() if once.keys() & set(c.yields))
    if plan is None:
        return None
    again = tuple(once[y] for y in view.book.checks[plan.target.id].yields if y in once)
    return proposal_of(view, "prove", plan, of_read_again(again), kind_for_look="prove")


def _set_again(view: View, outside: tuple[Reading, ...], others: tuple[Alternative, ...]) -> Proposal | None:
    """Setting the base, when the rail is off and this was not the last thing done."""
    step = setting_remedy(view.book)
    if (
        step is None
        or step.id == view.last_step
        or view.done_enough(step)
        or not any(r.reading == RAIL for r in outside)
    ):
        return None
    plan = view.plan(step)
    if not can_go(plan, view.situation):
        return None
    why = (*of_still_wrong(outside), Reason("set again"), *of_cost(plan, view.situation))
    return proposal_of(view, "remedy", plan, why, others)


def setting_remedy(book: RuleBook) -> Remedy | None:
    """The remedy by which the base is set: the first one of most wrong settings of it; None when the book has none."""
    settings = (c for c in book.causes.values() if c.kind == "setting" and c.remedies)
    first = Counter(c.remedies[0] for c in settings if any(e.parameter == SET for e in c.acts_on))
    return book.remedies[min(first, key=lambda name: (-first[name], name))] if first else None
