"""A case and a rule book -> where the job stands: belief, next step, cautions, stops. Pure; nothing is remembered."""

from __future__ import annotations

from collections.abc import Iterable, MutableMapping
from dataclasses import dataclass, replace
from functools import cached_property
from typing import TYPE_CHECKING, Literal

from diag.casework.certainty import is_certain
from diag.casework.entries import Case, Entry, ReadingTaken, SignAnswer, StepDone
from diag.casework.evidence_of import told_by
from diag.casework.renamed import named_as_today
from diag.casework.situation_of import situation_of
from diag.casework.summary import status_of
from diag.decision.next_step import propose
from diag.decision.proposal import Proposal
from diag.decision.safe_ground import informed
from diag.fuelsystem.car import Car
from diag.inference.evidence import Evidence
from diag.inference.explain import EntryWeight, weights
from diag.inference.model import Model, compile_model
from diag.inference.posterior import Belief, belief
from diag.inference.titles import title_of
from diag.rulebook.findings import ABSENT
from diag.rulebook.hazards import Hazard, StopRule
from diag.rulebook.model import RuleBook
from diag.safety.interlock import allowed
from diag.safety.situation import Situation, Verdict, Wet
from diag.safety.steps import find_step
from diag.safety.stop_rules import rules_in_force

if TYPE_CHECKING:
    from diag.inference.explain import Misfit

Phase = Literal["story", "checking", "remedy", "proof", "closed"]
ModelKey = tuple[str, int, tuple[tuple[str, float | str], ...]]
ModelCache = MutableMapping[ModelKey, Model]

NOTABLE = 0.01  # a change of chance worth telling
MOST_MODELS = 8
AIM_BYTES = 2000  # that a kept aim takes; its entries are those of the case


@dataclass(frozen=True)
class Standing:
    """Where a job stands. Belief and proposal are worked out when first asked for.

    ``problems`` names entries that this rule book cannot use and contradictions of the car, one sentence each.
    """

    case: Case
    book: RuleBook
    car: Car
    model: Model
    evidence: Evidence
    situation: Situation
    problems: tuple[str, ...]

    @cached_property
    def belief(self) -> Belief:
        """The posterior after everything that was told."""
        return belief(self.model, self.evidence)

    @cached_property
    def misfit(self) -> Misfit:
        """The entry that fits least with all the others."""
        from diag.inference.explain import misfit  # recomputes beliefs; only who asks for it waits for it

        return misfit(self.model, self.evidence)

    @cached_property
    def proposal(self) -> Proposal:
        """The next step."""
        return propose(self.model, self.belief, self.evidence, self.situation, aim=self.aim)

    @cached_property
    def aim(self) -> str:
        """The check or remedy to which the set-ups just made were to lead; empty when something was learned since."""
        before = before_set_ups(self.case, self.book)
        if before is None:
            return ""
        # Asked anew after every set-up and every dry look, always of the same entries: kept by what they are.
        name = "aim", before.id, tuple(map(id, before.entries))
        kept: tuple[Case, str] | None = self.model.place.find(name)
        if kept is None:
            meant = standing(before, self.book, {model_key(self.book, self.car): self.model}).proposal
            kept = before, (meant.toward or meant.step) if meant.kind in ("check", "remedy") else ""
            self.model.place.keep(name, kept, AIM_BYTES)
        return kept[1]

    @cached_property
    def informed(self) -> Situation:
        """The situation with what the weighing adds for the wall: likely causes, a base far from its target."""
        return informed(self.situation, self.model, self.belief, self.evidence)

    @cached_property
    def stops(self) -> tuple[StopRule, ...]:
        """The stop rules in force, with what must not be done, why, until when, and what to do now."""
        return rules_in_force(self.situation, self.book)

    @cached_property
    def cautions(self) -> tuple[Hazard, ...]:
        """The hazards of the proposed step and of the setups before it, each once, in that order."""
        return cautions_of((*self.proposal.setups, self.proposal.step), self.book)

    @cached_property
    def explanations(self) -> list[EntryWeight]:
        """How much each entry spoke for and against each cause."""
        return weights(self.model, self.evidence)

    @property
    def phase(self) -> Phase:
        """How far the job is."""
        if status_of(self.case) == "closed":
            return "closed"
        if self.proposal.kind == "prove":
            return "proof"
        if self.proposal.kind in ("remedy", "close", "hand on"):
            return "remedy"
        worked = any(_is_work(entry) for entry in self.case.effective())
        return "checking" if worked else "story"

    def verdict(self, step_id: str) -> Verdict:
        """What the wall says to any step right now, for free choices."""
        step = find_step(self.book, step_id)
        if step is None:
            return Verdict(False, f"This rule book knows no step called {step_id!r}.", "it is in the rule book")
        return allowed(self.informed if step.does else self.situation, step, self.book)


def _is_work(entry: Entry) -> bool:
    if isinstance(entry, SignAnswer | ReadingTaken):
        return bool(entry.check)
    return isinstance(entry, StepDone)


def cautions_of(step_ids: Iterable[str], book: RuleBook) -> tuple[Hazard, ...]:
    """The hazards of some steps, each once."""
    found: dict[str, Hazard] = {}
    for step_id in step_ids:
        step = find_step(book, step_id)
        for name in step.hazards if step is not None else ():
            if name in book.hazards:
                found.setdefault(name, book.hazards[name])
    return tuple(found.values())


def before_set_ups(case: Case, book: RuleBook) -> Case | None:
    """The case before the set-ups at its end and the looks between them that found all dry; None: no set-up."""
    first = None
    for at in reversed(range(len(case.entries))):
        entry = case.entries[at]
        if isinstance(entry, StepDone) and entry.step in book.setups:
            first = at
        elif not _dry_look(entry, book):
            break
    return None if first is None else replace(case, entries=case.entries[:first])


def _dry_look(entry: Entry, book: RuleBook) -> bool:
    """Whether an entry belongs to a look over the car that found nothing."""
    if isinstance(entry, StepDone):
        return entry.step in book.checks and book.checks[entry.step].look_over
    dry = isinstance(entry, SignAnswer) and entry.answer == ABSENT and is_certain(entry)
    return dry and isinstance(entry, SignAnswer) and entry.check in book.checks and book.checks[entry.check].look_over


def model_key(book: RuleBook, car: Car) -> ModelKey:
    """What a compiled model depends on."""
    return (book.fingerprint, id(book), tuple(sorted(car.values.items())))


def model_for(book: RuleBook, car: Car, cache: ModelCache | None) -> Model:
    """The compiled model of this car; ``cache`` keeps the last few, since a case mostly asks for the same one."""
    key = model_key(book, car)
    if cache is not None and key in cache:
        return cache[key]
    model = compile_model(book, car)
    if cache is not None:
        while len(cache) >= MOST_MODELS:
            del cache[next(iter(cache))]
        cache[key] = model
    return model


def standing(case: Case, book: RuleBook, model_cache: ModelCache | None = None) -> Standing:
    """Replay a whole case. The same case and book always give the same standing."""
    case = named_as_today(case, book)
    told = told_by(case, book)
    model = model_for(book, told.car, model_cache)
    problems = (*told.problems, *told.car.contradictions())
    return Standing(case, book, told.car, model, told.evidence, situation_of(case, book), problems)


# ------------------------------------------------------------------ before and after


@dataclass(frozen=True, slots=True)
class Moved:
    """One cause whose chance changed."""

    cause: str
    title: str
    before: float
    after: float


@dataclass(frozen=True, slots=True)
class Comparison:
    """What one answer (or any change) did: causes by how far they moved, and what changed besides.

    ``leader_titles`` before and after; ``stops_begun`` and ``stops_ended`` hold titles of stop rules.
    """

    moved: tuple[Moved, ...]
    leader_before: str
    leader_after: str
    leader_titles: tuple[str, str]
    wet_before: Wet
    wet_after: Wet
    stops_begun: tuple[str, ...]
    stops_ended: tuple[str, ...]

    @property
    def nothing(self) -> bool:
        """Whether nothing changed that is worth a word."""
        same = self.leader_before == self.leader_after and self.wet_before is self.wet_after
        return same and not (self.moved or self.stops_begun or self.stops_ended)


def compare(before: Standing, after: Standing) -> Comparison:
    """What changed between two standings of one job."""
    old, new = dict(before.belief.ranked()), dict(after.belief.ranked())
    moved = [
        Moved(name, title_of(name, after.book), old.get(name, 0.0), new.get(name, 0.0))
        for name in sorted(old.keys() | new.keys())
        if abs(new.get(name, 0.0) - old.get(name, 0.0)) >= NOTABLE
    ]
    moved.sort(key=lambda m: (-abs(m.after - m.before), m.cause))
    first, second = before.belief.ranked()[0][0], after.belief.ranked()[0][0]
    titles = title_of(first, before.book), title_of(second, after.book)
    old_stops, new_stops = ({r.id: r.title for r in s.stops} for s in (before, after))
    begun = tuple(title for name, title in new_stops.items() if name not in old_stops)
    ended = tuple(title for name, title in old_stops.items() if name not in new_stops)
    return Comparison(tuple(moved), first, second, titles, before.situation.wet, after.situation.wet, begun, ended)
