"""What the trade expects of the written cases: the file that stands beside them, read and checked. Pure.

One map, case by case. ``why`` is the reasoning; ``car`` is true of the car though nobody told it; ``faults`` are
parameters of the fuel-system model that differ from a sound car, each with the entry from which they do; ``misread``
names readings that are wrong in the case; ``expect`` says what must be so after an entry, ``walled`` which steps the
wall forbids from entry to entry, and ``unwise`` which steps nobody who knows the trade would take next. ``apart`` says
that the figures were thought out apart from the fuel-system model; ``decisive`` names the checks a master would take.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from diag.support.errors import Place
from diag.support.yaml.reader import (
    Map,
    Node,
    as_flag,
    as_list,
    as_map,
    as_number,
    as_text,
    as_texts,
    as_whole,
    read_yaml,
    refuse,
)

CASE_KEYS = ("why", "apart", "car", "faults", "misread", "expect", "decisive", "walled", "unwise")
EXPECT_KEYS = ("at", "lead", "first", "all", "some", "below", "proposes", "odd")


@dataclass(frozen=True)
class Expect:
    """What is expected of the standing after one entry; what is left empty is not asked."""

    at: int
    lead: tuple[str, ...] = ()  # one of these leads
    first: int = 0
    all: tuple[str, ...] = ()  # all of these are among the first so many
    some: tuple[str, ...] = ()  # one of these is
    below: Mapping[str, float] = field(default_factory=dict)  # chances not reached
    proposes: str = ""  # the kind of the next step
    odd: int = 0  # the entry that fits least


@dataclass(frozen=True)
class Walled:
    """Steps that the wall forbids after each of these entries."""

    first: int
    last: int
    steps: tuple[str, ...]


@dataclass(frozen=True)
class Worked:
    """What is expected of one written case."""

    name: str
    why: str
    car: Mapping[str, str]  # what is true of the car though nobody told it
    faults: Sequence[tuple[int, Mapping[str, str]]]  # from which entry on, parameter: value with its unit
    misread: frozenset[int]
    expect: tuple[Expect, ...]
    walled: tuple[Walled, ...]
    unwise: tuple[tuple[int, tuple[str, ...]], ...]
    apart: bool = False  # written apart from the fuel-system model: its figures need not be those of the model
    decisive: tuple[str, ...] = ()  # the checks that somebody who knows the trade would take
    place: Place = field(default=Place("?"), compare=False)


def read_expectations(text: str, file: str) -> dict[str, Worked]:
    """Every expectation of the file, by the name of its case.

    Raises:
        SourceError: the first thing that is wrong, with its place.
    """
    root = as_map(read_yaml(text, file), "The file of expectations")
    if not root.items:
        refuse(root.place, "No case is named here.", "Write 'NAME-OF-CASE:' and what is expected of it below.")
    return {name: _worked(name, as_map(item, name), root.places[name]) for name, item in root.items.items()}


def _worked(name: str, item: Map, place: Place) -> Worked:
    item.only(CASE_KEYS, f"what is expected of {name}")
    return Worked(
        name,
        as_text(item.need("why", name), "why"),
        _texts_by_name(item, "car"),
        tuple((_whole(f, "from"), _texts_by_name(f, "are")) for f in _maps(item, "faults", ("from", "are"))),
        frozenset(as_whole(n, "misread", 1) for n in _list(item, "misread")),
        tuple(_expect(e) for e in _maps(item, "expect", EXPECT_KEYS, needed=True)),
        tuple(
            Walled(_whole(w, "from"), _whole(w, "to"), _names(w, "steps"))
            for w in _maps(item, "walled", ("from", "to", "steps"))
        ),
        tuple((_whole(u, "at"), _names(u, "steps")) for u in _maps(item, "unwise", ("at", "steps"))),
        as_flag(item.need("apart"), "apart") if item.get("apart") is not None else False,
        _names(item, "decisive"),
        place,
    )


def _expect(e: Map) -> Expect:
    below = e.get("below")
    first, odd, proposes = e.get("first"), e.get("odd"), e.get("proposes")
    return Expect(
        _whole(e, "at"),
        _names(e, "lead"),
        as_whole(first, "first", 1) if first is not None else 0,
        _names(e, "all"),
        _names(e, "some"),
        {k: as_number(v, k, 0.0, 1.0) for k, v in as_map(below, "below").items.items()} if below is not None else {},
        as_text(proposes, "proposes") if proposes is not None else "",
        as_whole(odd, "odd", 1) if odd is not None else 0,
    )


def _list(item: Map, key: str) -> list[Node]:
    node = item.get(key)
    return as_list(node, key) if node is not None else []


def _maps(item: Map, key: str, known: tuple[str, ...], needed: bool = False) -> list[Map]:
    found = [as_map(node, key) for node in (as_list(item.need(key), key) if needed else _list(item, key))]
    for each in found:
        each.only(known, key)
    return found


def _texts_by_name(item: Map, key: str) -> dict[str, str]:
    node = item.get(key)
    return {k: as_text(v, k) for k, v in as_map(node, key).items.items()} if node is not None else {}


def _names(item: Map, key: str) -> tuple[str, ...]:
    node = item.get(key)
    return as_texts(node, key) if node is not None else ()


def _whole(item: Map, key: str) -> int:
    return as_whole(item.need(key), key, 1)
