"""The judgements that move rankings: first-order steps against weighing again with the figure really changed."""

from __future__ import annotations

from dataclasses import replace

import pytest

from diag.casework.replay import standing
from diag.evaluation.leverage import FREQUENCY_STEP, counted, leverage_text, levers
from tests.cases.expectations import book, case_of

NAME = "otter-no-idle-drop"


def test_every_basis_is_counted_once() -> None:
    """At least one figure a cause and a sign; the links are told apart."""
    counts = counted(book())
    assert sum(n for kind, n in counts.items() if "links" not in kind) >= len(book().causes) + len(book().signs)
    assert counts["judgement (strengths of links)"] > 500


def test_a_frequency_moves_its_cause_as_far_as_weighing_again_says() -> None:
    """A hundredth of a step, the book weighed again: the same slope within a quarter (first order)."""
    case = replace(case_of(NAME), entries=case_of(NAME).entries[:40])
    before = standing(case, book()).belief
    ever = dict(zip(before.causes, before.ever, strict=True))
    name = max((c for c in ever if ever[c] < 0.9), key=lambda c: ever[c])
    cause = book().causes[name]
    told = next(lever for lever in levers([case], book()) if lever.what == f"how often: {cause.title}")
    share = cause.how_often.share * (1.0 + 0.01 * FREQUENCY_STEP)
    changed = replace(cause, how_often=replace(cause.how_often, share=share))
    after = standing(case, replace(book(), causes={**book().causes, name: changed}, fingerprint="changed")).belief
    moved = float(dict(zip(after.causes, after.ever, strict=True))[name] - ever[name])
    assert moved == pytest.approx(0.01 * told.moved, rel=0.25)


def test_the_strongest_stand_first_and_the_text_names_them() -> None:
    """Falling order; the text holds counts and levers."""
    found = levers([case_of(NAME)], book())
    assert [x.moved for x in found] == sorted((x.moved for x in found), reverse=True)
    assert "judgement" in leverage_text(counted(book()), found)
