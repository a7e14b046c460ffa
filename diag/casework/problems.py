"""What is wrong with one case file, collected with its places instead of ending at the first."""

from __future__ import annotations

from diag.support.errors import CaseFileError, Place, SourceError

MOST_PROBLEMS = 200


def as_case_error(error: SourceError, shift: int = 0) -> CaseFileError:
    """The same message as a case file's, moved down by ``shift`` lines."""
    place = error.place
    if place is not None and shift:
        place = Place(place.file, place.line + shift, place.column)
    return CaseFileError(error.what, error.hint, place)


class Problems:
    """Collects what is wrong with one file; keeps the first MOST_PROBLEMS."""

    def __init__(self, file: str) -> None:
        self.file = file
        self._found: list[CaseFileError] = []
        self._notes: list[CaseFileError] = []

    @property
    def found(self) -> tuple[CaseFileError, ...]:
        """Problems that hinder, in file order of discovery."""
        return tuple(self._found)

    @property
    def notes(self) -> tuple[CaseFileError, ...]:
        """Remarks that do not hinder."""
        return tuple(self._notes)

    def add(self, error: CaseFileError) -> None:
        """Keep one problem."""
        if len(self._found) < MOST_PROBLEMS:
            self._found.append(error)

    def say(self, what: str, hint: str = "", place: Place | None = None) -> None:
        """Keep one problem by its words."""
        self.add(CaseFileError(what, hint, place or Place(self.file)))

    def note(self, what: str, hint: str = "", place: Place | None = None) -> None:
        """Keep one remark by its words."""
        if len(self._notes) < MOST_PROBLEMS:
            self._notes.append(CaseFileError(what, hint, place or Place(self.file)))
