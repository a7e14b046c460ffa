"""Faults that come and go: what is looked at or read may meet the car while the fault does not show.

A complaint that names the coming and going ("cuts out and later starts again") is brought by faults that show it. Of
such a car a look, a sound or a figure counts with the chance ``rest`` that it was met between two bouts: then it is as
on a car without the fault. A fault that does not come and go is not touched, nor are the complaints, which tell of the
bout, nor what stays to be seen while everything runs (a burnt contact, a stain).
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace

import numpy as np

from diag.inference.evidence import Evidence
from diag.inference.fault_sets import Floats
from diag.inference.noisy_or import ChoiceTable, WordTables
from diag.rulebook.derived import derived
from diag.rulebook.model import RuleBook
from diag.rulebook.steps import Act

SHOWS_FROM = 0.05  # least link by which a cause counts as one that brings the coming and going. Judgement
MOMENTARY: frozenset[Act] = frozenset({"key on", "runs pump", "runs engine", "cranks engine", "drives car"})
ONE_STATE = 0.6  # chance that all of one visit was looked at in one state, bout or rest. Judgement


def named_fleeting(book: RuleBook, evidence: Evidence) -> frozenset[str]:
    """The signs told to be there that name a coming and going; all of them once a reading was told of one state."""
    known = derived(book, _coming_and_going)
    if any(r.met_in for r in evidence.readings):
        return known
    return frozenset(f.sign for f in evidence.findings if f.sign in known and f.lean > 0.5)


def _coming_and_going(book: RuleBook) -> frozenset[str]:
    return frozenset(sign.id for sign in book.signs.values() if sign.comes_and_goes)


def rest_of(book: RuleBook, causes: Sequence[str], named: Iterable[str]) -> Floats:
    """Chance per cause (C,) that a look or a reading meets the car while the fault does not show."""
    told = tuple(named)
    brings = [max((book.causes[c].shows.get(sign, 0.0) for sign in told), default=0.0) for c in causes]
    return np.where(np.array(brings) >= SHOWS_FROM, book.knobs.between_bouts, 0.0)


def rest_in(book: RuleBook, causes: Sequence[str], evidence: Evidence) -> Floats:
    """The same for what a job has told: (C,)."""
    return rest_of(book, causes, named_fleeting(book, evidence))


def momentary(book: RuleBook) -> frozenset[str]:
    """Signs that only say how it is at this moment: every check that asks for them has something live or running."""
    asked: dict[str, bool] = {}
    for check in book.checks.values():
        live = bool(MOMENTARY & set(check.does))
        for y in check.yields:
            if y.sign:
                asked[y.sign] = asked.get(y.sign, True) and live
    return frozenset(sign for sign, live in asked.items() if live and not book.signs[sign].symptom)


def met(tables: WordTables, signs: Iterable[str], rest: Floats) -> WordTables:
    """The words of a book as they are met of a car whose faults come and go: ``rest`` (C,)."""
    off, left, choices = tables.off.copy(), tables.left.copy(), dict(tables.choices)
    for sign in signs:
        if sign in tables.node:
            node = tables.node[sign]
            off[node] = 1.0 - (1.0 - off[node]) * (1.0 - rest)
            left[node] = 1.0 - (1.0 - left[node]) * (1.0 - rest)
        elif sign in choices:
            choices[sign] = _met_choice(choices[sign], rest)
    return replace(tables, off=off, left=left, choices=choices)


def _met_choice(table: ChoiceTable, rest: Floats) -> ChoiceTable:
    between = table.speaks * rest
    return replace(table, rows=(1.0 - between) * table.rows + between * table.usual[:, None])
