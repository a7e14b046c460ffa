"""What was heard, entered into a job: one entry for each thing taken, and a note in the person's words for the rest."""

from __future__ import annotations

import re
from collections.abc import Iterable

from diag.casework.entries import Case, Note, ReadingTaken, SignAnswer
from diag.hearing.likely import sign_chances
from diag.hearing.understood import Heard, Hearing, Item, Setting
from diag.hearing.words import words_of
from diag.rulebook.built import decides_only
from diag.rulebook.model import RuleBook
from diag.session.job import Job
from diag.support.text import one_line

UNPLACED = "In their own words: "


def setting_of(job: Job) -> Setting:
    """What the job knows while somebody speaks."""
    target = job.standing.car.number("target-pressure")
    return Setting(job.case.unit_pressure, sign_chances(job.book), target)


def take(job: Job, piece: Heard, item: Item | None = None) -> None:
    """Enter one thing that was heard and accepted.

    Args:
        job: where it goes.
        piece: what was said.
        item: which of its meanings; None takes the best.

    Raises:
        UserError: the case refuses it; nothing is changed.
    """
    meant = item or piece.best
    if meant.kind == "sign":
        job.answer_sign(meant.id, meant.answer, sure=piece.sure, source=piece.source, text=piece.words)
    elif meant.kind == "reading":
        gauge = job.book.points[meant.point].gauge
        unsure = "unsure" if piece.source == "second hand" else piece.sure
        job.take_reading(meant.id, meant.point, meant.answer, gauge=gauge, sure=unsure)
    else:
        job.tell_car(meant.id, meant.answer)


def parts_denied(text: str, book: RuleBook) -> tuple[str, ...]:
    """The parts that some words say the car has not, as the signs by which the book asks for them.

    Each is called by the words of its name; all of them must follow a word that denies.
    """
    found = _NONE_THERE.search(text.casefold())
    if found is None:
        return ()
    stems = {word.stem for word in words_of(text[found.end() :])}
    names = (name for name in book.signs if name.startswith(_HAS) and decides_only(name, book))
    return tuple(n for n in names if any({w.stem for w in words_of(said)} <= stems for said in _called(n)))


_HAS = "has-"
_NONE_THERE = re.compile(
    r"\b(?:no|without(?: an?)?|(?:has|have|is|are)n'?t (?:got )?(?:an?|any)|has not (?:got )?an?)\b"
)
_ALSO = {"has-charger": ("turbo", "turbocharger", "supercharger"), "has-adjuster": ("screw",)}


def _called(name: str) -> tuple[str, ...]:
    return (name.removeprefix(_HAS).replace("-", " "), *_ALSO.get(name, ()))


def dangers_first(taken: Iterable[tuple[Heard, Item]], book: RuleBook) -> list[tuple[Heard, Item]]:
    """The same in the order of entering: what can hurt is written down first."""
    return sorted(taken, key=lambda pair: not (pair[1].kind == "sign" and book.signs[pair[1].id].wet))


def keep_unplaced(job: Job, words: Iterable[str]) -> None:
    """Keep what could not be placed as the person's words, in one note."""
    told = "; ".join(text for text in words if len(text.split()) > 1)  # a car's name alone stands in the title
    if told:
        job.note(f"{UNPLACED}{told}")


def unplaced_in(case: Case) -> tuple[str, ...]:
    """What was said in the job and never found a place, oldest first."""
    return tuple(
        entry.text.removeprefix(UNPLACED)
        for entry in case.effective()
        if isinstance(entry, Note) and entry.text.startswith(UNPLACED)
    )


def last_said(case: Case) -> str:
    """The person's own words of the newest answer, reading or note that has more than two of them."""
    for entry in reversed(case.effective()):
        if isinstance(entry, SignAnswer | ReadingTaken | Note) and len(entry.text.split()) > 2:
            return one_line(entry.text.removeprefix(UNPLACED), 200)
    return ""


__all__ = ["Hearing", "dangers_first", "keep_unplaced", "last_said", "setting_of", "take", "unplaced_in"]
