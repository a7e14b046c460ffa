"""A trial that was stopped goes on: what was worked is kept line by line in a file, and never worked twice.

The first line says which trial it is, every other one holds what became of some jobs, each with its own digest. A
line that was torn when the power went is worked again; a file of another trial, rule book or program is refused and
left as it is.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping, Sequence
from dataclasses import asdict, fields
from pathlib import Path
from typing import Any

from diag.evaluation.worked import Ceiling, Worked
from diag.simulation.course import Course
from diag.support.disk.failures import storage_error
from diag.support.errors import UserError
from diag.support.text import one_line

SCHEMA = 1
MOST = 2_000_000_000


class TrialState:
    """What was worked so far of one trial; pieces are numbered as the trial numbers them."""

    def __init__(self, path: Path, of: Mapping[str, Any]) -> None:
        """Read what is there.

        Args:
            path: the file; made with the first piece when it is not there.
            of: all that the jobs follow from, as JSON has it.

        Raises:
            UserError: the file is that of another trial, or none of ours.
            StorageError: it cannot be read.
        """
        self.path = path
        self.pieces: dict[int, list[Worked]] = {}
        self._head = json.dumps({"schema": SCHEMA, "kind": "trial", "of": of}, sort_keys=True)
        self._good = 0  # bytes that are whole
        try:
            data = path.read_bytes() if path.exists() else b""
        except OSError as error:
            raise storage_error("Cannot read", path, error) from error
        if data:
            self._take(data)

    def _take(self, data: bytes) -> None:
        head, _, _ = data.partition(b"\n")
        if head.decode("utf-8", "replace") != self._head:
            raise UserError(
                "This file is none of this trial: other jobs, another rule book, or another version of the program.",
                "Name a new file, or say everything as it was said when it began.",
                one_line(str(self.path), 300),
            )
        self._good = len(head) + 1
        for line in data[self._good :].split(b"\n")[:-1]:  # a last line without an end was torn
            digest, _, text = line.partition(b" ")
            if _digest(text) != digest:
                break
            number, worked = json.loads(text)
            self.pieces[number] = [_from_plain(one) for one in worked]
            self._good += len(line) + 1

    def add(self, number: int, worked: Sequence[Worked]) -> None:
        """Keep a piece.

        Raises:
            StorageError: the disk would not take it.
        """
        text = json.dumps([number, [_plain(one) for one in worked]], default=_number).encode()
        line = _digest(text) + b" " + text + b"\n"
        try:
            if not self._good:
                line = self._head.encode() + b"\n" + line
            with self.path.open("r+b" if self.path.exists() else "xb") as file:
                file.truncate(self._good)
                file.seek(self._good)
                file.write(line)
        except OSError as error:
            raise storage_error("Cannot save", self.path, error) from error
        self._good += len(line)
        self.pieces[number] = list(worked)


def _digest(text: bytes) -> bytes:
    return hashlib.sha256(text).hexdigest()[:32].encode()


def _number(value: Any) -> Any:
    """A number of an array as a plain one."""
    return value.item()


def _plain(worked: Worked) -> list[Any]:
    trial, course, ceiling, seconds = worked
    told = {field.name: getattr(course, field.name) for field in fields(course)}
    return [
        trial,
        told | {"right_names": sorted(course.right_names)},
        None if ceiling is None else asdict(ceiling),
        seconds,
    ]


def _from_plain(plain: Sequence[Any]) -> Worked:
    trial, told, ceiling, seconds = plain
    values = {name: _tuples(value) for name, value in told.items()}
    course = Course(**values | {"later": list(values["later"]), "right_names": frozenset(values["right_names"])})
    return trial, course, None if ceiling is None else Ceiling(**ceiling), seconds


def _tuples(value: Any) -> Any:
    return tuple(map(_tuples, value)) if isinstance(value, list) else value
