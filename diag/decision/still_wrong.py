"""What is still wrong after a repair: readings that no sound car shows. While one stands, no job is closed as sound."""

from __future__ import annotations

from diag.decision.view import View
from diag.inference.evidence import Evidence, Reading
from diag.inference.predictive import predicted_reading


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
