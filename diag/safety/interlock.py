"""The safety wall: one pure function says whether a step may be done now.

It serves proposals, free choices, setups, remedies and proof steps alike, so there is no second road past it.
Wet fuel is the heart of it. Only a look-over answered dry at every place opens the way to anything that runs the
pump, cranks, drives, opens the system or may spark; unknown, unsure, second-hand and "could not see" count as wet.
Once fuel was found outside there is one way back: pressure released, repair, dry look, two second prime with a
person at the switch, look, sixty second run, look. Basis: workshop safety guidance on vapour, spray and ignition;
the length of prime and run is judgement.
"""

from __future__ import annotations

from diag.rulebook.built import NOT, TOOL, named, unfit
from diag.rulebook.derived import derived
from diag.rulebook.hazards import StopRule
from diag.rulebook.model import RuleBook
from diag.rulebook.steps import ACTS, PERSONS, Act, Check, Remedy, Setup, Step
from diag.safety.beforehand import hands_rule, measured_rule, trace_rule
from diag.safety.effects import acts_of, after, hands_car_on, lapse, looked, only_own_joint
from diag.safety.leaks import mends_leak
from diag.safety.situation import Pressure, Situation, Verdict, Wet
from diag.safety.steps import (
    DRY_LOOK,
    ENGINE_OFF,
    FUSE_OUT,
    OPENS,
    RELEASED,
    RUNS,
    SAFE_SETUPS,
    STAGE_STEP,
    STAGES,
    TRAINED,
    UNTRAINED_WET,
    find_step,
    look_places,
)
from diag.support.text import one_line

__all__ = [
    "after",
    "allowed",
    "find_step",
    "full_stop",
    "in_place",
    "lapse",
    "look_places",
    "looked",
    "rules_in_force",
    "way_back",
]


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


def rules_in_force(situation: Situation, book: RuleBook) -> tuple[StopRule, ...]:
    """The book's stop rules whose facts all hold, by id."""
    known = _rules_known(book)
    key = (
        situation.wet,
        situation.person,
        situation.fuel,
        situation.boost,
        situation.likely,
        situation.facts,
        situation.stops,
    )
    if key not in known:
        known[key] = tuple(rule for rule in book.stops.values() if _in_force(situation, rule))
    return known[key]


def _in_force(situation: Situation, rule: StopRule) -> bool:
    """A rule that came into force stays so for what was seen or read; all else counts as it is now.

    Otherwise a plan that begins with the look-over would still be stopped after it for want of a look-over.
    """
    if rule.id not in situation.stops:
        return bool(rule.when) and all(_holds(situation, fact) for fact in rule.when)
    return all(_holds(situation, fact) for fact in rule.when if fact.partition(":")[0] in _AS_IT_IS_NOW)


_AS_IT_IS_NOW = frozenset({"wet", "person", "fuel", "boost", "likely"})


class _InForce(dict[tuple[object, ...], tuple[StopRule, ...]]):
    """Rules in force by what is known; a plan asks the same question hundreds of times."""

    def __init__(self, book: RuleBook) -> None:
        super().__init__()


def _rules_known(book: RuleBook) -> _InForce:
    return derived(book, _InForce, lambda known: len(known) > _MOST_KNOWN)


_MOST_KNOWN = 1000


def _holds(situation: Situation, fact: str) -> bool:
    head, _, tail = fact.partition(":")
    tail = tail.strip()
    if head == "wet":
        return tail == _WET_WORD[situation.wet]
    if head == "person":
        return tail == situation.person
    if head == "fuel":
        return bool(situation.fuel) and tail.casefold() == situation.fuel.casefold()
    if head == "boost":
        return situation.boost == "yes" or (tail == "possible" and situation.boost == "unknown")
    if head == "likely":
        return any(cause.strip() in situation.likely for cause in tail.split(","))
    return fact in situation.facts


def likely_heard(situation: Situation, book: RuleBook) -> frozenset[str]:
    """Of the likely causes one for each fact that they make true, so that as many as possible come to the same."""
    facts = derived(book, _likely_facts)
    return frozenset(heard[0] for fact in facts if (heard := [c for c in fact if c in situation.likely]))


def _likely_facts(book: RuleBook) -> tuple[tuple[str, ...], ...]:
    facts = {fact for rule in book.stops.values() for fact in rule.when if fact.startswith("likely:")}
    return tuple(tuple(name.strip() for name in fact.removeprefix("likely:").split(",")) for fact in sorted(facts))


_WET_WORD = {Wet.UNKNOWN: "unknown", Wet.DRY: "dry", Wet.WET: "wet", Wet.REPAIRED: "repaired"}


def _no(why: str, until: str, acts: tuple[Act, ...] = ()) -> Verdict:
    return Verdict(False, why, until, acts)


def allowed(situation: Situation, step: Step, book: RuleBook) -> Verdict:
    """Whether this step may be done right now by this person at this car.

    Setups that are not in place make a step not allowed *yet*; use ``diag.safety.setups`` for the way there.
    """
    rules = (
        _built_rule, _stop_rule, _wet_rule, trace_rule, measured_rule, _person_rule, _engine_rule, _pressure_rule,
        hands_rule, _needs_rule,
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
        return _no(f"It asks what was seen with {tool}, and there is none.", "one is at hand")
    context = book.contexts[named(need)]
    told = "yes" if need.startswith(NOT) else "no"
    return _no(f"It does not suit this car: {context.title} was told {told}.", "the car is told otherwise")


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


def _wet_rule(situation: Situation, step: Step, book: RuleBook) -> Verdict | None:
    if situation.wet is Wet.DRY or hands_car_on(step):
        return None
    if situation.wet is Wet.UNKNOWN:
        if _harmless(step) or next_joint(situation, step):
            return None
        return _no(
            "Nobody has looked the car over for wet fuel yet, or some place could not be told dry for certain.",
            "the look-over is answered dry at every place",
            tuple(step.does),
        )
    if situation.person == "untrained":
        return _no(
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
        return _no(
            "The first pressure after a leak needs one person at the switch and one watching.",
            "a second person is there",
            tuple(step.does),
        )
    return None


_PROVEN = "the leak is repaired and proven dry: look, two second prime, look, sixty second run, look"


def _wet_words(situation: Situation, step: Step, book: RuleBook) -> Verdict:
    if isinstance(step, Setup) and step.releases_pressure:
        return _no(
            "With fuel outside, pressure is released with the pump fuse out, engine off, key untouched.",
            "the pump fuse is out",
            tuple(step.does),
        )
    if isinstance(step, Remedy) and not mends_leak(step, book):
        return _no("Fuel was found outside the system, and this mends no leak.", _PROVEN, tuple(step.does))
    if isinstance(step, Remedy) and set(step.does) <= OPENS:
        if situation.person not in TRAINED:
            return _no("A leak is repaired by a trained person.", "a mechanic has taken over", tuple(step.does))
        return _no(
            "A leak is repaired with the pump fuse out and the pressure released.",
            "the pump fuse is out and the pressure is released",
            tuple(step.does),
        )
    if situation.wet is Wet.WET:
        return _no(
            "Fuel was found outside the system.",
            _PROVEN,
            tuple(step.does),
        )
    return _no(
        f"The repair of the leak is not proven yet; its next step is: {situation.proof_stage or STAGES[0]}.",
        "the repair is proven dry: look, two second prime, look, sixty second run, look",
        tuple(step.does),
    )


def _stop_rule(situation: Situation, step: Step, book: RuleBook) -> Verdict | None:
    back = way_back(situation, step, book) or next_joint(situation, step)
    kinds = derived(book, _kinds)
    for rule in rules_in_force(situation, book):
        forbids, about_wet, total = kinds[rule.id]
        if total and not hands_car_on(step):
            return _no(f"{rule.title}: {rule.why}", rule.until, ACTS)
        if step.id in rule.bars:
            return _no(f"{rule.title}: {rule.why}", rule.until, tuple(step.does))
        acts = acts_of(step, forbids)
        if acts and not (back and about_wet):
            return _no(f"{rule.title}: {rule.why}", rule.until, acts)
    return None


def _kinds(book: RuleBook) -> dict[str, tuple[frozenset[Act], bool, bool]]:
    """Of each rule: what it forbids, whether it only puts the wet-fuel wall into words, whether it forbids all."""
    return {
        rule.id: (frozenset(rule.forbids), _about_wet_only(rule, book), _total(rule, book))
        for rule in book.stops.values()
    }


def full_stop(situation: Situation, book: RuleBook) -> StopRule | None:
    """A stop rule in force that forbids everything (fire, somebody hurt): nothing at all is done at the car."""
    return next((rule for rule in rules_in_force(situation, book) if _total(rule, book)), None)


def _total(rule: StopRule, book: RuleBook) -> bool:
    return len(set(rule.forbids)) == len(ACTS) and not _about_wet_only(rule, book)


def _about_wet_only(rule: StopRule, book: RuleBook) -> bool:
    """Rules that only put the wet-fuel wall into words; the way back from wet fuel is not theirs to block.

    A rule that names its own repair says more: a damper that is new and dry outside proves no dry hose inside.
    """

    def about_wet(fact: str) -> bool:
        head, _, tail = fact.partition(":")
        return head == "wet" or (head == "sign" and tail in book.signs and book.signs[tail].wet)

    return bool(rule.when) and not rule.lifted_by and all(about_wet(f) for f in rule.when)


def _person_rule(situation: Situation, step: Step, book: RuleBook) -> Verdict | None:
    if PERSONS.index(situation.person) < PERSONS.index(step.person):
        who = {"hobbyist": "somebody used to working on cars", "mechanic": "a mechanic", "shop": "a workshop"}
        needed = who[step.person]
        return _no(f"This is a step for {needed}.", f"{needed} is at the car", tuple(step.does))
    if situation.by_phone and not step.by_phone:
        return _no("This is not talked through over the phone.", "a trained person is at the car", tuple(step.does))
    if "pinches hose" in step.does and situation.person == "untrained":
        return _no(
            "Pinching a fuel hose can split it or spray fuel; never without training.",
            "a trained person is at the car",
            ("pinches hose",),
        )
    fumes = acts_of(step, frozenset({"runs engine", "cranks engine", "opens system"}))
    if fumes and not situation.ventilated:
        return _no(
            "Exhaust gas and fuel vapour collect in a closed room.", "the car is outdoors or the room is aired", fumes
        )
    return None


def _engine_rule(situation: Situation, step: Step, book: RuleBook) -> Verdict | None:
    if situation.engine_running:
        acts = acts_of(step, OPENS | frozenset({"sparks"}))
        looks = isinstance(step, Check) and step.look_over
        releases = isinstance(step, Setup) and step.releases_pressure
        if (acts and not releases) or looks:
            return _no("The engine is running.", "the engine is off", acts)
    if situation.system_open:
        acts = acts_of(step, RUNS | frozenset({"sparks", "applies air"}))
        if acts:
            return _no("The fuel system is open.", "every joint is closed and looked over dry", acts)
    return None


def _pressure_rule(situation: Situation, step: Step, book: RuleBook) -> Verdict | None:
    acts = acts_of(step, OPENS)
    if not acts or situation.pressure is Pressure.RELEASED:
        return None
    if isinstance(step, Setup) and step.releases_pressure:
        return None
    return _no("There may still be pressure in the fuel system.", "the pressure is released", acts)


def _needs_rule(situation: Situation, step: Step, book: RuleBook) -> Verdict | None:
    for need in step.needs:
        if not in_place(situation, need):
            setup = book.setups.get(need)
            title = setup.title if setup else need
            return _no(f"Not ready yet: {title}.", f"this is done: {title}", tuple(step.does))
    return None
