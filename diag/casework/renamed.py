"""Case files outlive the names in the rule book: entries under former names are read under the names of today.

An entry of the book that is renamed keeps its former names under ``formerly``; the file of a case is left as it is.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from diag.casework import entries as e
from diag.casework.kinds import BY_CLASS
from diag.rulebook.derived import derived
from diag.rulebook.model import RuleBook

# What a field of an entry refers to -> the sections of the book that hold such names.
_SECTIONS: dict[str, tuple[str, ...]] = {
    "signs": ("signs",),
    "checks": ("checks",),
    "readings": ("readings",),
    "points": ("points",),
    "causes": ("causes",),
    "rules": ("stops", "hazards"),
    "steps": ("checks", "setups", "remedies", "actions"),
    "car": ("contexts",),
}


def named_as_today(case: e.Case, book: RuleBook) -> e.Case:
    """The case with every former name of the book's entries replaced by the name of today.

    The very same object where nothing was renamed, so that a book without former names costs nothing.
    """
    if not any(book.formerly.values()):
        return case
    now = tuple(_renamed(entry, book) for entry in case.entries)
    return case if all(a is b for a, b in zip(now, case.entries, strict=True)) else replace(case, entries=now)


def _renamed(entry: e.Entry, book: RuleBook) -> e.Entry:
    if isinstance(entry, e.Replaced):
        by = _renamed(entry.by, book)
        return entry if by is entry.by else replace(entry, by=by)
    spec = BY_CLASS.get(type(entry))
    changed: dict[str, Any] = {}
    for item in spec.fields if spec else ():
        former = _former(item.refers, book)
        value = getattr(entry, item.attr)
        if isinstance(value, str) and value in former:
            changed[item.attr] = former[value]
        elif isinstance(value, tuple) and any(name in former for name in value):
            changed[item.attr] = tuple(former.get(name, name) for name in value)
    causes = book.formerly.get("causes", {})
    if isinstance(entry, e.Believed) and any(name in causes for name in entry.ranking):
        changed["ranking"] = {causes.get(name, name): share for name, share in entry.ranking.items()}
    return replace(entry, **changed) if changed else entry


def _former(refers: str, book: RuleBook) -> Mapping[str, str]:
    return derived(book, _by_reference).get(refers, {})


def _by_reference(book: RuleBook) -> dict[str, dict[str, str]]:
    return {
        refers: {old: new for section in sections for old, new in book.formerly.get(section, {}).items()}
        for refers, sections in _SECTIONS.items()
    }
