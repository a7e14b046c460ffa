"""Searching on the server goes further than pieces of words, and never finds what is not there."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest

from diag.casework.entries import Note
from diag.casework.query import Query
from tests.casework.cases import T
from tests.casework.test_store import empty_case

pytest.importorskip("psycopg")

from diag.desk.server import ServerStore

TOLD = {
    "wren": "the regulator was leaking at the diaphragm",
    "otter": "a leak at the filter, replaced",
    "plover": "pump whines when it is hot",
}


@pytest.fixture
def jobs(desk: Callable[..., ServerStore]) -> ServerStore:
    """Three jobs with a note each; one of them is being worked on."""
    store = desk()
    for name, text in TOLD.items():
        store.create(replace(empty_case(name), title=name.title(), entries=(Note(1, T, "Mira", text),))).close()
    store.open("wren")
    return store


@pytest.mark.parametrize(
    ("words", "found"),
    [
        ("leak", ["otter", "wren"]),
        ("LEAKING", ["wren"]),
        ("leaks", ["otter", "wren"]),  # no piece of any text: other forms of the word
        ("whining", ["plover"]),
        ("replacing filters", ["otter"]),
        ("diafragm", ["wren"]),  # a slip of the pen
        ("regulater", ["wren"]),
        ("leaking filter", ["otter"]),
        ("carburettor", []),
        ("leak carburettor", []),
    ],
)
def test_words_are_found_in_other_forms_and_with_slips(jobs: ServerStore, words: str, found: list[str]) -> None:
    """Pieces first; where no job has all of them, English stems; where that finds nothing, words that look alike."""
    assert sorted(hit.id for hit in jobs.search(Query(text=words))) == found
