"""Every error a person can cause, with where it is and what to do instead.

UserError                  one clear line: what, where, what to do
+-- QuantityError          a typed value that cannot be understood or cannot be true
+-- SourceError            a YAML file: file, line and column
|   +-- RuleBookError      one or more problems in the rule book
|   +-- CaseFileError      a case file that cannot be read as it stands
+-- StorageError           disk full, folder gone, no permission
|   +-- NotOnDiskError     answers would be lost by going on
+-- HeldElsewhereError     somebody else has the case open
+-- UnknownNameError       a name nobody knows, with the nearest known ones
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from enum import IntEnum


class ExitCode(IntEnum):
    """What a script sees when the program ends."""

    DONE = 0
    INTERNAL = 1
    BAD_INPUT = 2
    UNDECIDED = 3
    STORAGE = 4
    UNSAFE = 5
    INTERRUPTED = 130
    TERMINATED = 143


@dataclass(frozen=True, slots=True)
class Place:
    """A spot in a file; line and column count from 1, 0 when not known."""

    file: str
    line: int = 0
    column: int = 0

    def __str__(self) -> str:
        if self.line:
            return f"{self.file}:{self.line}:{self.column}"
        return self.file


class UserError(Exception):
    """Something the person can put right.

    Args:
        what: what is wrong, one sentence.
        hint: what to do instead, one sentence, may be empty.
        where: the place, a field name or a file position, may be empty.
    """

    exit_code = ExitCode.BAD_INPUT

    def __init__(self, what: str, hint: str = "", where: str = "") -> None:
        self.what = what
        self.hint = hint
        self.where = where
        super().__init__(self.one_line())

    def one_line(self) -> str:
        """The whole message on one line: where, what, what to do."""
        head = f"{self.where}: {self.what}" if self.where else self.what
        return f"{head} {self.hint}".strip()


class QuantityError(UserError):
    """A typed value that cannot be understood or cannot be true."""


class SourceError(UserError):
    """A problem at a known place of a YAML file."""

    def __init__(self, what: str, hint: str = "", place: Place | None = None) -> None:
        self.place = place
        super().__init__(what, hint, str(place) if place else "")


class RuleBookError(SourceError):
    """The rule book cannot be used; ``problems`` holds every finding."""

    def __init__(self, problems: Sequence[SourceError]) -> None:
        self.problems = tuple(problems)
        first = self.problems[0]
        more = len(self.problems) - 1
        tail = f" (and {more} more; run: diag lint)" if more else ""
        super().__init__(first.what, f"{first.hint}{tail}".strip(), first.place)


class CaseFileError(SourceError):
    """A case file that cannot be read as it stands."""


class StorageError(UserError):
    """The disk would not take or give the data."""

    exit_code = ExitCode.STORAGE


class NotOnDiskError(StorageError):
    """A job was to be let go of although some of its answers are not on disk and nobody was shown them."""


class HeldElsewhereError(StorageError):
    """Another program has this case open."""


class UnknownNameError(UserError):
    """A name nobody knows; the hint lists the nearest ones."""

    def __init__(self, kind: str, name: str, known: Iterable[str], where: str = "") -> None:
        from difflib import get_close_matches  # only when somebody mistypes a name

        near = get_close_matches(name, list(known), n=3, cutoff=0.5)
        hint = f"Did you mean {', '.join(near)}?" if near else ""
        super().__init__(f"There is no {kind} called {name!r}.", hint, where)
