"""From the entries of a case to what the engine is told: car, contexts, findings, readings, epochs."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from diag.casework.entries import CarFact, Case, Entry, ReadingTaken, SignAnswer, StepDone
from diag.engine.evidence import Epoch, Evidence, Finding, Reading, redraws_of
from diag.engine.safesteps import find_step
from diag.fuelsystem.car import Car, read_field
from diag.fuelsystem.fields import FIELDS
from diag.quantities import parse
from diag.rulebook.model import NOT_KNOWN, Action, Knobs, Remedy, RuleBook
from diag.trust.errors import UserError
from diag.trust.text import one_line

VACUUM = "manifold vacuum"
UNSURE_READING = 2.0  # times the usual error for a reading somebody is not sure of: judgement


@dataclass(frozen=True, slots=True)
class Told:
    """What a case tells the engine, and what of it could not be used, one sentence each."""

    car: Car
    evidence: Evidence
    problems: tuple[str, ...]


def told_by(case: Case, book: RuleBook) -> Told:
    """Everything that counts in the case, in the engine's words; unknown names become problems, never errors."""
    entries = case.effective()
    problems: list[str] = []
    car, contexts = _car(entries, case, book, problems)
    findings: list[Finding] = []
    readings: list[tuple[Reading, str]] = []
    epochs = [Epoch()]
    for entry in entries:
        now = len(epochs) - 1
        if isinstance(entry, SignAnswer):
            finding = _finding(entry, now, book, problems)
            if finding is not None:
                _keep(findings, finding)
        elif isinstance(entry, ReadingTaken):
            reading = _reading(entry, now, book, problems)
            if reading is not None:
                readings.append((reading, entry.check))
        elif isinstance(entry, StepDone):
            epoch = _epoch(entry, book, problems)
            if epoch is not None:
                epochs.append(epoch)
    evidence = Evidence(tuple(findings), _refined(readings, book), tuple(epochs), contexts)
    return Told(car, evidence, tuple(problems))


# ------------------------------------------------------------------ the car


def _car(entries: tuple[Entry, ...], case: Case, book: RuleBook, problems: list[str]) -> tuple[Car, Mapping[str, bool]]:
    texts = {entry.field: entry for entry in entries if isinstance(entry, CarFact)}
    values: dict[str, float | str] = {}
    contexts: dict[str, bool] = {}
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
        else:
            contexts[name] = value == "yes"
    car = Car(values)
    return car, {**derived_contexts(car, book), **contexts}


def derived_contexts(car: Car, book: RuleBook) -> dict[str, bool]:
    """Contexts that follow from a field of the car: "fuel: E85, methanol" or "altitude: over 1500 m"."""
    result: dict[str, bool] = {}
    for context in book.contexts.values():
        name, colon, condition = context.when_car.partition(":")
        value = car.values.get(name.strip())
        if colon and value is not None:
            result[context.id] = _meets(value, condition.strip(), FIELDS[name.strip()].kind)
    return result


def _meets(value: float | str, condition: str, kind: str) -> bool:
    word, _, limit = condition.partition(" ")
    if isinstance(value, float | int) and word in ("over", "above", "under", "below"):
        bound = parse(limit, kind).value
        return value > bound if word in ("over", "above") else value < bound
    return str(value).casefold() in {choice.strip().casefold() for choice in condition.split(",")}


# ------------------------------------------------------------------ findings and readings


def chance_wrong(entry: SignAnswer, knobs: Knobs) -> float:
    """The chance that an answer is not what is really there."""
    wrong = knobs.sure_wrong
    if entry.sure == "unsure":
        wrong = max(wrong, knobs.unsure_wrong)
    if entry.source == "second hand":
        wrong = max(wrong, knobs.second_hand_wrong)
    return wrong


def _finding(entry: SignAnswer, epoch: int, book: RuleBook, problems: list[str]) -> Finding | None:
    sign = book.signs.get(entry.sign)
    if sign is None:
        problems.append(_unknown(entry, "sign", entry.sign))
        return None
    if entry.answer == NOT_KNOWN:
        return None
    if entry.answer not in sign.possible:
        problems.append(_unknown(entry, f"answer to {sign.title}", entry.answer))
        return None
    return Finding(entry.sign, entry.answer, chance_wrong(entry, book.knobs), epoch, entry.number)


def _keep(findings: list[Finding], new: Finding) -> None:
    """One answer per sign and epoch: the surer of two equal ones, the later of two that differ."""
    for at, old in enumerate(findings):
        if (old.sign, old.epoch) == (new.sign, new.epoch):
            if old.answer != new.answer or new.wrong < old.wrong:
                del findings[at]
                findings.append(new)
            return
    findings.append(new)


def _reading(entry: ReadingTaken, epoch: int, book: RuleBook, problems: list[str]) -> Reading | None:
    kind = book.readings.get(entry.reading)
    if kind is None or entry.point not in book.points:
        missing = ("reading", entry.reading) if kind is None else ("point", entry.point)
        problems.append(_unknown(entry, *missing))
        return None
    error = kind.error * UNSURE_READING if entry.sure == "unsure" else None
    return Reading(
        entry.reading,
        entry.point,
        entry.value,
        entry.low,
        entry.high,
        entry.bound,
        entry.gauge,
        error,
        entry.conditions,
        epoch,
        entry.number,
    )


def _refined(readings: list[tuple[Reading, str]], book: RuleBook) -> tuple[Reading, ...]:
    """Readings at idle with the manifold vacuum that was measured in the same check as a condition."""
    measured = {(r.point, r.epoch, check): r.value for r, check in readings if r.reading == VACUUM and not r.bound}
    result = []
    for r, check in readings:
        vacuum = measured.get((r.point, r.epoch, check))
        turning = book.points[r.point].settings.get("engine") in ("idle", "cruise", "full load")
        if vacuum is not None and turning and r.reading != VACUUM and "vacuum" not in r.conditions:
            result.append(replace(r, conditions={**r.conditions, "vacuum": vacuum}))
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
