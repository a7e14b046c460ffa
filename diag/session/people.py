"""Who is at the car, what is at hand and what the papers say, told in one line and entered; what was left is named."""

from __future__ import annotations

from dataclasses import dataclass, replace

from diag.fuelsystem.car import UNKNOWN_WORDS
from diag.fuelsystem.fields import CHOICE, FIELDS, YES_NO
from diag.hearing.circumstances import Circumstances, circumstances, not_taken
from diag.quantities import parse
from diag.rulebook.model import RuleBook
from diag.safety.situation import HELPER, Situation
from diag.session.heard import keep_unplaced
from diag.session.job import Job
from diag.support.errors import UserError
from diag.support.text import one_line


@dataclass(frozen=True, slots=True)
class PeopleTold:
    """What one line brought: whether it spoke of people, the car's papers in words, what was refused, what is left."""

    people: bool = False
    papers: tuple[str, ...] = ()
    refused: tuple[str, ...] = ()
    left: tuple[str, ...] = ()

    @property
    def anything(self) -> bool:
        """Whether any of the line was taken."""
        return self.people or bool(self.papers)

    @property
    def left_words(self) -> str:
        """What was not taken, in one sentence; empty where all was."""
        return f"Not taken, kept as said: {'; '.join(one_line(part, 120) for part in self.left)}." if self.left else ""


def parted(text: str, unit_pressure: str = "psi") -> tuple[str, str]:
    """A complaint, and what after a semicolon tells of people, tools and papers; empty where it tells none."""
    parts = text.split(";")
    for at in range(1, len(parts)):
        if circumstances(parts[at], unit_pressure).about_people:  # what stands before it tells more of the complaint
            complaint, rest = ";".join(parts[:at]), ";".join(parts[at:])
            break
    else:
        complaint, _, rest = text.partition(";")
    told = circumstances(rest, unit_pressure)
    return (complaint, rest.strip()) if complaint.strip() and (told.about_people or told.papers) else (text, "")


def tell_line(job: Job, line: str, keep: bool = True) -> PeopleTold:
    """Enter everything that a line tells of people, tools and papers.

    Args:
        job: the job it is told in.
        line: what was said.
        keep: write what was not understood into a note.
    """
    told = circumstances(line, job.case.unit_pressure)
    if told.about_people:
        usual = job.standing.situation
        if usual.tools == frozenset() and told.person not in (None, "untrained"):
            usual = replace(usual, tools=None)  # a caller nobody knew yet had nothing; this one has the usual things
        tell_people(job, usual, told)
    papers, refused = tell_papers(job, told)
    left = not_taken(line, job.case.unit_pressure)
    if keep:
        keep_unplaced(job, left)
    return PeopleTold(told.about_people, papers, refused, left)


def tell_people(job: Job, usual: Situation, told: Circumstances) -> None:
    """Enter person, telephone, helper, air and tools; what was not told stays as ``usual`` has it."""
    person = told.person or usual.person
    phone = told.by_phone if told.by_phone is not None else usual.by_phone
    helper = told.helper if told.helper is not None else usual.second_person
    aired = told.aired if told.aired is not None else usual.ventilated
    job.tell_person(person, bool(phone), bool(helper), bool(aired), tools_left(job.book, usual.tools, told))


def tools_left(book: RuleBook, before: frozenset[str] | None, told: Circumstances) -> tuple[str, ...] | None:
    """The tools at hand after what was told; None when everything is there."""
    every = frozenset(book.tools)
    if told.all_tools:
        before = None
    left = every if before is None else before
    if told.only is not None:
        left = (told.only & every) | (left & {HELPER})  # a list of tools says nothing of people
    left -= told.missing
    if told.helper is not None:
        left = left | ({HELPER} & every) if told.helper else left - {HELPER}
    return None if left == every else tuple(sorted(left))


def tell_papers(job: Job, told: Circumstances) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Enter what the papers say; what was entered in words, and why anything was refused."""
    said, refused = [], []
    for name, value in told.papers.items():
        try:
            job.tell_car(name, value)
            said.append(field_words(job.book, job.case.unit_pressure, name, value))
        except UserError as error:
            refused.append(error.one_line())
    return tuple(said), tuple(refused)


def field_words(book: RuleBook, unit_pressure: str, name: str, value: str) -> str:
    """A fact of the car with its value as it was understood."""
    spec = FIELDS.get(name)
    title = spec.title if spec is not None else one_line(book.contexts[name].title)
    unknown = value.strip().casefold() in UNKNOWN_WORDS
    understood = "not known" if unknown else one_line(value)
    if not unknown and spec is not None and spec.kind not in (CHOICE, YES_NO):
        unit = unit_pressure if spec.kind == "pressure" else spec.unit
        understood = parse(value, spec.kind, unit, spec.title).understood
    return f"{title}: {understood}"
