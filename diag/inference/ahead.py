"""Predicting what a reading that was just asked for will need, while somebody measures.

The job is weighed as if the reading had come out in one of a few ways; what was predicted for that stays on the
shelf, and nothing else does. So whoever looks ahead, is stopped in the middle of it or never does it gets the same
ranking.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np

from diag.inference.evidence import Evidence, Reading
from diag.inference.model import Model
from diag.inference.posterior import Belief, belief
from diag.inference.predictive import Outlook
from diag.inference.readings.predictions import GivenUp
from diag.inference.readings.predictor import Asked
from diag.rulebook.steps import Yield

NOBODY = -1  # number of an entry that is in no case
SHARES = (0.5, 0.2, 0.8, 0.05, 0.95)
"""Where in what the reading may be it is tried: different causes lead then, and those are predicted finely."""


def look_ahead(
    model: Model, evidence: Evidence, believed: Belief, asked: Yield, stopped: Callable[[], bool] = lambda: False
) -> bool:
    """Predict what a reading will need; False when ``stopped`` said so on the way, or there is nothing to predict."""
    if model.physics is None or asked.reading not in model.book.readings or asked.at not in model.book.points:
        return False
    model.physics.stopped = stopped
    try:
        for value in _expected(model, evidence, believed, asked):
            if stopped():
                return False
            epoch = len(evidence.epochs) - 1
            reading = Reading(asked.reading, asked.at, value, value, value, epoch=epoch, entry=NOBODY)
            belief(model, replace(evidence, readings=(*evidence.readings, reading)))
    except GivenUp:
        return False
    finally:
        model.physics.stopped = None
    return True


def _expected(model: Model, evidence: Evidence, believed: Belief, asked: Yield) -> list[float]:
    """What the reading may be, as things stand: the middle, then ever farther out."""
    ahead = Outlook(model, evidence, believed, np.arange(len(believed.rows)), one=True)
    settings, redraws = ahead.physics.frozen_settings(asked.at, {}), tuple(e.redraws for e in evidence.epochs[1:])
    shown = Asked(asked.reading, settings, redraws, ahead.stage)
    values, weights = (
        ahead.physics.predict(ahead.live, [shown], ahead.count)[..., 0],
        ahead.weights * ahead.share[:, None],
    )
    order = np.argsort(values, axis=None)
    below = np.cumsum(weights.reshape(-1)[order])
    kind = model.book.readings[asked.reading]
    found = values.reshape(-1)[order][np.searchsorted(below, np.array(SHARES) * below[-1])]
    return [float(value) for value in np.clip(found, kind.low, kind.high)]
