"""Written cases from their files: the case, what is expected of it, and the play that the two make.

What is true is the last expectation before the case's own first repair. Everything is checked against the rule book, so
that a case which names what the book does not know is refused here and not in the middle of a trial.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from pathlib import Path

from diag.casework.casefile import MAX_TEXT, read_case
from diag.casework.entries import CarFact, Case, Entry, HandedOver, PersonTold, ReadingTaken, SignAnswer, StepDone
from diag.casework.evidence_of import told_by
from diag.fuelsystem.car import Car, car_from_texts
from diag.fuelsystem.parameters import PARAMETERS
from diag.inference.posterior import NOT_IN_BOOK, NOTHING_WRONG
from diag.quantities import parse
from diag.rulebook.findings import ABSENT, NOT_KNOWN
from diag.rulebook.model import RuleBook
from diag.simulation.expected import Expect, Worked, read_expectations
from diag.simulation.scenario import Answer, Script, Steps, WrittenCase
from diag.support.disk.files import read_text
from diag.support.errors import Place, SourceError, UnknownNameError, UserError
from diag.support.text import one_line

MOST_TOGETHER = 3  # causes at once, as in the engine


def read_written(folder: Path, expected: Path, book: RuleBook) -> tuple[WrittenCase, ...]:
    """The cases of a folder of which the file says what is expected, in the order of the file.

    Raises:
        UserError: one of them is missing, cannot be read, or names what the book does not know; the first such.
    """
    if not folder.is_dir():
        raise UserError("There is no such folder of cases.", "Say --cases FOLDER.", one_line(str(folder), 300))
    wanted = read_expectations(read_text(expected), one_line(str(expected), 300))
    return tuple(written_case(_case(folder, each), each, book) for each in wanted.values())


def _case(folder: Path, wanted: Worked) -> Case:
    path = folder / f"{wanted.name}.yaml"
    if not path.is_file():
        raise SourceError(
            f"There is no case {one_line(wanted.name, 80)} in {one_line(str(folder), 200)}.",
            "Write it, or take this expectation out.", wanted.place,
        )  # fmt: skip
    return read_case(read_text(path, 4 * MAX_TEXT), one_line(str(path), 300)).whole()


def written_case(case: Case, wanted: Worked, book: RuleBook) -> WrittenCase:
    """One case with what is expected of it, checked against the book.

    Raises:
        UserError: a name that the book does not know, or no word about what is true.
    """
    told = told_by(case, book)
    if told.problems:
        raise SourceError(told.problems[0], "Put the case right.", Place(f"{case.id}.yaml"))
    values = {**car_from_texts(wanted.car, case.unit_pressure).values, **told.car.values}
    steps = [(e.number, e.step) for e in case.effective() if isinstance(e, StepDone)]
    repairs = [(number, step) for number, step in steps if step in book.remedies]
    before = min((number for number, _ in repairs), default=float("inf"))
    early = [e for e in wanted.expect if e.at < before]
    truths = _truths(early, wanted, book)
    known_at = max((e.at for e in early if e.lead or e.all or e.some), default=0)
    script = _script(case, wanted, book)
    cured = frozenset(c.id for c in book.causes.values() if {step for _, step in repairs} & set(c.remedies))
    script = replace(script, cured=cured)
    stops = _stops(wanted, script, book)
    return WrittenCase(wanted.name, case, script, Car(values), truths, stops, known_at, wanted.apart, wanted.decisive)


def _truths(expects: Iterable[Expect], wanted: Worked, book: RuleBook) -> tuple[tuple[str, ...], ...]:
    known = (*book.causes, NOTHING_WRONG, NOT_IN_BOOK)
    naming = sorted((e for e in expects if e.lead or e.all or e.some), key=lambda e: e.at)
    if not naming:
        if any(e.proposes == "stop" for e in wanted.expect):
            return ()
        raise SourceError(
            f"Nothing expected of {wanted.name} says what is wrong with the car.",
            "Name it with 'lead', or 'all', at an entry before the first repair.", wanted.place,
        )  # fmt: skip
    last = naming[-1]
    found: tuple[tuple[str, ...], ...]
    if last.lead:
        found = tuple((c,) for c in last.lead)
    elif not last.some or set(last.some) & set(last.all):
        found = (last.all or last.some,)
    else:
        found = tuple((*last.all, c) for c in last.some)
    for cause in (c for truth in found for c in truth):
        if cause not in known:
            raise UnknownNameError("cause", cause, known, str(wanted.place))
    if any(len(truth) > MOST_TOGETHER for truth in found):
        raise SourceError(
            f"{wanted.name} has more than {MOST_TOGETHER} causes at once.", "Name fewer of them.", wanted.place
        )
    return tuple(tuple(c for c in truth if c != NOTHING_WRONG) for truth in found)


def _stops(wanted: Worked, script: Script, book: RuleBook) -> bool:
    """Whether the right end is to stop at once; see the head of this module."""
    wet = any(
        isinstance(e, SignAnswer) and book.signs[e.sign].wet and e.answer not in (ABSENT, NOT_KNOWN)
        for e in script.desk
    )  # fmt: skip
    return any(e.proposes == "stop" for e in wanted.expect) or (wet and script.person.person == "untrained")


def _script(case: Case, wanted: Worked, book: RuleBook) -> Script:
    desk: list[Entry] = []
    asides: list[tuple[str, Entry]] = []
    answers: dict[Steps, dict[tuple[str, str], tuple[Answer, ...]]] = {}
    weak: dict[tuple[str, str], tuple[Answer, ...]] = {}
    stretch: Steps = ()
    since: dict[int, str] = {}  # entry to the repair it came after
    last, begun = "", False
    for entry in case.effective():
        asked = isinstance(entry, SignAnswer | ReadingTaken) and bool(entry.check)
        begun = begun or asked or isinstance(entry, StepDone)
        if isinstance(entry, StepDone) and (entry.step in book.remedies or entry.step in book.actions):
            stretch = (*stretch, entry.step)
        since[entry.number] = stretch[-1] if stretch else ""
        if isinstance(entry, SignAnswer | ReadingTaken):
            key = ("", entry.sign) if isinstance(entry, SignAnswer) else (entry.reading, entry.point)
            if asked:
                here = answers.setdefault(stretch, {})
                here[key] = (*here.get(key, ()), entry)
            elif _first_hand(entry):
                weak.setdefault(key, (entry,))
        deed = isinstance(entry, StepDone) and entry.step in book.actions
        told = isinstance(entry, CarFact | PersonTold | HandedOver | SignAnswer | ReadingTaken) and not asked
        if told or deed:
            if begun:
                asides.append((last, entry))
            else:
                desk.append(entry)
        last = entry.step if isinstance(entry, StepDone) else last
    answers[()] = {**weak, **answers.get((), {})}
    faults = tuple((since[_entry(at, case, wanted)], _parsed(values, wanted)) for at, values in wanted.faults)
    return Script(tuple(desk), tuple(asides), answers, faults)


def _first_hand(entry: Answer) -> bool:
    seen = not isinstance(entry, SignAnswer) or entry.source == "own eyes"
    return entry.sure == "sure" and seen


def _entry(at: int, case: Case, wanted: Worked) -> int:
    if all(entry.number != at for entry in case.effective()):
        raise SourceError(f"{case.id} has no entry {at}, from which a fault should be there.", "", wanted.place)
    return at


def _parsed(values: Mapping[str, str], wanted: Worked) -> dict[str, float]:
    found = {}
    for name, text in values.items():
        if name not in PARAMETERS:
            raise UnknownNameError("parameter of the fuel system", name, PARAMETERS, str(wanted.place))
        found[name] = parse(text, PARAMETERS[name].unit_kind, "", f"{wanted.place}: {name}").value
    return found
