"""The safety wall: one pure function says whether a step may be done now.

It serves proposals, free choices, setups, remedies and proof steps alike, so there is no second road past it. Wet fuel
is the heart of it (wet_fuel.py); the book's stop rules stand in stop_rules.py, what a step waits for in beforehand.py.
"""

from __future__ import annotations

from diag.rulebook.built import NOT, TOOL, named, unfit
from diag.rulebook.model import RuleBook
from diag.rulebook.steps import PERSONS, Check, Setup, Step
from diag.safety.beforehand import hands_rule, log_rule, measured_rule, trace_rule
from diag.safety.effects import acts_of
from diag.safety.situation import Pressure, Situation, Verdict, Wet, refused
from diag.safety.steps import DRY_LOOK, ENGINE_OFF, FUSE_OUT, OPENS, RELEASED, RUNS
from diag.safety.stop_rules import stop_rule
from diag.safety.wet_fuel import wet_rule
from diag.support.text import one_line


def in_place(situation: Situation, setup: str) -> bool:
    """Whether an enabling step counts as done: four of them are states of the car, the rest a list."""
    if setup == DRY_LOOK:
        return situation.wet is Wet.DRY
    if setup == RELEASED:
        return situation.pressure is Pressure.RELEASED
    if setup == ENGINE_OFF:
        return not situation.engine_running
    if setup == FUSE_OUT:
        return situation.fuse_out
    return setup in situation.setups


def allowed(situation: Situation, step: Step, book: RuleBook) -> Verdict:
    """Whether this step may be done right now by this person at this car.

    Setups that are not in place make a step not allowed *yet*; use ``diag.safety.setups`` for the way there.
    """
    rules = (
        _built_rule, stop_rule, wet_rule, trace_rule, measured_rule, _person_rule, _engine_rule, _pressure_rule,
        hands_rule, log_rule, _needs_rule,
    )  # fmt: skip
    for rule in rules:
        verdict = rule(situation, step, book)
        if verdict is not None:
            return verdict
    return Verdict(True)


def _built_rule(situation: Situation, step: Step, book: RuleBook) -> Verdict | None:
    """No step that this car cannot have, or that its state does not allow."""
    need = unfit(step, book, situation.lacks)
    if not need:
        return None
    if need.startswith(TOOL):
        tool = one_line(book.tools[need.removeprefix(TOOL)])
        return refused(f"It asks what was seen with {tool}, and there is none.", "one is at hand")
    context = book.contexts[named(need)]
    told = "yes" if need.startswith(NOT) else "no"
    return refused(f"It does not suit this car: {context.title} was told {told}.", "the car is told otherwise")


def _person_rule(situation: Situation, step: Step, book: RuleBook) -> Verdict | None:
    if PERSONS.index(situation.person) < PERSONS.index(step.person):
        who = {"hobbyist": "somebody used to working on cars", "mechanic": "a mechanic", "shop": "a workshop"}
        needed = who[step.person]
        return refused(f"This is a step for {needed}.", f"{needed} is at the car", tuple(step.does))
    if situation.by_phone and not step.by_phone:
        return refused("This is not talked through over the phone.", "a trained person is at the car", tuple(step.does))
    if "pinches hose" in step.does and situation.person == "untrained":
        return refused(
            "Pinching a fuel hose can split it or spray fuel; never without training.",
            "a trained person is at the car",
            ("pinches hose",),
        )
    fumes = acts_of(step, frozenset({"runs engine", "cranks engine", "opens system"}))
    if fumes and not situation.ventilated:
        return refused(
            "Exhaust gas and fuel vapour collect in a closed room.", "the car is outdoors or the room is aired", fumes
        )
    return None


def _engine_rule(situation: Situation, step: Step, book: RuleBook) -> Verdict | None:
    if situation.engine_running:
        acts = acts_of(step, OPENS | frozenset({"sparks"}))
        looks = isinstance(step, Check) and step.look_over
        releases = isinstance(step, Setup) and step.releases_pressure
        if (acts and not releases) or looks:
            return refused("The engine is running.", "the engine is off", acts)
    if situation.system_open:
        acts = acts_of(step, RUNS | frozenset({"sparks", "applies air"}))
        if acts:
            return refused("The fuel system is open.", "every joint is closed and looked over dry", acts)
    return None


def _pressure_rule(situation: Situation, step: Step, book: RuleBook) -> Verdict | None:
    acts = acts_of(step, OPENS)
    if not acts or situation.pressure is Pressure.RELEASED:
        return None
    if isinstance(step, Setup) and step.releases_pressure:
        return None
    return refused("There may still be pressure in the fuel system.", "the pressure is released", acts)


def _needs_rule(situation: Situation, step: Step, book: RuleBook) -> Verdict | None:
    for need in step.needs:
        if not in_place(situation, need):
            setup = book.setups.get(need)
            title = setup.title if setup else need
            return refused(f"Not ready yet: {title}.", f"this is done: {title}", tuple(step.does))
    return None
