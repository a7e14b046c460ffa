"""Signs that the physics decides: what has to be predicted for one, and how likely it is told in every imagined car.

Inside an imagined car a sign is told with chance ``wrongly + (right - wrongly) * met``. ``met`` is 0 or 1 for a sharp
condition. Where people draw the line differently it is soft: with a line at the limit plus a spread s,

    met = Phi((value - limit - s * sqrt(h) * z) / (s * sqrt(1 - h)))

z is how dull this teller and this car are, one value per imagined car for all soft signs, and h its share of the
variance: smell, soot and smoke of one mixture are then not three witnesses but one with three sentences. What differs
from sign to sign is averaged out by the formula (a probit with a shared random effect; judgement on h).
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping

import numpy as np

from diag.fuelsystem.normal import normal_below
from diag.fuelsystem.running import RUNNING, STARTING
from diag.inference.fault_sets import Floats
from diag.inference.readings.conditions import named_value
from diag.rulebook.findings import TARGET, Condition, Sign

Need = tuple[str, str]  # point, quantity
IDLES = "idles"

SHARED = 0.5
"""Share of the variance of the line that belongs to the teller and the car, not to the single sign (judgement)."""


def needs(sign: Sign) -> list[Need]:
    """What must be predicted to decide a sign, each once, in a fixed order."""
    found = {need for condition in sign.conditions for need in _needs(condition)}
    if _of_a_running_engine(sign) and sign.seen_when is not None:
        found.add((sign.seen_when.point, IDLES))
    return sorted(found)


def _of_a_running_engine(sign: Sign) -> bool:
    """Whether it tells how the engine runs, so that nobody tells it of one that does not run at all."""
    read = {condition.reading for condition in sign.conditions}
    return not read.isdisjoint(RUNNING) and read.isdisjoint(STARTING)


def _needs(condition: Condition) -> Iterator[Need]:
    for name in (condition.reading, condition.larger, condition.than, condition.base):
        if name not in ("", "zero", TARGET):
            yield condition.point, name
    if condition.less_point:
        yield condition.less_point, condition.reading


def told_chance(sign: Sign, values: Mapping[Need, Floats], target: Floats, dullness: Floats) -> Floats:
    """P(the sign is told | imagined car), element by element.

    Args:
        values: what was predicted for ``needs``.
        target: the wanted rail pressure, Pa gauge.
        dullness: z of every imagined car, standard normal.
    """
    met = _joined(sign.conditions, sign.joined, values, target, dullness)
    if _of_a_running_engine(sign) and sign.seen_when is not None:
        met = met * values[sign.seen_when.point, IDLES]
    return np.asarray(sign.told_wrongly + (sign.told_right - sign.told_wrongly) * met)


def answer_chances(sign: Sign, values: Mapping[Need, Floats], target: Floats, dullness: Floats) -> dict[str, Floats]:
    """P(each graded answer of a choice | imagined car, it is one of them), element by element.

    Args as for ``told_chance``. Some judge by eye: ``Sign.judged_right`` answers as the physics has it, the others as
    is usual.
    """
    graded = sign.graded
    met = [_joined(a.conditions, a.joined, values, target, dullness) for a in graded if not a.otherwise]
    total = np.maximum(sum(met), 1.0)
    others = 1.0 - sum(met) / total
    usual = sum(a.usual for a in graded)
    left = iter(met)
    return {
        a.id: np.asarray(
            sign.judged_right * (others if a.otherwise else next(left) / total)
            + (1.0 - sign.judged_right) * a.usual / usual
        )
        for a in graded
    }


def _joined(
    conditions: Iterable[Condition], joined: str, values: Mapping[Need, Floats], target: Floats, dullness: Floats
) -> Floats:
    met: Floats | float = 1.0
    for part in (_met(condition, values, target, dullness) for condition in conditions):
        met = met * (part if joined == "all" else 1.0 - part)
    return np.asarray(met if joined == "all" else 1.0 - met)


def _met(condition: Condition, values: Mapping[Need, Floats], target: Floats, dullness: Floats) -> Floats:
    at = condition.point
    value = values[at, condition.reading]
    if condition.less_point:
        value = value - values[condition.less_point, condition.reading]

    def of(name: str) -> Floats:
        return values[at, name]

    base = named_value(condition.base, of, target)
    beyond = value - base - condition.offset
    if condition.side == "below":
        beyond = -beyond
    if condition.spread > 0.0:
        own = condition.spread * np.sqrt(1.0 - SHARED)
        met = normal_below((beyond - condition.spread * np.sqrt(SHARED) * dullness) / own)
    else:
        met = np.where(beyond > 0.0, 1.0, 0.0)
    if condition.larger and condition.than:
        more, less = (named_value(name, of, target) for name in (condition.larger, condition.than))
        met = np.where(more > less, met, 0.0)
    return np.asarray(met)
