"""What is kept has a bound in bytes: the longest unused goes first, and everything of an owner goes with the owner."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diag.support import shelf as shelf_module
from diag.support.memory import hand_back
from diag.support.shelf import Shelf


def test_the_longest_unused_makes_room() -> None:
    shelf = Shelf(100)
    place = shelf.place()
    for name in "abc":
        place.keep(name, name.upper(), 30)
    assert place.find("a") == "A"
    place.keep("d", "D", 30)
    assert [name for name in "abcd" if place.find(name)] == ["a", "c", "d"]
    assert shelf.bytes == 90


def test_free_memory_goes_back_to_the_system_now_and_then(monkeypatch: pytest.MonkeyPatch) -> None:
    """Once a quarter of the room was given up since the last time, whether it was pushed out or its owner went."""
    times: list[int] = []
    monkeypatch.setattr(shelf_module, "hand_back", lambda: times.append(1))
    shelf = Shelf(100)
    place = shelf.place()
    for number in range(10):
        place.keep(number, number, 10)
    assert not times, "nothing was given up yet"
    for number in range(6):
        place.keep(100 + number, number, 10)
    assert len(times) == 2
    del place
    shelf.place().keep("x", 1, 1)
    assert len(times) == 3


def test_handing_back_works_where_it_can() -> None:
    """On this system, whichever it is: no fault, and what is in use stays."""
    kept = [bytes(100_000) for _ in range(20)]
    hand_back()
    assert sum(map(len, kept)) == 2_000_000


def test_what_has_grown_is_counted_once() -> None:
    shelf = Shelf(100)
    place = shelf.place()
    place.keep("table", [1], 20)
    place.keep("other", [2], 20)
    place.keep("table", [1, 2], 70)
    assert shelf.bytes == 90
    place.keep("table", [1, 2, 3], 90)
    assert place.find("other") is None
    assert shelf.bytes == 90


def test_owners_do_not_see_one_another_and_take_theirs_with_them() -> None:
    shelf = Shelf(1000)
    one, other = shelf.place(), shelf.place()
    one.keep("x", 1, 10)
    other.keep("x", 2, 10)
    assert (one.find("x"), other.find("x")) == (1, 2)
    del one
    other.keep("y", 3, 10)
    assert shelf.bytes == 20
    assert other.find("x") == 2


def test_a_result_is_made_once_while_it_stands() -> None:
    place = Shelf(50).place()
    made: list[int] = []

    def make() -> str:
        made.append(1)
        return "result"

    for _ in range(3):
        assert place.made("r", make, len) == "result"
    place.keep("large", "l", 50)
    assert place.made("r", make, len) == "result"
    assert len(made) == 2


@given(st.lists(st.tuples(st.integers(0, 2), st.integers(0, 9), st.integers(0, 60))))
def test_never_more_than_the_bound_but_for_one_result(kept: list[tuple[int, int, int]]) -> None:
    shelf = Shelf(100)
    places = [shelf.place() for _ in range(3)]
    newest: dict[tuple[int, int], int] = {}
    for owner, name, size in kept:
        places[owner].keep(name, size, size)
        newest[owner, name] = size
        assert shelf.bytes <= 100
        assert places[owner].find(name) == size
    there = [size for (owner, name), size in newest.items() if places[owner].find(name) is not None]
    assert shelf.bytes == sum(there)
