"""What a log could not say, and what to record next time so that the next one can. Pure sentences.

Nothing here ever asks for a pull on the road: load belongs on rollers or a closed course, with a passenger at the
screen or the logger left to itself, or comes from a log that exists already.
"""

from __future__ import annotations

from dataclasses import dataclass

from diag.datalog import channels as c
from diag.datalog.analysis import Analysis
from diag.datalog.phases import BOOST, IDLE, LOAD
from diag.datalog.ripple import SLOWEST_RATE

LOAD_WHERE = (
    "An earlier log may hold it. Otherwise load belongs on rollers or a closed course, by a trained person, with a "
    "helper watching and the logger started before, and not at all while the engine may run lean. Never on the public "
    "road."
)


@dataclass(frozen=True, slots=True)
class Gap:
    """What is missing, and how to get it."""

    missing: str
    next_time: str


def gaps_of(found: Analysis, boosted: bool | None = None) -> tuple[Gap, ...]:
    """What the log cannot say.

    Args:
        boosted: whether the car has a charger; None when that is not known.
    """
    gaps = []
    if not found.log.has(c.MANIFOLD):
        gaps.append(Gap("Without a manifold channel nothing can be said about slope, base or pressure across the "
                        "injectors.", "Log manifold pressure in the same file."))  # fmt: skip
    elif found.follow is None:
        gaps.append(Gap("The manifold pressure ranges too little for a slope.",
                        "Log a warm idle and a few blips of the throttle in neutral, outdoors; that spans most of the "
                        "vacuum side."))  # fmt: skip
    if not found.log.has(c.RPM):
        gaps.append(Gap("Without engine speed, idle, cranking and overrun cannot be told apart.", "Log engine speed."))
    gaps += _phases(found, boosted)
    gaps += _standing(found)
    if found.log.fine > 0.0 and 1.0 / found.log.fine < SLOWEST_RATE:
        gaps.append(Gap(f"{1.0 / found.log.fine:.0f} rows a second are too few for ripple and lag.",
                        "Log at 20 rows a second or more; 200 or more to see ripple."))  # fmt: skip
    elif found.lag is None and found.follow is not None:
        gaps.append(Gap("No quick change shows how fast the rail follows.",
                        "Warm engine, outdoors, neutral, handbrake on: open the throttle quickly to half and close it, "
                        "three times, while logging."))  # fmt: skip
    return tuple(gaps)


def _phases(found: Analysis, boosted: bool | None) -> list[Gap]:
    gaps = []
    if IDLE not in found.levels and found.log.has(c.RPM):
        gaps.append(Gap("There is no steady idle in the log.", "Let the warm engine idle for half a minute, outdoors."))
    if found.log.has(c.MANIFOLD):
        if BOOST not in found.levels and boosted is not False:
            missing = "There is no boost in the log, so it cannot say whether the rail follows in boost."
            gaps.append(Gap(missing, LOAD_WHERE))
        elif BOOST not in found.levels and LOAD not in found.levels:
            gaps.append(
                Gap("There is no open throttle in the log, so it cannot say what happens at high flow.", LOAD_WHERE)
            )
    if found.loss is None and found.log.has(c.MANIFOLD):
        gaps.append(Gap("Fuel flow ranges too little, or no measure of it was logged.",
                        "Log injector duty or fuel flow beside engine speed. " + LOAD_WHERE))  # fmt: skip
    return gaps


def _standing(found: Analysis) -> list[Gap]:
    gaps = []
    if not found.primes:
        gaps.append(Gap("The pump's prime is not in the log.",
                        "After a dry look-over start the log, wait three seconds, then switch the key on without "
                        "cranking."))  # fmt: skip
    if found.rest is None:
        gaps.append(Gap("The sensor was not logged at rest.",
                        "Start the log before the key is switched on, with the pressure let off."))  # fmt: skip
    if found.held is None:
        gaps.append(Gap("The log ends too soon after switch-off to show how pressure is held.",
                        "Leave the logger on for five minutes after switching off."))  # fmt: skip
    return gaps
