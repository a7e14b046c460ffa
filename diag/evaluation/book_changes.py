"""Which entries differ between two versions of a rule book, in what reasoning reads or in words only."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, fields, is_dataclass
from typing import Any

from diag.casework.entries import Case
from diag.rulebook.model import RuleBook

WEIGHED = ("causes", "signs", "states", "readings", "points", "contexts", "knobs")
"""The lists that a ranking depends on."""
DONE = ("checks", "setups", "remedies", "actions", "stops")
"""The lists that the next step depends on besides."""
_WORDS_ONLY = """
title ask means phrases words in_words tell_apart source basis why steps aloud teaches passes how_taken silent place
mistaken_for strengths_basis parts until do_now hands_on
"""
_WORDS = frozenset(_WORDS_ONLY.split())


@dataclass(frozen=True, slots=True)
class Changes:
    """Names of entries that differ: in what is weighed, in what may be done, and in words only."""

    weighed: frozenset[str]
    done: frozenset[str]
    worded: frozenset[str]

    @property
    def alone_words(self) -> bool:
        """Whether neither a ranking nor a next step can move."""
        return not self.weighed and not self.done

    def concern(self, case: Case, truths: frozenset[str]) -> int:
        """How much of what changed a case speaks of: its own causes count most."""
        said = {name for entry in case.entries for name in _names_in(entry)}
        return 3 * len(truths & self.weighed) + len(said & (self.weighed | self.done))


def changes(old: RuleBook, new: RuleBook) -> Changes:
    """What differs between two books."""
    found: dict[str, set[str]] = {"weighed": set(), "done": set(), "worded": set()}
    for section in (*WEIGHED, *DONE):
        before, after = (_entries(book, section) for book in (old, new))
        for name in before.keys() | after.keys():
            one, other = before.get(name), after.get(name)
            if one == other:
                continue
            load = one is None or other is None or _load(one) != _load(other)
            found[("weighed" if section in WEIGHED else "done") if load else "worded"].add(name)
    return Changes(*(frozenset(found[kind]) for kind in ("weighed", "done", "worded")))


def _entries(book: RuleBook, section: str) -> Mapping[str, Any]:
    return {"knobs": book.knobs} if section == "knobs" else getattr(book, section)


def _load(value: Any) -> Any:
    """What is reasoned with: the value without words for people and places in files."""
    if is_dataclass(value):
        return tuple((f.name, _load(getattr(value, f.name))) for f in fields(value) if f.name not in _WORDS)
    if isinstance(value, Mapping):
        return tuple((key, _load(part)) for key, part in value.items())
    return tuple(_load(part) for part in value) if isinstance(value, tuple) else value


def _names_in(entry: Any) -> Iterator[str]:
    """Every text a case entry holds: names of signs, readings, points and steps are among them."""
    if isinstance(entry, str):
        yield entry
    elif is_dataclass(entry):
        for f in fields(entry):
            yield from _names_in(getattr(entry, f.name))
    elif isinstance(entry, Mapping | tuple | list):
        for part in entry.values() if isinstance(entry, Mapping) else entry:
            yield from _names_in(part)
