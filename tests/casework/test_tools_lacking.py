"""Nobody who said that there is no gauge is asked what a gauge showed."""

from __future__ import annotations

from dataclasses import replace

import pytest

from diag.casework import record
from diag.casework.situation_of import situation_of
from diag.decision.groups import put_aside
from diag.rulebook.built import TOOL, fitting, tools_lacking
from diag.rulebook.load import load_book
from diag.rulebook.model import RuleBook
from diag.rulebook.where import rules_folder
from diag.safety.situation import BORROWED, HELPER
from diag.safety.steps import questions_only
from tests.casework.test_stop_ledger import WHEN, begun


@pytest.fixture(scope="module")
def book() -> RuleBook:
    """The shipped book."""
    return load_book(rules_folder())


def test_without_a_gauge_no_question_speaks_of_one(book: RuleBook) -> None:
    """Of every check that is only talk; with all tools every question is put."""
    none = tools_lacking((), book)
    assert f"{TOOL}pressure-gauge" in none
    talk = [check for check in book.checks.values() if questions_only(check)]
    asked = {item.sign for check in talk for item in fitting(check, book, none)}
    assert asked
    assert not [sign for sign in asked if "pressure-gauge" in book.signs[sign].seen_with]
    every = {item.sign for check in talk for item in check.yields}
    assert {"pressure-falls-hot", "reading-shifts-with-height", "reads-low-runs-well"} <= every - asked
    assert {i.sign for check in talk for i in fitting(check, book, tools_lacking(None, book))} == every


def test_a_gauge_at_hand_brings_its_questions_back(book: RuleBook) -> None:
    """The gauge alone is enough."""
    check = book.checks["ask-about-heat-and-height"]
    assert fitting(check, book, tools_lacking((), book)) == ()
    assert fitting(check, book, tools_lacking(("pressure-gauge",), book)) == check.yields


def test_a_tool_for_want_of_which_a_step_was_refused_is_asked_for_by_no_other(book: RuleBook) -> None:
    """Of every tool but the gauge, which is fetched, and a helper, who has a rule of his own; until it turns up."""
    for tool in set(book.tools) - BORROWED - {HELPER}:
        needing = [s for s in (*book.checks.values(), *book.remedies.values()) if tool in s.tools]
        left = tuple(sorted(set(book.tools) - {tool}))
        for first in needing[:1]:
            case = replace(begun(), entries=())
            case = record.person_told(case, book, "mechanic", tools=left, **WHEN)
            assert not any(put_aside(s, situation_of(case, book)) for s in needing)
            case = record.step_refused(case, book, first.id, "cannot", **WHEN)
            assert all(put_aside(s, situation_of(case, book)) for s in needing), tool
            found = record.person_told(case, book, "mechanic", **WHEN)
            assert [s.id for s in needing if put_aside(s, situation_of(found, book))] == [first.id]


def test_a_tool_told_to_be_missing_is_asked_for_by_no_step(book: RuleBook) -> None:
    """ "No scan tool", said at whatever question, holds for the whole job; a caller has what was listed."""
    left = tuple(sorted(set(book.tools) - {"scan-display"}))
    needing = [s for s in (*book.checks.values(), *book.remedies.values()) if "scan-display" in s.tools]
    assert needing
    denied = record.person_told(begun(), book, "mechanic", tools=left, **WHEN)
    caller = record.person_told(replace(begun(), entries=()), book, "hobbyist", by_phone=True, tools=left, **WHEN)
    for case in (denied, caller):
        assert all(put_aside(s, situation_of(case, book)) for s in needing)
        found = record.person_told(case, book, "mechanic", **WHEN)
        assert not any(put_aside(s, situation_of(found, book)) for s in needing)
