"""A job in the pieces that the server keeps: head and entries of its file, and a digest for lists."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from diag.casework.casefile import ReadResult, continue_text, head_of, kind_of, piece_of, put_together, read_case
from diag.casework.entries import Case, Entry, HandedOver, StatusSet
from diag.casework.ids import SUFFIX
from diag.casework.summary import Summary, summary_of
from diag.support.text import clean, one_line

WHOEVER = "whoever is free"
_ANYBODY = frozenset(
    {"anybody", "anyone", "any", "somebody", "someone", "whoever", "whoever is free", "free", "the desk"}
)
Plain = dict[str, Any]


def items_of(entries: Sequence[Entry]) -> list[Plain]:
    """Entries as the server takes them."""
    return [
        {"number": e.number, "kind": kind_of(e), "at": _fit(e.at), "who": _fit(e.who), "body": piece_of(e)}
        for e in entries
    ]  # fmt: skip


def digest_of(case: Case, new: Sequence[Entry] = ()) -> Plain:
    """What lists, searches, the board and learning need. ``new`` are the entries added with it."""
    found = summary_of(case)
    handed = next((e for e in reversed(new) if isinstance(e, HandedOver)), None)
    return {
        "title": one_line(found.title, 200),
        "status": found.status,
        "opened": _fit(found.opened),
        "changed": _fit(found.changed),
        "result": found.result,
        "proven": found.proven,
        "causes": list(found.causes),
        "steps": sorted({_fit(step) for step, _ in found.steps}),
        "text": _fit(found.text),
        "car": _fit(car_words(found)),
        "waits": waits_of(case) if found.status == "waiting for part" else "",
        "handed": receiver(handed.to) if handed is not None else "",
        "sketch": sketch_of(found),
    }


def empty_digest(case_id: str) -> Plain:
    """The digest of a file of which nothing can be read."""
    return digest_of(Case(case_id, "", "", "", "")) | {"sketch": {}}


def receiver(told: str) -> str:
    """Whom a job is handed to: a name, or whoever is free."""
    name = one_line(told, 60).strip()
    return WHOEVER if name.casefold().rstrip(".") in _ANYBODY else name or WHOEVER


def waits_of(case: Case) -> str:
    """What the job waits for, as told with its last status."""
    last = next((e for e in reversed(case.effective()) if isinstance(e, StatusSet)), None)
    return one_line(last.text, 200) if last is not None else ""


def car_words(summary: Summary) -> str:
    """What a search for a car looks through: the facts of the car and the title, small letters."""
    return (" ".join(f"{key} {value}" for key, value in summary.car.items()) + f" {summary.title}").lower()


def sketch_of(summary: Summary) -> Plain:
    """The part of a summary that has no column of its own."""
    return {
        "steps": [[step, minutes] for step, minutes in summary.steps],
        "believed": [[steps, dict(ranking)] for steps, ranking in summary.believed],
        "car": dict(summary.car),
        "people": [_fit(who) for who in summary.people],
        "book": _fit(summary.book),
    }


def summary_from(row: Mapping[str, Any], sketch: Mapping[str, Any]) -> Summary:
    """The summary again from the columns and the sketch."""
    return Summary(
        id=row["id"], title=row["title"], opened=row["opened"], changed=row["changed"], status=row["status"],
        result=row["result"], proven=row["proven"], causes=tuple(row["causes"]),
        steps=tuple((step, minutes) for step, minutes in sketch["steps"]),
        believed=tuple((steps, ranking) for steps, ranking in sketch["believed"]),
        car=sketch["car"], people=tuple(sketch["people"]), book=sketch["book"], text=row["text"],
    )  # fmt: skip


@dataclass(frozen=True, slots=True)
class Kept:
    """A job as it lies on the server.

    ``found`` is its file as brought in, where that is laid out otherwise than ours; ``problem`` why it cannot be read.
    """

    id: str
    head: str
    bodies: tuple[str, ...]
    found: bytes | None = None
    problem: str = ""

    def text(self) -> str:
        """The text of the case file: as it was brought in, with what was added since behind it."""
        plain = "" if self.problem else put_together(self.head, self.bodies)
        if self.found is None:
            return plain
        as_found = self.found.decode("utf-8", "replace")
        if self.problem:
            return as_found
        now, then = self._read(plain).case, self._read(as_found).case
        if now is None or then is None:
            return plain
        return as_found if now == then else continue_text(as_found, then, now)

    def data(self) -> bytes:
        """The case file, byte for byte as it was brought in when nothing was added."""
        text = self.text()
        if self.found is not None and text == self.found.decode("utf-8", "replace"):
            return self.found
        return text.encode()

    def _read(self, text: str) -> ReadResult:
        return named(read_case(text, f"{self.id}{SUFFIX}"), self.id)


def kept_from(case_id: str, data: bytes) -> tuple[Kept, Case | None]:
    """A case file in pieces, and the case in it; None when it cannot be read whole."""
    text = data.decode("utf-8", "replace")
    result = named(read_case(text, f"{case_id}{SUFFIX}"), case_id)
    case = result.case
    if case is None or data.decode("utf-8", "surrogateescape") != text:
        problem = result.problems[0].one_line() if result.problems else "This is not UTF-8."
        return Kept(case_id, "", (), data, one_line(problem, 600)), result.best()
    head, bodies = head_of(case), tuple(map(piece_of, case.entries))
    same = put_together(head, bodies).encode() == data
    return Kept(case_id, head, bodies, None if same else data), case


def named(result: ReadResult, case_id: str) -> ReadResult:
    """The name it is kept under is the case's name, whatever a copied file says inside."""
    case = replace(result.case, id=case_id) if result.case else None
    salvage = replace(result.salvage, id=case_id) if result.salvage else None
    return replace(result, case=case, salvage=salvage)


def _fit(text: str) -> str:
    """Text that the server takes: no control characters."""
    return clean(text, max(len(text), 1))
