"""What a gauge would show if exactly these causes were present, and how widely that spreads."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from diag.fuelsystem.normal import normal_below
from diag.inference.evidence import Evidence
from diag.inference.fault_sets import NEVER, Floats
from diag.inference.model import Model
from diag.inference.noisy_or import (
    stages_of,
)
from diag.inference.readings.predictor import Asked
from diag.inference.readings.told_case import Case
from diag.support.errors import UnknownNameError


@dataclass(frozen=True)
class Spread:
    """What a gauge would show, SI: mean and the limits that hold nine readings of ten."""

    mean: float
    p05: float
    p95: float


def predicted_reading(
    model: Model,
    causes: Sequence[str],
    reading: str,
    point: str,
    evidence: Evidence,
    conditions: Mapping[str, float] | None = None,
) -> Spread:
    """What the gauge would show if exactly these causes were present, narrowed by the readings already taken.

    Raises:
        UnknownNameError: the book has no such cause, reading or point.
    """
    for cause in causes:
        if cause not in model.index:
            raise UnknownNameError("cause", cause, model.causes)
    if reading not in model.book.readings or model.physics is None:
        raise UnknownNameError("reading", reading, model.book.readings)
    physics, kind = model.physics, model.book.readings[reading]
    group = tuple((at, NEVER) for at in sorted(model.index[c] for c in causes) if physics.physical[at])
    stages = stages_of(evidence)
    redraws = tuple(e.redraws for e in evidence.epochs[1:])
    asked = Asked(reading, physics.frozen_settings(point, conditions or {}), redraws, stages[-1])
    values = physics.predict([group], [asked], physics.draws)[0, :, 0]
    weights = np.full(len(values), 1.0 / len(values))
    seen = [f for f in evidence.findings if model.book.signs[f.sign].by_physics(f.choices)]
    if evidence.readings or seen:
        logs = Case(physics, evidence, seen, stages).log_draws([group], physics.draws)[0]
        weights = np.exp(logs - logs.max())
        weights /= weights.sum()
    noise = float(np.sqrt(kind.error**2 + kind.model_error**2 + kind.offset**2))
    return _spread(values, weights, noise)


def _spread(values: Floats, weights: Floats, noise: float) -> Spread:
    """Mean and 5 % and 95 % points of the weighted draws blurred by normal noise, found by bisection."""
    mean = float(weights @ values)
    limits = []
    for share in (0.05, 0.95):
        low, high = float(values.min()) - 5.0 * noise, float(values.max()) + 5.0 * noise
        for _ in range(50):
            middle = 0.5 * (low + high)
            below = float(weights @ normal_below((middle - values) / max(noise, 1e-12)))
            low, high = (middle, high) if below < share else (low, middle)
        limits.append(0.5 * (low + high))
    return Spread(mean, limits[0], limits[1])
