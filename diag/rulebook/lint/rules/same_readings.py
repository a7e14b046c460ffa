"""Two damages that the gauges cannot tell apart, at whatever severity, need a sign that can (slow: asks the physics).

For every damage the fuel-system model predicts all readings of all checks on one middling car, over a range of
severities. Two damages are apart when, for the typical severity of one, even the best-matching severity of the other
leaves some reading more than two standard deviations away (instrument, offset and model error together), or when some
check answers a sign on which they differ by 0.25. Sizing causes are left out: they are conditions on the car itself.
"""

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from diag.fuelsystem.car import Car
from diag.fuelsystem.draws import healthy_middle
from diag.fuelsystem.solve import solve
from diag.rulebook.causes import Cause
from diag.rulebook.desk import Problem
from diag.rulebook.lint.tools import advice, answered_signs, chances, signs_touched
from diag.rulebook.load import Draft
from diag.rulebook.model import RuleBook

DEEP = True
SEVERITIES = 12
APART_SIGMAS = 2.0
APART_WORDS = 0.25

Floats = NDArray[np.float64]


def find(draft: Draft) -> Iterator[Problem]:
    """Pairs of damages with the same readings and the same signs."""
    book = draft.book
    causes = [c for c in book.causes.values() if c.acts_on]
    measures = sorted({(y.reading, y.at) for c in book.checks.values() for y in c.yields if y.reading})
    measures = [(reading, at) for reading, at in measures if reading in book.readings and at in book.points]
    if len(causes) < 2 or not measures:
        return
    predicted = _predicted(book, causes, measures)
    answered = answered_signs(draft)
    for i, first in enumerate(causes):
        for j in range(i + 1, len(causes)):
            second = causes[j]
            if set(first.remedies[:1]) & set(second.remedies[:1]) or _apart_by_words(book, first, second, answered):
                continue
            distance, best = _distance(predicted[i], predicted[j])
            if distance < APART_SIGMAS:
                reading, at = measures[best]
                what = f"The gauges cannot tell {first.id!r} from {second.id!r}, and no sign does."
                hint = f"Nearest to it comes {reading} at {at} ({distance:.1f} standard deviations); add a sign."
                yield advice("same-readings", draft.place("causes", second.id, "acts_on"), what, hint)


def _predicted(book: RuleBook, causes: list[Cause], measures: list[tuple[str, str]]) -> Floats:
    """Predicted readings in standard deviations: (causes, severities, measures)."""
    middle = healthy_middle(Car({}))
    severity = (np.arange(SEVERITIES) + 0.5) / SEVERITIES
    values = {name: np.full((len(causes), SEVERITIES), value) for name, value in middle.items()}
    for row, cause in enumerate(causes):
        for effect in cause.acts_on:
            amount = effect.low + (effect.high - effect.low) * severity
            column = values[effect.parameter]
            if effect.how == "times":
                column[row] = column[row] * amount
            else:
                column[row] = column[row] + amount if effect.how == "add" else amount
    found = np.empty((len(causes), SEVERITIES, len(measures)))
    for at in sorted({at for _, at in measures}):
        wanted = [reading for reading, point in measures if point == at]
        solved = solve(values, book.points[at].settings, wanted)
        for reading in wanted:
            kind = book.readings[reading]
            sigma = float(np.sqrt(kind.error**2 + kind.offset**2 + kind.model_error**2))
            found[:, :, measures.index((reading, at))] = solved[reading] / sigma
    return found


def _distance(one: Floats, two: Floats) -> tuple[float, int]:
    """How far apart two damages are at best match (median over severities), and the measure that separates most."""
    gaps = np.abs(one[:, None, :] - two[None, :, :])
    worst = gaps.max(axis=2)
    distance = max(float(np.median(worst.min(axis=1))), float(np.median(worst.min(axis=0))))
    return distance, int(np.median(gaps, axis=(0, 1)).argmax())


def _apart_by_words(book: RuleBook, first: Cause, second: Cause, answered: set[str]) -> bool:
    for name in (signs_touched(book, first) | signs_touched(book, second)) & answered:
        one, two = chances(book, first, book.signs[name]), chances(book, second, book.signs[name])
        if max(abs(one[answer] - two[answer]) for answer in one) >= APART_WORDS:
            return True
    return False
