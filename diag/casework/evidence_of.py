"""From the entries of a case to what the engine is told: car, contexts, findings, readings, epochs."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from diag.casework.built_of import told_contexts
from diag.casework.entries import CarFact, Case, Entry, PersonTold, ReadingTaken, SignAnswer, StepDone
from diag.casework.renamed import named_as_today
from diag.casework.witnesses import Witnesses
from diag.fuelsystem.car import Car, read_field
from diag.fuelsystem.fields import FIELDS, fields_of
from diag.fuelsystem.points import NUMBERS, check_setting, highest
from diag.inference.evidence import Epoch, Evidence, Finding, Reading, redraws_of
from diag.inference.witness import either
from diag.quantities import show
from diag.rulebook.between import is_answer, leaning
from diag.rulebook.built import NOT, decides_only, lacks_of, named, tools_lacking
from diag.rulebook.findings import ABSENT, NOT_KNOWN, ReadingKind, Sign
from diag.rulebook.model import Knobs, RuleBook
from diag.rulebook.steps import Action, Remedy
from diag.safety.steps import find_step
from diag.support.errors import UserError
from diag.support.text import one_line

VACUUM = "manifold vacuum"
RAIL = "rail pressure"  # what the gauge shows whose span and grade the car's fields tell
UNSURE_READING = 2.0  # times the usual error for a reading somebody is not sure of, or only heard of: judgement


@dataclass(frozen=True, slots=True)
class ToldEvidence:
    """What a case tells the engine, and what of it could not be used, one sentence each."""

    car: Car
    evidence: Evidence
    problems: tuple[str, ...]


def told_by(case: Case, book: RuleBook) -> ToldEvidence:
    """Everything that counts in the case, in the engine's words; unknown names become problems, never errors."""
    case = named_as_today(case, book)
    entries = case.effective()
    problems: list[str] = []
    car, contexts = _car(entries, case, book, problems)
    findings: list[Finding] = []
    readings: list[tuple[Reading, str]] = []
    epochs = [Epoch()]
    witnesses = Witnesses(book.knobs)
    for entry in entries:
        now = len(epochs) - 1
        witnesses.hear(entry)
        if isinstance(entry, SignAnswer):
            finding = _finding(entry, now, witnesses, book, problems)
            if finding is not None:
                _keep(findings, finding, book.signs[entry.sign], book.knobs)
        elif isinstance(entry, ReadingTaken):
            reading = _reading(entry, now, car, book, problems)
            if reading is not None:
                readings.append((reading, entry.check))
        elif isinstance(entry, StepDone):
            epoch = _epoch(entry, book, problems)
            if epoch is not None:
                epochs.append(epoch)
    findings += _presupposed((reading for reading, _ in readings), findings, book)
    people = tuple(witnesses.found)
    evidence = Evidence(tuple(findings), _refined(readings, book), tuple(epochs), contexts, people)
    return ToldEvidence(car, evidence, tuple(problems))


# ------------------------------------------------------------------ the car


def contexts_told(case: Case, book: RuleBook) -> Mapping[str, bool]:
    """The contexts decided by the case: told, following from the car's fields, or shown by signs and readings."""
    return _car(case.effective(), case, book, [])[1]


def lacks_told(case: Case, book: RuleBook) -> frozenset[str]:
    """What the case excludes: needs of the car as built, and tools that are not at hand (``diag.rulebook.built``)."""
    tools: tuple[str, ...] | None = None
    for entry in case.effective():
        if isinstance(entry, PersonTold):
            tools = entry.tools
    return lacks_of(contexts_told(case, book)) | tools_lacking(tools, book)


def _car(entries: tuple[Entry, ...], case: Case, book: RuleBook, problems: list[str]) -> tuple[Car, Mapping[str, bool]]:
    texts = _as_it_came_in(entries, book)
    values: dict[str, float | str] = {}
    for name, entry in texts.items():
        try:
            value = read_field(name, entry.text, case.unit_pressure, book.contexts)
        except UserError as error:
            problems.append(f"Entry {entry.number} is left out: {error.one_line()}")
            continue
        if value is None:
            continue
        if name in FIELDS:
            values[name] = value
    return Car(values), told_contexts(entries, book, values)


def _as_it_came_in(entries: tuple[Entry, ...], book: RuleBook) -> dict[str, CarFact]:
    """The latest fact of each field about the car as it came in.

    What is told of a size after a step that renewed it is about the new part; the model draws that part anew, and the
    readings taken before it belong to the old one.
    """
    facts: dict[str, CarFact] = {}
    renewed: set[str] = set()
    for entry in entries:
        if isinstance(entry, StepDone):
            step = find_step(book, entry.step)
            renewed |= fields_of(step.redraws) if isinstance(step, Remedy | Action) else set()
        elif isinstance(entry, CarFact) and entry.field not in renewed:
            facts[entry.field] = entry
    return facts


# ------------------------------------------------------------------ findings and readings


def chance_wrong(entry: SignAnswer, knobs: Knobs) -> float:
    """The chance that an answer is wrong, whoever gave it: told unsurely, or passed on from others."""
    wrong = 0.0 if knobs.witness_slips else knobs.sure_wrong
    if entry.sure == "unsure":
        wrong = max(wrong, knobs.unsure_wrong)
    if entry.source == "second hand":
        wrong = max(wrong, knobs.second_hand_wrong)
    return wrong


def _finding(
    entry: SignAnswer, epoch: int, witnesses: Witnesses, book: RuleBook, problems: list[str]
) -> Finding | None:
    sign = book.signs.get(entry.sign)
    if sign is None:
        problems.append(_unknown(entry, "sign", entry.sign))
        return None
    if entry.answer == NOT_KNOWN or decides_only(entry.sign, book):
        return None
    if not is_answer(entry.answer, sign, book):
        problems.append(_unknown(entry, f"answer to {sign.title}", entry.answer))
        return None
    complaint = sign.symptom and not entry.check and epoch == 0 and entry.answer != ABSENT
    own = chance_wrong(entry, book.knobs)
    who = witnesses.number(entry)
    wrong = float(either(witnesses.found[who].mean, own)) if who >= 0 else own
    lean = leaning(entry.answer, book) if not sign.choices else None
    invents = book.knobs.witness_invents if who >= 0 and not sign.wet else 1.0
    return Finding(
        entry.sign,
        entry.answer,
        wrong,
        epoch,
        entry.number,
        complaint,
        who,
        own,
        between=lean,
        invents=invents,
        unasked=not entry.check,
    )


def _keep(findings: list[Finding], new: Finding, sign: Sign, knobs: Knobs) -> None:
    """What is told of a sign again in the same stretch: both answers stand, the later one given with more care.

    Of wet places, and where nobody's level is in question, one answer stands: the surer of two equal ones, the later
    of two that differ.
    """
    before = [f for f in findings if (f.sign, f.epoch) == (new.sign, new.epoch)]
    if not before:
        findings.append(new)
        return
    if new.witness >= 0 and not sign.wet:
        careful = any(f.witness == new.witness for f in before)
        findings.append(replace(new, care=knobs.asked_again if careful else 1.0, volunteered=False))
        return
    old = before[-1]
    if old.answer != new.answer or new.wrong < old.wrong:
        findings.remove(old)
        brought = new.volunteered or (old.volunteered and old.answer == new.answer)
        findings.append(replace(new, volunteered=brought))


def _presupposed(readings: Iterable[Reading], told: Sequence[Finding], book: RuleBook) -> list[Finding]:
    """What a reading shows by having been taken: at idle or full load the engine ran, so it does start.

    Of each stretch once, by its first such reading, unless somebody was asked.
    """
    answered = {(f.sign, f.epoch) for f in told}
    found: dict[tuple[str, int], Finding] = {}
    for reading in readings:
        for need in book.points[reading.point].fits:
            for asked in book.contexts[named(need)].asked_by:
                at = (named(asked), reading.epoch)
                denied = not need.startswith(NOT) and asked.startswith(NOT)
                if denied and at not in answered and not reading.met_in:
                    found.setdefault(at, Finding(at[0], ABSENT, book.knobs.sure_wrong, reading.epoch, reading.entry))
    return list(found.values())


def _reading(entry: ReadingTaken, epoch: int, car: Car, book: RuleBook, problems: list[str]) -> Reading | None:
    kind = book.readings.get(entry.reading)
    if kind is None or entry.point not in book.points:
        missing = ("reading", entry.reading) if kind is None else ("point", entry.point)
        problems.append(_unknown(entry, *missing))
        return None
    wrong = _cannot_be(entry, kind)
    if wrong:
        problems.append(f"Entry {entry.number} is left out: {wrong}")
        return None
    return Reading(
        entry.reading,
        entry.point,
        entry.value,
        entry.low,
        entry.high,
        entry.bound,
        entry.gauge,
        _error(entry, kind, car),
        entry.conditions,
        epoch,
        entry.number,
        entry.met_in,
    )


def _cannot_be(entry: ReadingTaken, kind: ReadingKind) -> str:
    """Why a reading from a file edited by hand cannot be true; empty when it can."""
    if not entry.low <= entry.value <= entry.high:
        return f"{kind.title}: its value does not lie between its low and its high."
    if not kind.can_be(entry.low, entry.high, entry.bound):
        low, high = show(kind.low, kind.quantity), show(kind.high, kind.quantity)
        return f"{kind.title}: {show(entry.value, kind.quantity)} is outside what this can be, {low} to {high}."
    for name, value in entry.conditions.items():
        if name not in NUMBERS:
            return f"{kind.title}: there is no measured condition called {one_line(name, 40)!r}."
        try:
            check_setting(name, value)
        except UserError as error:
            return f"{kind.title}: {error.one_line()}"
    return ""


def _error(entry: ReadingTaken, kind: ReadingKind, car: Car) -> float | None:
    """The error of this one reading where it is not the book's: told with it, unsure, passed on, or by a coarser gauge.

    A gauge finer than the book takes for granted changes nothing: reading it and plumbing it in stay what they are.
    """
    factor = UNSURE_READING if entry.sure == "unsure" or entry.source == "second hand" else 1.0
    own = entry.error or kind.error
    told = car.gauge_spread(entry.value) if entry.reading == RAIL and entry.gauge == "main" else None
    coarser = max(told**2 - kind.offset**2, 0.0) if told is not None else 0.0
    usual = factor == 1.0 and not coarser and not entry.error
    return None if usual else float(((factor * own) ** 2 + coarser) ** 0.5)


def _refined(readings: list[tuple[Reading, str]], book: RuleBook) -> tuple[Reading, ...]:
    """Readings at idle with the manifold vacuum that was measured in the same check as a condition."""
    measured = {(r.point, r.epoch, check): r.value for r, check in readings if r.reading == VACUUM and not r.bound}
    result = []
    for r, check in readings:
        vacuum = measured.get((r.point, r.epoch, check))
        turning = book.points[r.point].settings.get("engine") in ("idle", "cruise", "full load")
        if vacuum is not None and turning and r.reading != VACUUM and "vacuum" not in r.conditions:
            # A vacuum gauge may show more than there can be.
            possible = min(vacuum, highest("vacuum"))
            result.append(replace(r, conditions={**r.conditions, "vacuum": possible}))
        else:
            result.append(r)
    return tuple(result)


# ------------------------------------------------------------------ epochs


def _epoch(entry: StepDone, book: RuleBook, problems: list[str]) -> Epoch | None:
    step = find_step(book, entry.step)
    if step is None:
        problems.append(_unknown(entry, "step", entry.step))
        return None
    if isinstance(step, Remedy) and step.keeps_car:
        cured = frozenset(c.id for c in book.causes.values() if step.id in c.remedies)
        return Epoch(redraws_of(step), cured, step.botch, step.id, entry.number)
    if isinstance(step, Action):
        return Epoch(redraws_of(step), step=step.id, entry=entry.number)
    return None


def _unknown(entry: Entry, kind: str, name: str) -> str:
    return f"Entry {entry.number} is left out: this rule book knows no {kind} called {one_line(name, 80)!r}."
