"""Fuel outside the system: what may be done while nobody has looked, while it is wet, and on the one way back. Pure.

Only a look-over answered dry at every place opens the way to anything that runs the pump, cranks, drives, opens the
system or may spark; unknown, unsure, second-hand and "could not see" count as wet. Once fuel was found outside there is
one way back: pressure released, repair, dry look, two second prime with a person at the switch, look, sixty second run,
look. Basis: workshop safety guidance on vapour, spray and ignition; the length of prime and run is judgement.
"""

from __future__ import annotations

from diag.rulebook.model import RuleBook
from diag.rulebook.steps import ACTS, Check, Remedy, Setup, Step
from diag.safety.effects import hands_car_on, only_own_joint
from diag.safety.leaks import mends_leak
from diag.safety.situation import Pressure, Situation, Verdict, Wet, refused
from diag.safety.steps import OPENS, SAFE_SETUPS, STAGE_STEP, STAGES, TRAINED, UNTRAINED_WET


def _harmless(step: Step) -> bool:
    return not step.does


def way_back(situation: Situation, step: Step, book: RuleBook) -> bool:
    """Whether this step is part of the only way back from wet fuel, and its turn has come."""
    if situation.wet not in (Wet.WET, Wet.REPAIRED) or situation.person == "untrained":
        return False
    quiet = situation.fuse_out and not situation.engine_running
    if isinstance(step, Setup) and step.releases_pressure:
        return quiet and set(step.does) <= {"opens system", "disturbs joint"}
    if situation.person not in TRAINED:
        return False
    if isinstance(step, Remedy):
        released = quiet and situation.pressure is Pressure.RELEASED
        return released and set(step.does) <= OPENS and mends_leak(step, book)
    return situation.wet is Wet.REPAIRED and STAGE_STEP.get(situation.proof_stage) == step.id


def next_joint(situation: Situation, step: Step) -> bool:
    """Whether this setup only opens one more joint of a car that was dry until we opened the first ourselves.

    The pressure is still released and nothing has run since, so nothing can have got wet unseen; the look comes
    before anything runs. Judgement.
    """
    unchanged = situation.own_joint and situation.pressure is Pressure.RELEASED and not situation.engine_running
    return situation.wet is Wet.UNKNOWN and unchanged and isinstance(step, Setup) and only_own_joint(step)


def wet_rule(situation: Situation, step: Step, book: RuleBook) -> Verdict | None:
    if situation.wet is Wet.DRY or hands_car_on(step):
        return None
    if situation.wet is Wet.UNKNOWN:
        if _harmless(step) or next_joint(situation, step):
            return None
        return refused(
            "Nobody has looked the car over for wet fuel yet, or some place could not be told dry for certain.",
            "the look-over is answered dry at every place",
            tuple(step.does),
        )
    if situation.person == "untrained":
        return refused(
            "There is fuel outside the system, and that is no job without training. " + " ".join(UNTRAINED_WET),
            "a trained person has taken over",
            ACTS,
        )
    look_only = step.for_leaks or (isinstance(step, Check) and step.look_over) or step.id in SAFE_SETUPS
    if look_only and _harmless(step):
        return None
    if way_back(situation, step, book):
        return _prime_rule(situation, step)
    return _wet_words(situation, step, book)


def _prime_rule(situation: Situation, step: Step) -> Verdict | None:
    if step.id in STAGE_STEP.values() and not situation.second_person:
        return refused(
            "The first pressure after a leak needs one person at the switch and one watching.",
            "a second person is there",
            tuple(step.does),
        )
    return None


_PROVEN = "the leak is repaired and proven dry: look, two second prime, look, sixty second run, look"


def _wet_words(situation: Situation, step: Step, book: RuleBook) -> Verdict:
    if isinstance(step, Setup) and step.releases_pressure:
        return refused(
            "With fuel outside, pressure is released with the pump fuse out, engine off, key untouched.",
            "the pump fuse is out",
            tuple(step.does),
        )
    if isinstance(step, Remedy) and not mends_leak(step, book):
        return refused("Fuel was found outside the system, and this mends no leak.", _PROVEN, tuple(step.does))
    if isinstance(step, Remedy) and set(step.does) <= OPENS:
        if situation.person not in TRAINED:
            return refused("A leak is repaired by a trained person.", "a mechanic has taken over", tuple(step.does))
        return refused(
            "A leak is repaired with the pump fuse out and the pressure released.",
            "the pump fuse is out and the pressure is released",
            tuple(step.does),
        )
    if situation.wet is Wet.WET:
        return refused(
            "Fuel was found outside the system.",
            _PROVEN,
            tuple(step.does),
        )
    return refused(
        f"The repair of the leak is not proven yet; its next step is: {situation.proof_stage or STAGES[0]}.",
        "the repair is proven dry: look, two second prime, look, sixty second run, look",
        tuple(step.does),
    )
