"""What a step leaves behind: the situation after it, whether it was allowed or not (facts are facts)."""

from __future__ import annotations

from dataclasses import replace

from diag.rulebook.model import RuleBook
from diag.rulebook.steps import Act, Check, Remedy, Setup, Step
from diag.safety.leaks import mends_leak
from diag.safety.situation import Pressure, Situation, Wet
from diag.safety.steps import (
    ENGINE_OFF,
    FUSE_OUT,
    LOOK_STAGES,
    OPENS,
    RELEASED,
    RUNS,
    STAGE_STEP,
    STAGES,
    Look,
)


def acts_of(step: Step, which: frozenset[Act]) -> tuple[Act, ...]:
    """Those acts of the step that are in the set, in the step's order."""
    return tuple(a for a in step.does if a in which)


def hands_car_on(step: Step) -> bool:
    """A remedy that only gives the car to somebody else; always possible."""
    return isinstance(step, Remedy) and not step.keeps_car and not step.does


def lapse(situation: Situation) -> Situation:
    """A dry look no longer counts: joint disturbed, remedy, hand-over, edited answer. Wet stays wet."""
    situation = replace(situation, own_joint=False, dry_places=frozenset(), looked=False)
    if situation.wet is Wet.DRY:
        return replace(situation, wet=Wet.UNKNOWN, proof_stage="")
    if situation.wet is Wet.REPAIRED:
        return replace(situation, proof_stage=STAGES[0])
    return situation


def only_own_joint(step: Step) -> bool:
    """Whether this step opens joints and nothing else, and says which places to look over again after it."""
    return bool(step.look_again) and bool(step.does) and set(step.does) <= {"opens system", "disturbs joint"}


def _opened(situation: Situation, step: Step) -> Situation:
    """A joint was opened: the dry look lapses, but only at the named places when it was dry up to our own deed."""
    partly = only_own_joint(step) and (situation.wet is Wet.DRY or situation.own_joint)
    if not partly:
        return lapse(situation)
    kept = situation.dry_places - set(step.look_again)
    return replace(lapse(situation), own_joint=True, dry_places=kept)


def looked(situation: Situation, look: Look) -> Situation:
    """The situation after a whole look-over came out dry, wet, or could not be told for certain."""
    if look:
        situation = replace(situation, own_joint=False)
    if look == "wet":
        return replace(situation, wet=Wet.WET, proof_stage="", looked=True)
    if look == "unsure":
        if situation.wet is Wet.DRY:
            return replace(situation, wet=Wet.UNKNOWN, proof_stage="", looked=True)
        return replace(situation, looked=True)
    if look == "dry":
        if situation.wet is Wet.UNKNOWN:
            return replace(situation, wet=Wet.DRY, proof_stage="", looked=False)
        if situation.wet is Wet.REPAIRED and situation.proof_stage in LOOK_STAGES:
            return _next_stage(situation)
    return situation


def _next_stage(situation: Situation) -> Situation:
    place = STAGES.index(situation.proof_stage)
    if place + 1 == len(STAGES):
        return replace(situation, wet=Wet.DRY, proof_stage="", looked=False)
    return replace(situation, proof_stage=STAGES[place + 1], looked=False)


def after(situation: Situation, step: Step, book: RuleBook, look: Look = "") -> Situation:
    """The situation once this step was done, whether it was allowed or not (facts are facts).

    ``look`` is how a look-over came out; other steps ignore it.
    """
    new = _wet_after(situation, step, look, book)
    new = _pressure_after(new, step, book)
    setups = _setups_after(new, step, book)
    return new if setups == new.setups else replace(new, setups=setups)


def _wet_after(situation: Situation, step: Step, look: Look, book: RuleBook) -> Situation:
    if situation.wet is Wet.REPAIRED:
        if STAGE_STEP.get(situation.proof_stage) == step.id:
            return _next_stage(situation)
        if acts_of(step, RUNS | OPENS) or (isinstance(step, Remedy) and not hands_car_on(step)):
            return lapse(situation)
    elif isinstance(step, Remedy) and not hands_car_on(step):
        quietly = situation.pressure is Pressure.RELEASED and not acts_of(step, RUNS)
        if situation.wet is Wet.WET and quietly and mends_leak(step, book):
            return replace(situation, wet=Wet.REPAIRED, proof_stage=STAGES[0], looked=False)
        return lapse(situation)
    elif acts_of(step, OPENS):
        return _opened(situation, step)
    elif acts_of(step, RUNS) and situation.own_joint:
        return lapse(situation)
    if isinstance(step, Check) and step.look_over and look:
        return looked(situation, look)
    return situation


def _pressure_after(situation: Situation, step: Step, book: RuleBook) -> Situation:
    fuse_out = situation.fuse_out
    if FUSE_OUT in step.undoes:
        fuse_out = False
    if step.id == FUSE_OUT:
        fuse_out = True
    running = situation.engine_running
    if isinstance(step, Setup) and "runs engine" in step.does and not step.releases_pressure:
        running = True
    elif step.id == ENGINE_OFF or acts_of(step, RUNS | OPENS) or (isinstance(step, Setup) and step.releases_pressure):
        running = False
    pressure = situation.pressure
    if isinstance(step, Setup) and step.releases_pressure:
        pressure = Pressure.RELEASED
    elif acts_of(step, RUNS) or (isinstance(step, Setup) and step.raises_pressure):
        pressure = Pressure.UP
        fuse_out = False
    if (fuse_out, running, pressure) == (situation.fuse_out, situation.engine_running, situation.pressure):
        return situation  # most steps change none of it, and plans ask this thousands of times
    return replace(situation, fuse_out=fuse_out, engine_running=running, pressure=pressure)


def _setups_after(situation: Situation, step: Step, book: RuleBook) -> frozenset[str]:
    gone = set(step.undoes)
    gone.update(s for s in situation.setups if s in book.setups and gone & set(book.setups[s].stands_for))
    kept = set(situation.setups) - gone
    if isinstance(step, Setup):
        if step.group:
            kept = {s for s in kept if s not in book.setups or book.setups[s].group != step.group}
        kept.add(step.id)
        kept.update(step.stands_for)
    for name, holds in ((FUSE_OUT, situation.fuse_out), (ENGINE_OFF, not situation.engine_running)):
        if not holds:
            kept.discard(name)
    if situation.pressure is not Pressure.RELEASED:
        kept = {s for s in kept if s != RELEASED and not (s in book.setups and book.setups[s].releases_pressure)}
    return frozenset(kept)
