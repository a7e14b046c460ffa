"""Random jobs, told in any order, edited and handed over: nothing forbidden is ever proposed or let through.

A second reading of the case, written without the wall, says what must hold before anything dangerous may be done.
"""

from __future__ import annotations

from collections.abc import Iterable

import pytest
from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, precondition, rule

from diag.casework import entries as e
from diag.casework import record
from diag.casework.replay import standing
from diag.rulebook.steps import Remedy, Setup, Step
from diag.safety.steps import BUILT_IN, PRIME, SHORT_RUN, find_step
from tests.casework.test_record import BOOK, EMPTY, WHEN
from tests.decision.steps import PLACES

pytestmark = pytest.mark.slow  # several seconds: whole jobs, screens or processes

RUN = {"key on", "runs pump", "runs engine", "cranks engine", "drives car"}
OPEN = {"opens system", "disturbs joint", "loads spring"}
DANGER = RUN | OPEN | {"sparks", "pinches hose", "applies air"}
WET_SIGNS = {*PLACES, "paper-wet"}
STEPS = sorted([*BOOK.checks, *BOOK.setups, *BOOK.remedies, *BUILT_IN])
SIGNS = sorted(BOOK.signs)


def is_repair(step: Step | None) -> bool:
    """A remedy on this car."""
    return isinstance(step, Remedy) and step.keeps_car


class Reading:
    """The case read once more: which places are surely dry, since when, and how far the proof of a repair is."""

    def __init__(self, case: e.Case) -> None:
        counted = {x.number: x for x in case.effective()}
        changed = {x.target for x in case.entries if isinstance(x, e.Retracted | e.Replaced)}
        self.dry: set[str] = set()
        self.wet = False
        self.chain = 0  # after a wet place: repair 2, look 3, prime 4, look 5, run 6, look: dry
        self.released = False  # pressure let off, or a joint opened without the pump, and nothing ran since
        for raw in case.entries:
            if isinstance(raw, e.Retracted | e.Replaced):
                self.edit(case, raw.target)
                continue
            entry = counted.get(raw.number)
            if isinstance(entry, e.SignAnswer) and entry.sign in WET_SIGNS:
                self.answer(entry, raw.number in changed)
            elif isinstance(entry, e.StepDone):
                self.step(find_step(BOOK, entry.step))
            elif isinstance(entry, e.HandedOver):
                self.lapse()
                self.released = False

    def lapse(self) -> None:
        """What was seen dry no longer counts; a proof begins again at its first look."""
        self.dry.clear()
        self.chain = min(self.chain, 2)

    def edit(self, case: e.Case, target: int) -> None:
        """A changed answer about wet fuel."""
        told = [x for x in case.entries if x.number == target]
        told += [x.by for x in case.entries if isinstance(x, e.Replaced) and x.target == target]
        if any(isinstance(x, e.SignAnswer) and x.sign in WET_SIGNS for x in told):
            self.lapse()

    def answer(self, entry: e.SignAnswer, changed: bool) -> None:
        """One place."""
        if entry.answer == "present":
            self.dry.clear()
            self.wet, self.chain = True, 0
            return
        sure = entry.answer == "absent" and entry.sure == "sure" and entry.source == "own eyes" and not changed
        if entry.sign in PLACES:
            (self.dry.add if sure else self.dry.discard)(entry.sign)
        if self.wet and self.dry >= set(PLACES) and self.chain in (2, 4, 6):
            self.chain += 1
            if self.chain == 7:
                self.wet, self.chain = False, 0
            else:
                self.dry.clear()

    def step(self, step: Step | None) -> None:
        """A deed."""
        if step is None:
            return
        turn = {PRIME: 3, SHORT_RUN: 5}.get(step.id)
        if self.wet and turn is not None and turn == self.chain:
            self.chain += 1
            self.dry.clear()
        elif is_repair(step):
            self.dry.clear()
            self.chain = 2 if self.wet and (self.chain or self.released) else 0
        elif set(step.does) & (OPEN if not self.wet else OPEN | RUN):
            self.lapse()
        release = isinstance(step, Setup) and step.releases_pressure
        opened = bool(set(step.does) & OPEN) and not self.wet
        if release or set(step.does) & RUN or opened:
            self.released = release or (opened and not set(step.does) & RUN)

    @property
    def is_dry(self) -> bool:
        """Every place surely dry and no wet place open."""
        return not self.wet and self.dry >= set(PLACES)

    def wrong_with(self, step: Step, person: str, second: bool) -> str:
        """Why this step must not be done now; empty when nothing is wrong with it."""
        does = set(step.does) & DANGER
        if not does or self.is_dry:
            return ""
        if not self.wet:
            return "no dry look"
        if person not in ("mechanic", "shop"):
            return "" if isinstance(step, Setup) and step.releases_pressure and not does & RUN else "not trained"
        if step.id in (PRIME, SHORT_RUN):
            return "" if self.chain == {PRIME: 3, SHORT_RUN: 5}[step.id] and second else "out of turn"
        if does & (RUN | {"sparks", "pinches hose", "applies air"}):
            return "runs or sparks while wet"
        if isinstance(step, Setup) and step.releases_pressure:
            return ""
        return "" if is_repair(step) else "opens the system while wet"


class Jobs(RuleBasedStateMachine):
    """A person tells, does, edits and hands over in any order; sometimes the proposal is followed."""

    @initialize(second=st.booleans(), person=st.sampled_from(["mechanic", "mechanic", "shop", "hobbyist", "untrained"]))
    def begin(self, second: bool, person: str) -> None:
        """Who is at the car."""
        self.case = record.person_told(EMPTY, BOOK, person, second_person=second, **WHEN)  # type: ignore[arg-type]

    @rule(
        sign=st.sampled_from(SIGNS),
        answer=st.sampled_from(["present", "absent", "not known"]),
        sure=st.sampled_from(["sure", "sure", "unsure"]),
        source=st.sampled_from(["own eyes", "own eyes", "second hand"]),
        check=st.sampled_from(["", "", *BOOK.checks]),
    )
    def tell(self, sign: str, answer: str, sure: e.Sure, source: e.Source, check: str) -> None:
        """Any sign, any way."""
        if sign == "needle":
            answer = "steady"
        self.case = record.answer_sign(self.case, BOOK, sign, answer, sure=sure, source=source, check=check, **WHEN)

    @rule(wet=st.sampled_from([None, None, None, *PLACES]), doubt=st.sampled_from([None, None, None, *PLACES]))
    def look(self, wet: str | None, doubt: str | None) -> None:
        """A whole look-over, mostly dry."""
        for place in PLACES:
            answer = "present" if place == wet else "not known" if place == doubt else "absent"
            self.case = record.answer_sign(self.case, BOOK, place, answer, check="look-over", **WHEN)

    @rule()
    def look_dry(self) -> None:
        """A whole dry look, so that what ends it is tried often."""
        for place in PLACES:
            self.case = record.answer_sign(self.case, BOOK, place, "absent", check="look-over", **WHEN)

    @rule(
        place=st.sampled_from(PLACES),
        sure=st.sampled_from(["sure", "unsure"]),
        source=st.sampled_from(["own eyes", "second hand"]),
    )
    def look_at_one(self, place: str, sure: e.Sure, source: e.Source) -> None:
        """One place again, with or without doubt."""
        self.case = record.answer_sign(self.case, BOOK, place, "absent", sure=sure, source=source, **WHEN)

    @rule(length=st.integers(1, 9), skip=st.sampled_from([None, None, 1, 2, 3, 4, 5, 6, 7]))
    def come_back_from_wet(self, length: int, skip: int | None) -> None:
        """A wet place and part of the way back, sometimes with a link left out."""
        road = [
            "wet",
            "fuse-out",
            "pressure-released-fuse-out",
            "tighten-cap",
            "look",
            PRIME,
            "look",
            SHORT_RUN,
            "look",
        ]
        for at, name in enumerate(road[:length]):
            if at == skip:
                continue
            if name == "wet":
                self.case = record.answer_sign(self.case, BOOK, PLACES[0], "present", **WHEN)
            elif name == "look":
                self.look_dry()
            else:
                self.case = record.step_done(self.case, BOOK, name, **WHEN)

    @rule(step=st.sampled_from(["gauge-fitted", "return-in-container", "renew-pump", "set-pressure", "tighten-cap"]))
    def disturb(self, step: str) -> None:
        """A joint is opened or something is repaired."""
        self.case = record.step_done(self.case, BOOK, step, **WHEN)

    @rule(step=st.sampled_from(STEPS))
    def do(self, step: str) -> None:
        """Any step, allowed or not."""
        self.case = record.step_done(self.case, BOOK, step, **WHEN)

    @rule(data=st.data())
    def follow(self, data: st.DataObject) -> None:
        """What is proposed is done, with any answers."""
        proposal = standing(self.case, BOOK).proposal
        for name in proposal.setups:
            self.case = record.step_done(self.case, BOOK, name, **WHEN)
        check = BOOK.checks.get(proposal.step)
        if check is None:
            if proposal.step:
                self.case = record.step_done(self.case, BOOK, proposal.step, **WHEN)
            return
        for y in check.yields:
            often = ["absent", "absent", "absent", "present"] if y.sign in WET_SIGNS else ["absent", "present"]
            told = data.draw(st.sampled_from(often))
            self.case = record.answer_sign(self.case, BOOK, y.sign, told, check=check.id, **WHEN)

    @rule(step=st.sampled_from(STEPS), why=st.sampled_from(["cannot", "later", "skip"]))
    def refuse(self, step: str, why: str) -> None:
        """Something cannot be done."""
        self.case = record.step_refused(self.case, BOOK, step, why, **WHEN)  # type: ignore[arg-type]

    @rule()
    def hand_over(self) -> None:
        """Somebody else takes over."""
        self.case = record.handed_over(self.case, "Ben", **WHEN)

    @rule(person=st.sampled_from(["mechanic", "mechanic", "untrained"]), second=st.booleans(), phone=st.booleans())
    def person(self, person: str, second: bool, phone: bool) -> None:
        """Another person, or one more."""
        self.case = record.person_told(self.case, BOOK, person, second_person=second, by_phone=phone, **WHEN)  # type: ignore[arg-type]

    @precondition(lambda self: len(self.case.effective()) > 1)
    @rule(data=st.data())
    def take_back(self, data: st.DataObject) -> None:
        """Any entry."""
        number = data.draw(st.sampled_from([x.number for x in self.case.effective() if x.number > 1] or [1]))
        if number > 1:
            self.case = record.retract(self.case, number, **WHEN)

    @rule(data=st.data(), answer=st.sampled_from(["present", "absent"]))
    def change(self, data: st.DataObject, answer: str) -> None:
        """Any answer."""
        told = [x for x in self.case.effective() if isinstance(x, e.SignAnswer) and x.sign != "needle"]
        if told:
            old = data.draw(st.sampled_from(told))
            new = record.made(record.answer_sign(self.case, BOOK, old.sign, answer, check=old.check, **WHEN))
            self.case = record.replace(self.case, old.number, new, **WHEN)

    @invariant()
    def nothing_forbidden(self) -> None:
        """The proposal with its setups, and every free choice, against the second reading."""
        if not hasattr(self, "case"):
            return
        now, told = standing(self.case, BOOK), Reading(self.case)
        person, second = now.situation.person, now.situation.second_person
        for step in every_step():
            if now.verdict(step.id).allowed:
                assert not told.wrong_with(step, person, second), step.id
        names = [*now.proposal.setups, *([now.proposal.step] if now.proposal.step else [])]
        disturbed = False
        for name in names:
            step = find_step(BOOK, name)
            assert step is not None
            if disturbed:
                repair = told.wet and is_repair(step)
                assert repair or not set(step.does) & DANGER, (name, names)
            else:
                assert not told.wrong_with(step, person, second), (name, names)
            disturbed = disturbed or bool(set(step.does) & OPEN)
        if told.wet and person == "untrained":
            assert now.proposal.kind == "stop"


def every_step() -> Iterable[Step]:
    """All steps of the small book and the built-in ones."""
    return [*BOOK.checks.values(), *BOOK.setups.values(), *BOOK.remedies.values(), *BUILT_IN.values()]


TestJobs = Jobs.TestCase
TestJobs.settings = settings(
    max_examples=200, stateful_step_count=16, deadline=None, suppress_health_check=list(HealthCheck), derandomize=True
)
