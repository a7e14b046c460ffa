"""The one owner of what is worked out of cars and jobs and may be wanted again: a shelf that belongs to the book."""

from __future__ import annotations

from diag.inference.fault_sets import Floats
from diag.rulebook.derived import derived
from diag.rulebook.model import RuleBook
from diag.support.shelf import Shelf

MOST_BYTES = 56_000_000  # of all cars and jobs worked with one book; a long job wants forty to fifty
OVERHEAD = 200  # bytes that an array takes besides its numbers


def shelf_of(book: RuleBook) -> Shelf:
    """The shelf of this book."""
    return derived(book, _shelf)


def array_bytes(values: Floats) -> int:
    """What an array takes of the room on a shelf."""
    return OVERHEAD + values.nbytes


def _shelf(book: RuleBook) -> Shelf:
    return Shelf(MOST_BYTES)
