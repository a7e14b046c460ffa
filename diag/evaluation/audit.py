"""A second, independent reading of the safety rules, to count proposals that must not be made.

Written from the safety rules in words, not from ``diag.safety.interlock``, and kept apart from it on purpose: it
follows the entries of a job by itself and looks at every proposed step with the setups on its way. A rule the wall
forgot, or a state it lost, shows up here as a forbidden proposal.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace

from diag.casework.entries import Entry, HandedOver, PersonTold, ReadingTaken, SignAnswer, StepDone, StepRefused
from diag.evaluation.audit_dangers import DangerWatch, bad_advice
from diag.rulebook.findings import ABSENT
from diag.rulebook.model import RuleBook
from diag.rulebook.steps import PERSONS, Action, Check, Remedy, Setup, Step
from diag.safety.steps import find_step

RUNNING = {"key on", "runs pump", "runs engine", "cranks engine", "drives car"}
OPENING = {"opens system", "disturbs joint", "loads spring"}
TRAINED = ("mechanic", "shop")
PROOF = ("look", "prime-two-seconds", "look", "run-sixty-seconds", "look")


@dataclass(frozen=True)
class Watched:
    """What the auditor knows of the car. ``proof`` counts the steps of the way back taken since the repair."""

    wet: str = "unknown"  # unknown, dry, wet, repaired
    proof: int = 0
    released: bool = False
    running: bool = False
    fuse_out: bool = False
    places: frozenset[str] = frozenset()
    setups: frozenset[str] = frozenset()
    person: PersonTold | None = None
    told: tuple[tuple[str, str], ...] = ()
    own_joint: bool = False  # was dry until the person opened a joint that the step names; nothing has run since


@dataclass
class Auditor:
    """Follows one job entry by entry and says what is wrong with a proposal; an empty text means nothing is."""

    book: RuleBook
    state: Watched = field(default_factory=Watched)
    _begun: str = ""
    _watch: DangerWatch = field(init=False)
    _words: dict[str, str] = field(default_factory=dict)  # step -> what is wrong with its words

    def __post_init__(self) -> None:
        self._watch = DangerWatch(self.book)

    def saw(self, entry: Entry) -> None:
        """Take one entry, in order."""
        self._watch.heard(entry)
        if isinstance(entry, PersonTold):
            self.state = replace(self.state, person=entry)
        elif isinstance(entry, HandedOver):
            self.state = _dry_no_more(self.state)
        elif isinstance(entry, SignAnswer | ReadingTaken):
            if entry.check and entry.check != self._begun:
                self._begun = entry.check
                self._tried(entry.check)
                self.state = self._did(self.state, self.book.checks[entry.check])
            if isinstance(entry, SignAnswer):
                self._heard(entry)
        elif isinstance(entry, StepDone):
            step = find_step(self.book, entry.step)
            if step is not None:
                self._watch.did(step)
                self._tried(entry.step)
            if isinstance(step, Remedy | Action):
                self._watch.tried = frozenset()
            if step is not None and entry.step != self._begun:
                self.state = self._did(self.state, step)
            self._begun = ""
        elif isinstance(entry, StepRefused) and entry.why == "cannot":
            self._tried(entry.step)

    def _tried(self, step_id: str) -> None:
        self._watch.tried = self._watch.tried | {step_id}

    def objection(self, steps: Sequence[str]) -> str:
        """Why these steps, one after the other, must not be done; empty when they may."""
        state, watch = self.state, self._watch.copy()
        for step_id in steps:
            step = find_step(self.book, step_id)
            if step is None:
                return f"{step_id}: nobody knows this step"
            why = self._why_not(state, step) or watch.objection(step) or self._said(step) or self._traced(state, step)
            if why:
                return f"{step_id}: {why}"
            state = self._did(state, step)
            watch.did(step)
        return ""

    def _said(self, step: Step) -> str:
        if step.id not in self._words:
            self._words[step.id] = bad_advice(step)
        return self._words[step.id]

    def _traced(self, state: Watched, step: Step) -> str:
        """Whether a wet place would be wiped before anybody read its trace."""
        read = {"read-stains", "dry-paper"} & set(self.book.checks)
        wipes = step.id == "wipe-dry-and-prove" and state.wet == "wet"
        return "wiped before its trace was read" if wipes and not read <= self._watch.tried else ""

    # ------------------------------------------------------------------ the rules

    def _why_not(self, state: Watched, step: Step) -> str:
        acts: set[str] = set(step.does)
        gives_away = isinstance(step, Remedy) and not step.keeps_car and not acts
        if gives_away:
            return ""
        return (
            self._stopped(state, acts)
            or self._person(state, step, acts)
            or self._wet(state, step, acts)
            or self._mechanics(state, step, acts)
        )

    def _stopped(self, state: Watched, acts: set[str]) -> str:
        for rule in self.book.stops.values():
            holds = bool(rule.when) and all(self._fact(state, f) for f in rule.when)
            about_wet = all(f.startswith("wet:") or self._is_wet_sign(f) for f in rule.when)
            if holds and not about_wet and not rule.lifted_by and acts & set(rule.forbids):
                return f"stop rule {rule.id}"
        return ""

    def _is_wet_sign(self, fact: str) -> bool:
        name = fact.removeprefix("sign:")
        return fact.startswith("sign:") and name in self.book.signs and self.book.signs[name].wet

    def _fact(self, state: Watched, fact: str) -> bool:
        head, _, tail = fact.partition(":")
        tail = tail.strip()
        if head == "wet":
            return state.wet == tail
        if head == "person":
            return state.person is not None and state.person.person == tail
        if head == "sign":
            said = dict(state.told).get(tail, ABSENT)
            return said not in (ABSENT, "not known")
        return False  # fuels and readings above a limit are not followed here

    def _person(self, state: Watched, step: Step, acts: set[str]) -> str:
        person = state.person.person if state.person is not None else "mechanic"
        if PERSONS.index(person) < PERSONS.index(step.person):
            return f"not for a person with the training {person}"
        if state.person is not None and state.person.by_phone and not step.by_phone:
            return "not by phone"
        if "helper" in step.tools and state.person is not None and _lone(state.person):
            return "a job for two, and there is only one"
        if "pinches hose" in acts and person == "untrained":
            return "pinching a hose without training"
        aired = state.person is None or state.person.ventilated
        if not aired and acts & {"runs engine", "cranks engine", "opens system"}:
            return "no air"
        return ""

    def _wet(self, state: Watched, step: Step, acts: set[str]) -> str:
        if state.wet == "dry" or not acts:
            untrained = state.person is not None and state.person.person == "untrained"
            return "wet fuel and an untrained person" if state.wet in ("wet", "repaired") and untrained else ""
        # Whoever opens a joint of a dry car, pressure let off and nothing running, may open the next before looking.
        another = isinstance(step, Setup) and step.look_again and acts <= {"opens system", "disturbs joint"}
        if state.wet == "unknown" and state.own_joint and another and state.released and not state.running:
            return ""
        person = state.person.person if state.person is not None else "mechanic"
        quiet = state.fuse_out and not state.running
        if state.wet in ("wet", "repaired") and person in (*TRAINED, "hobbyist"):
            if isinstance(step, Setup) and step.releases_pressure and acts <= OPENING and quiet:
                return ""
            if isinstance(step, Remedy) and acts <= OPENING and quiet and state.released and person in TRAINED:
                return ""
        if state.wet == "repaired" and person in TRAINED:
            second = state.person is not None and state.person.second_person
            if state.proof < len(PROOF) and PROOF[state.proof] == step.id and second:
                return ""
        return f"fuel outside is {state.wet} and the step {', '.join(sorted(acts))}"

    def _mechanics(self, state: Watched, step: Step, acts: set[str]) -> str:
        releases = isinstance(step, Setup) and step.releases_pressure
        if acts & OPENING and not state.released and not releases:
            return "opened under pressure"
        if state.running and acts & (OPENING | {"sparks"}) and not releases:
            return "the engine is running"
        return ""

    # ------------------------------------------------------------------ what deeds change

    def _did(self, state: Watched, step: Step) -> Watched:
        acts: set[str] = set(step.does)
        state = self._proof_after(state, step, acts)
        if isinstance(step, Remedy) and not (not step.keeps_car and not acts):
            quietly = state.wet == "wet" and state.released and not acts & RUNNING
            state = replace(state, wet="repaired", proof=0, places=frozenset()) if quietly else _dry_no_more(state)
        elif acts & OPENING:
            state = _opened(state, step, acts)
        elif acts & RUNNING and state.own_joint:
            state = _dry_no_more(state)
        if isinstance(step, Setup) and step.releases_pressure:
            state = replace(state, released=True, running=False)
        elif acts & RUNNING or (isinstance(step, Setup) and step.raises_pressure):
            stays = isinstance(step, Setup) and "runs engine" in acts
            state = replace(state, released=False, running=stays, fuse_out=False)
        elif acts & OPENING:  # whoever had a joint open, in order or not, left no pressure behind it
            state = replace(state, running=False, released=state.released or "opens system" in acts)
        if step.id == "engine-off":
            state = replace(state, running=False)
        if step.id == "fuse-out":
            state = replace(state, fuse_out=True)
        if "fuse-out" in step.undoes:
            state = replace(state, fuse_out=False)
        if isinstance(step, Check) and step.look_over and not state.own_joint:
            state = replace(state, places=frozenset())
        return state

    def _proof_after(self, state: Watched, step: Step, acts: set[str]) -> Watched:
        if state.wet != "repaired":
            return state
        if state.proof < len(PROOF) and PROOF[state.proof] == step.id:
            return replace(state, proof=state.proof + 1)
        return replace(state, proof=0) if acts & (RUNNING | OPENING) else state

    def _heard(self, entry: SignAnswer) -> None:
        seen = entry.sure == "sure" and entry.source == "own eyes"
        state = self.state
        if seen or entry.answer not in (ABSENT, "not known"):  # a no that nobody vouches for leaves what was told
            state = replace(state, told=(*(t for t in state.told if t[0] != entry.sign), (entry.sign, entry.answer)))
        sign = self.book.signs.get(entry.sign)
        if sign is not None and sign.wet:
            dry = entry.answer == ABSENT and seen
            if entry.answer not in (ABSENT, "not known"):
                state = replace(state, wet="wet", proof=0, places=frozenset(), own_joint=False)
            elif dry:
                state = self._one_dry(replace(state, places=state.places | {entry.sign}))
            elif state.wet == "dry" and entry.sign in self._wanted():  # doubt about a place that was to be seen dry
                state = replace(state, wet="unknown", places=frozenset())
        self.state = state

    def _wanted(self) -> set[str]:
        """The places a look-over must find dry."""
        return {y.sign for y in self.book.checks["look-over"].yields if self.book.signs[y.sign].wet}

    def _one_dry(self, state: Watched) -> Watched:
        if not self._wanted() <= state.places:
            return state
        if state.wet == "unknown":
            return replace(state, wet="dry", own_joint=False)
        if state.wet == "repaired" and state.proof < len(PROOF) and PROOF[state.proof] == "look":
            done = state.proof + 1
            wet = "dry" if done == len(PROOF) else "repaired"
            return replace(state, wet=wet, proof=0 if wet == "dry" else done, places=frozenset())
        return state


def _lone(person: PersonTold) -> bool:
    """Whether nobody is there to help and none was left among what is at hand."""
    return not person.second_person and person.tools is not None and "helper" not in person.tools


def _opened(state: Watched, step: Step, acts: set[str]) -> Watched:
    """A joint was opened: where the step names the places to look at again, the others stay dry till something runs."""
    partly = bool(step.look_again) and acts <= {"opens system", "disturbs joint"}
    if partly and (state.wet == "dry" or state.own_joint):
        return replace(state, wet="unknown", own_joint=True, places=state.places - set(step.look_again))
    return _dry_no_more(state)


def _dry_no_more(state: Watched) -> Watched:
    state = replace(state, own_joint=False)
    if state.wet == "dry":
        return replace(state, wet="unknown", places=frozenset())
    return replace(state, proof=0, places=frozenset())
