"""What ``import diag`` offers: one function a question, on top of the rooms that answer it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from diag.casework.casefile import MAX_TEXT, read_case
from diag.casework.replay import model_for
from diag.decision.proposal import Proposal
from diag.design.answer import Answer
from diag.design.questions import QUESTIONS, read_figure
from diag.design.questions import ask as ask_design
from diag.fuelsystem.car import Car, car_from_texts
from diag.inference.evidence import Epoch, Evidence
from diag.inference.expected_reading import Spread, predicted_reading
from diag.inference.titles import title_of
from diag.rulebook.hazards import StopRule
from diag.rulebook.load import load_book
from diag.rulebook.model import RuleBook
from diag.rulebook.where import rules_folder
from diag.session.job import Job
from diag.session.kept import new_case
from diag.support.disk.files import read_text
from diag.support.errors import UnknownNameError, UserError

DESIGN_QUESTIONS: tuple[str, ...] = tuple(QUESTIONS)
"""The names of the design questions that ``ask`` answers."""


@dataclass(frozen=True, slots=True)
class Suspect:
    """One cause in the ranking: id, title and the chance (0 to 1) that it is there now.

    Two ids are no causes of the book: ``nothing-wrong`` and ``not-in-book``.
    """

    id: str
    title: str
    chance: float


@dataclass(frozen=True, slots=True)
class Reason:
    """What one entry does to one cause, all others standing: log10 of the factor on its odds."""

    entry: int
    cause: str
    log10: float


def open_rule_book(folder: Path | str | None = None) -> RuleBook:
    """The rule book that comes with the program, or the one in ``folder``.

    Raises:
        RuleBookError: with file, line, column and what to do, when it cannot be used.
        StorageError: it cannot be read.
    """
    return load_book(Path(folder) if folder is not None else rules_folder())


def new_job(book: RuleBook, title: str = "job", who: str = "library") -> Job:
    """A job in memory. Tell it with its methods (``answer_sign``, ``take_reading``, ``tell_car``, ``done`` ...)."""
    return Job(new_case(book, title), book, who=who)


def read_job(book: RuleBook, file: Path | str, who: str = "library") -> Job:
    """A job from a case file, in memory; the file is not written to.

    Raises:
        CaseFileError: the file is damaged; says where and what to do.
        StorageError: it cannot be read.
    """
    path = Path(file)
    result = read_case(read_text(path, 4 * MAX_TEXT), path.name)
    if result.case is None:
        raise result.problems[0]
    return Job(result.case, book, who=who)


def ranking(job: Job, at_least: float = 0.0) -> tuple[Suspect, ...]:
    """Every cause with its chance, likeliest first; the same case gives the same ranking on any machine."""
    return tuple(
        Suspect(name, title_of(name, job.book), chance)
        for name, chance in job.standing.belief.ranked()
        if chance >= at_least
    )


def reasons(job: Job, cause: str) -> tuple[Reason, ...]:
    """What each entry says for (above 0) and against (below 0) a cause, strongest first.

    Raises:
        UnknownNameError: the book has no such cause.
    """
    if cause not in job.book.causes:
        raise UnknownNameError("cause", cause, job.book.causes)
    found = [Reason(w.entry, cause, w.log10[cause]) for w in job.standing.explanations if cause in w.log10]
    return tuple(sorted(found, key=lambda r: (-abs(r.log10), r.entry)))


def next_step(job: Job) -> Proposal:
    """What to do next: a check, a remedy, its proof, a stop, or the end; never a step that the interlock refuses."""
    return job.standing.proposal


def stops(job: Job) -> tuple[StopRule, ...]:
    """The stop rules in force: what must not be done now, why, what to do now, and until when."""
    return job.standing.stops


def car(book: RuleBook, **told: str) -> Car:
    """A car from what is told of it, field by field as typed, underscores for hyphens: ``pump_flow="255 L/h"``.

    Raises:
        UnknownNameError: a field nobody knows.
        QuantityError: a value that cannot be understood or cannot be.
    """
    return car_from_texts({name.replace("_", "-"): text for name, text in told.items()}, contexts=book.contexts)


def predict(book: RuleBook, car: Car, reading: str, point: str, causes: Sequence[str] = ()) -> Spread:
    """What a gauge would show on this car with exactly these causes: SI mean and the limits of nine in ten.

    Raises:
        UnknownNameError: the book has no such cause, reading or point.
    """
    if point not in book.points:
        raise UnknownNameError("point", point, book.points)
    return predicted_reading(model_for(book, car, None), causes, reading, point, Evidence(epochs=(Epoch(),)))


def ask(question: str, car: Car, figures: Mapping[str, str] | None = None) -> Answer:
    """A design question about a car; ``figures`` are what it takes besides, as typed.

    Raises:
        UnknownNameError: a question or figure nobody knows.
        QuantityError: figures that cannot be, alone or together.
    """
    if question not in QUESTIONS:
        raise UnknownNameError("design question", question, DESIGN_QUESTIONS)
    wanted = {extra.id: extra for extra in QUESTIONS[question].extras}
    for name in figures or {}:
        if name not in wanted:
            raise UnknownNameError(f"figure of the question {question}", name, wanted)
    given = {name: read_figure(wanted[name], text) for name, text in (figures or {}).items()}
    return ask_design(question, car, given)


__all__ = [
    "DESIGN_QUESTIONS", "Reason", "Suspect", "UserError", "ask", "car", "new_job", "next_step", "open_rule_book",
    "predict", "ranking", "read_job", "reasons", "stops",
]  # fmt: skip
