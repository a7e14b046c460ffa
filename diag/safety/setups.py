"""The way to a step: which setups must be done first, in order, each of them allowed when its turn comes."""

from __future__ import annotations

from dataclasses import dataclass, replace

from diag.rulebook.derived import derived
from diag.rulebook.model import RuleBook
from diag.rulebook.steps import Check, Remedy, Setup, Step
from diag.safety.beforehand import measured_rule, measures
from diag.safety.effects import acts_of, after
from diag.safety.interlock import allowed, in_place
from diag.safety.situation import HELPER, LOG, Pressure, Situation, Verdict, Wet
from diag.safety.steps import (
    BUILT_IN,
    DRY_LOOK,
    ENGINE_OFF,
    FUSE_OUT,
    OPENS,
    RELEASED,
    RELEASED_QUIETLY,
    RUNS,
    look_check,
)
from diag.safety.stop_rules import likely_heard

_DEPTH = 6
_LENGTH = 20
_REPEATS = 4  # how often one enabling step may stand in a plan; a look-over after every joint opened adds up


@dataclass(frozen=True, slots=True)
class Plan:
    """``steps`` lead to ``target`` in order; ``verdict`` says whether there is a way at all.

    A look-over among the steps is taken to come out dry; whoever follows the plan stops there and looks first.
    """

    target: Step
    steps: tuple[Step, ...]
    verdict: Verdict

    @property
    def minutes(self) -> float:
        """Minutes and risk minutes of the enabling steps."""
        return sum(s.minutes + s.risk_minutes for s in self.steps)

    @property
    def tools(self) -> frozenset[str]:
        """Tools of the target and of every enabling step."""
        return frozenset(t for s in (*self.steps, self.target) for t in s.tools)

    def up_to_look(self) -> tuple[tuple[Step, ...], Step]:
        """The steps before the first look-over and that look-over; without one, all steps and the target."""
        for place, step in enumerate(self.steps):
            if isinstance(step, Check):
                return self.steps[:place], step
        return self.steps, self.target


class Planner:
    """Finds plans in one book; remembers them, since many steps share their setups."""

    def __init__(self, book: RuleBook) -> None:
        self._book = book
        stand_ins = [s for s in book.setups.values() if s.stands_for]
        self._traces = frozenset(name for remedy in book.remedies.values() for name in remedy.looks_first)
        self._choices = frozenset(n for s in stand_ins for n in (s.id, *s.stands_for))
        self._known: dict[Situation, dict[tuple[type[Step], str], tuple[Plan, Situation]]] = {}
        self._after: dict[Situation, dict[tuple[type[Step], str], tuple[tuple[Step, ...], Situation] | None]] = {}
        self._count = 0
        self._last: tuple[Situation, Situation] | None = None

    @property
    def book(self) -> RuleBook:
        """The book it plans in."""
        return self._book

    @property
    def full(self) -> bool:
        """Whether it remembers so much that a fresh one should take over."""
        return self._count > _MOST_PLANS

    def plan(self, situation: Situation, step: Step) -> Plan:
        """The shortest found way to ``step`` from here."""
        if self._last is None or self._last[0] is not situation:
            self._last = situation, _for_the_wall(situation, self._book, self._choices, self._traces)
        found = self._find(self._last[1], step, _DEPTH)[0]
        if found.verdict.allowed:
            wanting = measured_rule(situation, step, self._book)  # set-ups wait for no measurement, remedies may
            return found if wanting is None else Plan(step, (), wanting)
        return found

    def _find(self, situation: Situation, step: Step, depth: int) -> tuple[Plan, Situation]:
        from_here = self._known.setdefault(situation, {})
        key = (type(step), step.id)
        if key not in from_here:
            from_here[key] = self._search(situation, step, depth)
            self._count += 1
        return from_here[key]

    def _search(self, situation: Situation, step: Step, depth: int) -> tuple[Plan, Situation]:
        done: list[Step] = []
        state = situation
        while True:
            verdict = allowed(state, step, self._book)
            if verdict.allowed or depth == 0 or len(done) > _LENGTH:
                break
            found = self._enable(state, step, depth, done)
            if found is None:
                break
            steps, state = found
            done.extend(steps)
        return Plan(step, tuple(done), verdict), state

    def _enable(
        self, state: Situation, step: Step, depth: int, done: list[Step]
    ) -> tuple[tuple[Step, ...], Situation] | None:
        """One enabling step with its own way, and the situation after it; None when nothing helps."""
        for helper in self._helpers(state, step):
            if helper.id == step.id or sum(d.id == helper.id for d in done) >= _REPEATS:
                continue
            found = self._carried_out(state, helper, depth - 1)
            if found is not None:
                return found
        return None

    def _carried_out(self, state: Situation, helper: Step, depth: int) -> tuple[tuple[Step, ...], Situation] | None:
        """The way to an enabling step and the step itself, with the situation after it; many steps share it."""
        from_here = self._after.setdefault(state, {})
        key = (type(helper), helper.id)
        if key not in from_here:
            plan, before = self._find(state, helper, depth)
            done = (*plan.steps, helper), after(before, helper, self._book, "dry")
            from_here[key] = done if plan.verdict.allowed else None
        return from_here[key]

    def _helpers(self, state: Situation, step: Step) -> list[Step]:
        """What could be missing, most disturbing first, so that the look-over comes last and only once."""
        book = self._book
        missing = [n for n in step.needs if n not in (DRY_LOOK, RELEASED) and not in_place(state, n)]
        found: list[Step] = [s for s in (self._setup(n) for n in missing) if s is not None]
        found.sort(key=_disturbance)
        found = [way for setup in found for way in self._ways(state, setup)]
        opening = bool(acts_of(step, OPENS)) and not _releases(step)
        if state.engine_running and (opening or "sparks" in step.does or (isinstance(step, Check) and step.look_over)):
            found.insert(0, self._setup(ENGINE_OFF) or step)
        repairing = isinstance(step, Remedy) and state.wet in (Wet.WET, Wet.REPAIRED)
        if (repairing or _releases(step)) and state.wet in (Wet.WET, Wet.REPAIRED) and not state.fuse_out:
            fuse = self._setup(FUSE_OUT)
            found = [*found, fuse] if fuse else found
        if (opening or repairing or RELEASED in step.needs) and state.pressure is not Pressure.RELEASED:
            found.extend(self._releases(state))
        if state.wet is Wet.UNKNOWN and (step.does or DRY_LOOK in step.needs):
            look = look_check(book)
            if look is not None:
                found.append(look)
        return found

    def _ways(self, state: Situation, setup: Step) -> list[Step]:
        """This setup and those that stand for it, quickest first; what the person cannot do comes last."""
        others = [s for s in self._book.setups.values() if setup.id in s.stands_for]
        every = sorted((setup, *others), key=lambda s: (s.id in state.refused, s.minutes + s.risk_minutes, s.id))
        return every if others else [setup]

    def _setup(self, setup_id: str) -> Setup | None:
        built_in = BUILT_IN.get(setup_id)
        return self._book.setups.get(setup_id) or (built_in if isinstance(built_in, Setup) else None)

    def _releases(self, state: Situation) -> list[Step]:
        """The ways to release the pressure; with fuel outside the quiet ones."""
        ways: list[Setup] = sorted(
            (s for s in self._book.setups.values() if s.releases_pressure), key=lambda s: (s.minutes, s.id)
        )
        quiet = self._setup(RELEASED_QUIETLY)
        if quiet is not None and quiet not in ways:
            ways.append(quiet)
        return [*ways]


def _for_the_wall(situation: Situation, book: RuleBook, choices: frozenset[str], traces: frozenset[str]) -> Situation:
    """Without what the wall does not look at, so that one more answered question needs no new plans.

    Of what was refused only the setups count for which there is another way, of what was tried only the checks that
    something waits for.
    """
    nothing: frozenset[str] = frozenset()
    refused = (situation.refused | situation.later) & choices
    return replace(
        situation,
        tools=_not_to_be_borrowed(situation),
        refused=refused,
        later=nothing,
        done=nothing,
        unanswered=nothing,
        doubtful=frozenset(),
        likely=likely_heard(situation, book),
        measured=measures(book),
        looked=False,
        tried=situation.tried & traces,
        turns=0,
    )


def _not_to_be_borrowed(situation: Situation) -> frozenset[str] | None:
    """Of the tools only those that the wall looks at; None where both are there or may be."""
    there = frozenset() if situation.alone else frozenset({HELPER})
    if situation.tools is None or LOG in situation.tools:
        there |= {LOG}
    return None if there == {HELPER, LOG} else there


def _releases(step: Step) -> bool:
    return isinstance(step, Setup) and step.releases_pressure


def _disturbance(setup: Step) -> tuple[int, str]:
    """Setups that open the system first, quiet ones next, those that run the engine last."""
    if acts_of(setup, OPENS):
        return 0, setup.id
    return (2, setup.id) if acts_of(setup, RUNS) else (1, setup.id)


_MOST_PLANS = 20_000


def planner_for(book: RuleBook) -> Planner:
    """The planner of a book, kept between proposals: from answer to answer the car mostly stays as it is."""
    return derived(book, Planner, lambda planner: planner.full)


def plan(situation: Situation, step: Step, book: RuleBook) -> Plan:
    """The way to one step."""
    return planner_for(book).plan(situation, step)
