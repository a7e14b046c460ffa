"""From the entries of a case to where the job stands physically, for the safety wall.

Walks the entries in the order they were told. An answer about wet fuel that was later taken back or changed never
counts as dry at its old place, and the edit itself ends a dry look. A reading or answer of a check means that the
check was done, with its setups, whether the wall would have allowed it or not.
"""

from __future__ import annotations

from dataclasses import replace

from diag.casework.certainty import is_certain, still_said
from diag.casework.entries import (
    CarFact,
    Case,
    Entry,
    HandedOver,
    PersonTold,
    ReadingTaken,
    Replaced,
    Retracted,
    SignAnswer,
    StepDone,
    StepRefused,
)
from diag.casework.evidence_of import lacks_told
from diag.casework.look_ledger import LookLedger
from diag.casework.people_and_car import in_other_hands, with_car_fact, with_person
from diag.casework.renamed import named_as_today
from diag.casework.stop_ledger import DRY_WORDS, StopLedger
from diag.casework.taken_back import bears_on_wet, ran
from diag.rulebook.between import leaning
from diag.rulebook.built import decides_only
from diag.rulebook.findings import NOT_KNOWN, PRESENT
from diag.rulebook.model import RuleBook
from diag.rulebook.steps import Action, Check, Remedy, Setup, Step, Yield
from diag.safety.beforehand import AT, measures
from diag.safety.effects import acts_of, after, lapse, only_own_joint
from diag.safety.interlock import in_place
from diag.safety.situation import BORROWED, HELPER, Situation, Wet
from diag.safety.steps import DRY_LOOK, FUSE_OUT, OPENS, RUNS, find_step, questions_only
from diag.safety.stop_rules import rules_in_force

_NESTING = 4
_PUMP_RAN = Check(
    id="",
    title="A reading told unasked with the pump running",
    why="",
    steps=(),
    aloud=(),
    minutes=0.0,
    tools=(),
    hazards=(),
    does=("runs pump",),
    needs=(),
    undoes=(),
    person="untrained",
    by_phone=True,
    for_leaks=False,
    risk_minutes=0.0,
)


def situation_of(case: Case, book: RuleBook) -> Situation:
    """The situation after everything that was told."""
    case = named_as_today(case, book)
    walk = _Walk(case, book)
    for entry in case.entries:
        walk.take(entry)
    return walk.finish()


class _Walk:
    """One pass over the entries."""

    def __init__(self, case: Case, book: RuleBook) -> None:
        self._case = case
        self._book = book
        self._counts = {entry.number: entry for entry in case.effective()}
        self._edited = {x.target for x in case.entries if isinstance(x, Retracted | Replaced)}
        self._state = Situation()
        self._looks = LookLedger(book)
        self._told = StopLedger(book)
        self._turned = ""  # the check whose turn was counted last
        self._check = ""  # the check whose answers are coming in
        self._known = False  # whether it was told who is at the car
        self._denied: frozenset[str] = frozenset()  # tools that were told to be missing after it was known who is there

    def finish(self) -> Situation:
        """The situation with its facts and the stop rules in force."""
        if self._state.wet is not Wet.WET:
            self._state = replace(self._state, dry_places=self._looks.dry)
        lacks = lacks_told(self._case, self._book)
        out = self._out_of_reach()
        state = replace(self._state, facts=self._told.facts(), lacks=lacks, stops=frozenset(), out_of_reach=out)
        return replace(state, stops=frozenset(rule.id for rule in rules_in_force(state, self._book)))

    def _out_of_reach(self) -> frozenset[str]:
        """Tools that are not at hand and not to be had: no step is to need them.

        Those are what was told to be missing after all, that for want of which a step was refused, and whatever a
        caller has not, since nobody lends it to somebody at the roadside.
        """
        there = self._state.tools
        if there is None:
            return frozenset()
        refused = (find_step(self._book, name) for name in self._state.refused)
        wanting = {tool for step in refused if step for tool in step.tools}
        gone = frozenset(self._book.tools) if self._state.by_phone else self._denied | wanting
        return gone - there - BORROWED - {HELPER}

    def _person(self, entry: PersonTold) -> None:
        every = frozenset(self._book.tools)
        before = self._state.tools
        self._state = with_person(self._state, entry)
        there = every if self._state.tools is None else self._state.tools
        if self._known:
            self._denied |= (every if before is None else before) - there
        self._denied -= there
        self._known = True

    def take(self, raw: Entry) -> None:
        """One entry, as it counts now, at the place where it was first told."""
        if isinstance(raw, Retracted | Replaced):
            self._edit(raw)
            return
        entry = self._counts.get(raw.number)
        if entry is None:
            return
        for said in still_said(self._case, raw, entry):
            self._said(said, raw.number in self._edited)

    def _said(self, entry: Entry, edited: bool) -> None:
        if isinstance(entry, SignAnswer):
            self._answer(entry, edited)
        elif isinstance(entry, ReadingTaken):
            self._reading(entry)
        elif isinstance(entry, StepDone):
            self._done(entry.step)
        elif isinstance(entry, StepRefused):
            self._refused(entry)
        elif isinstance(entry, PersonTold):
            self._person(entry)
        elif isinstance(entry, HandedOver):
            self._check, self._known, self._denied = "", False, frozenset()
            self._lapse()
            self._state = in_other_hands(self._state, self._book)
        elif isinstance(entry, CarFact):
            self._state = with_car_fact(self._state, entry, self._case.unit_pressure, self._book)

    # -------------------------------------------------------------- answers

    def _answer(self, entry: SignAnswer, edited: bool) -> None:
        if entry.check:
            self._begin(entry.check)
            self._turn(entry.check)
            if is_certain(entry) and entry.answer != NOT_KNOWN:
                self._measured(entry.check)
        if entry.answer != NOT_KNOWN:
            # What is half there is there: rules of safety know no answer in between.
            half = leaning(entry.answer, self._book) is not None
            self._told.answered(entry.sign, PRESENT if half else entry.answer, is_certain(entry))
        vague = entry.sure != "sure" and decides_only(entry.sign, self._book)
        if entry.check and (entry.answer == NOT_KNOWN or vague):
            self._state = replace(self._state, unanswered=self._state.unanswered | {entry.sign})
        sign = self._book.signs.get(entry.sign)
        if sign is None or not sign.wet:
            return
        if entry.answer != NOT_KNOWN and entry.answer not in DRY_WORDS:
            self._state = self._looks.told_wet(self._state)
        elif entry.sign in self._looks.places:
            certain = entry.answer != NOT_KNOWN and is_certain(entry) and not edited
            self._state = self._looks.told_not_wet(self._state, entry, certain)

    def _turn(self, check_id: str) -> None:
        """One more turn of the person: every loose question, any other check once."""
        check = self._book.checks.get(check_id)
        if check is None or check.look_over or (self._turned == check_id and not questions_only(check)):
            return
        self._turned = check_id
        self._state = replace(self._state, turns=self._state.turns + 1)

    def _edit(self, edit: Retracted | Replaced) -> None:
        """A changed answer about wet fuel, or a deed taken back, ends a dry look; a pump that ran once ran.

        What is taken back may still have happened, so a pump run that nothing else vouches for counts as one here:
        the pressure is up again and a joint just opened is to be looked at.
        """
        told = [x for x in self._case.entries if x.number == edit.target]
        told += [x.by for x in self._case.entries if isinstance(x, Replaced) and x.target == edit.target]
        if any(bears_on_wet(x, self._counts, self._book) for x in told):
            self._check = ""
            self._lapse()
        if any(ran(x, self._counts, self._book) for x in told):
            self._check = ""
            self._apply(_PUMP_RAN)

    def _lapse(self) -> None:
        self._looks.clear()
        self._state = lapse(self._state)

    # -------------------------------------------------------------- deeds

    def _reading(self, entry: ReadingTaken) -> None:
        if entry.check:
            self._begin(entry.check)
        point = self._book.points.get(entry.point)
        if point is None:
            return
        # What a log shows may raise a stop; as a figure of another time it never lowers what a gauge shows now.
        where = f"{entry.point}, logged" if entry.log else entry.point
        self._told.read(entry.reading, where, entry.low, entry.high, entry.bound, is_certain(entry))
        if is_certain(entry):
            self._measured(entry.reading, f"{entry.reading}{AT}{entry.point}")
        else:
            self._state = replace(self._state, doubtful=self._state.doubtful | {entry.number})
        self._state = replace(self._state, turns=0)
        if not entry.check and not entry.log:
            self._instruments_on(entry)
            if point.settings.get("pump") == "on":
                self._apply(_PUMP_RAN)

    def _instruments_on(self, entry: ReadingTaken) -> None:
        """Who tells a figure unasked has the instrument on, unless they said that they own none."""
        point = self._book.points[entry.point]
        if point.settings.get("gauge", entry.gauge) != "main" or not is_certain(entry):
            return
        asked = Yield(reading=entry.reading, at=entry.point)
        ways = [frozenset(check.needs) for check in self._book.checks.values() if asked in check.yields]
        needed = frozenset.intersection(*ways) if ways else frozenset()
        fitted = {
            name
            for name in needed & self._book.setups.keys()
            if "opens system" in self._book.setups[name].does and self._owns(self._book.setups[name])
        }
        self._state = replace(self._state, setups=self._state.setups | fitted)

    def _owns(self, setup: Setup) -> bool:
        return self._state.tools is None or set(setup.tools) <= self._state.tools | {"hand-tools"}

    def _measured(self, *names: str) -> None:
        asked = measures(self._book).intersection(names)
        if not asked <= self._state.measured:
            self._state = replace(self._state, measured=self._state.measured | asked)

    def _begin(self, check_id: str) -> None:
        """The first answer of a check: it was done, and so were the setups it needs."""
        check = self._book.checks.get(check_id)
        if check is None or self._check == check_id:
            return
        self._check = check_id
        if check.look_over and not self._state.own_joint:
            self._looks.clear()  # what was told before it is no part of a look; only beside a joint of our own it is
        self._state = replace(self._state, tried=self._state.tried | {check_id})
        self._ready(check, _NESTING)
        self._apply(check)
        if not questions_only(check):  # of loose questions each is done by itself
            self._state = replace(self._state, done=self._state.done | {check_id})

    def _ready(self, step: Step, depth: int, deed: Step | None = None) -> None:
        """The set-ups that a step needs count as done with it; ``deed`` is what was told, where the step was not."""
        deed = deed or step
        for need in step.needs:
            setup = self._book.setups.get(need)
            if not depth or setup is None or need == DRY_LOOK or in_place(self._state, need):
                continue
            if self._counts_when_told(setup, deed):
                continue
            self._ready(setup, depth - 1, deed)
            self._apply(setup)

    def _counts_when_told(self, setup: Setup, deed: Step) -> bool:
        """Whether a deed says nothing about this set-up, so that it holds only once somebody told it.

        A screw can be turned with the fuse in and the pressure up, a gauge may have been on the rail all along; only a
        system just opened has no pressure left, and with fuel outside not even that is taken as known.
        """
        if setup.id == FUSE_OUT:
            return True
        return setup.releases_pressure and (self._state.wet is Wet.WET or "opens system" not in deed.does)

    def _done(self, step_id: str) -> None:
        step = find_step(self._book, step_id)
        if step is None:
            return
        if isinstance(step, Check) and self._check == step_id:
            return  # its answers came first and already counted as doing it
        self._check = step_id if isinstance(step, Check) else ""
        self._ready(step, _NESTING)
        self._apply(step)
        done = self._state.done
        if isinstance(step, Remedy) and not step.keeps_car:
            done = done | {step_id}
        elif isinstance(step, Remedy | Action):
            done = frozenset()
            self._state = replace(self._state, unanswered=frozenset(), tried=frozenset())
        elif isinstance(step, Check):
            done = done | {step_id}
        self._told.did(step)
        aside = {step_id}
        self._state = replace(
            self._state, done=done, refused=self._state.refused - aside, later=self._state.later - aside
        )

    def _apply(self, step: Step) -> None:
        before = self._state
        self._state = after(before, step, self._book)
        disturbed = bool(acts_of(step, OPENS)) or isinstance(step, Remedy)
        if self._state.own_joint and only_own_joint(step):
            self._looks.forget(step.look_again)
        elif disturbed or (acts_of(step, RUNS) and before.wet is not Wet.DRY):
            self._looks.clear()  # what was seen dry before may not be dry now

    def _refused(self, entry: StepRefused) -> None:
        if entry.why == "cannot":
            tried = self._state.tried | {entry.step}
            self._state = replace(self._state, refused=self._state.refused | {entry.step}, tried=tried)
        else:
            self._state = replace(self._state, later=self._state.later | {entry.step})
