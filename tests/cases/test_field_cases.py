"""Field cases that were written apart from the rule book and are only ever measured, never tuned to.

Each was thought out from the trade and the physics before its author had seen a rule, and encoded afterwards in the
words the book has. Source of the truths: common practice, no source; the reasoning stands beside each in expected.yaml.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from diag.evaluation.told_at_once import rank_all, shares, told_at_once_text
from diag.rulebook.load import load_book
from diag.simulation.written_reader import read_written
from tests import ROOT

FIELD = Path(__file__).parent / "field"
LEADS, AMONG, ERROR = 0.80, 0.85, 0.20  # met when the cases were first measured; a floor, no aim


def test_every_field_case_can_be_used() -> None:
    """All files are named in the expectations, written apart, and speak only of what the book knows."""
    cases = read_written(FIELD, FIELD / "expected.yaml", load_book(ROOT / "rules"))
    assert {case.name for case in cases} == {path.stem for path in FIELD.glob("*.yaml")} - {"expected"}
    assert len(cases) == 96
    assert all(case.apart and case.decisive for case in cases)
    assert all(case.case.id == case.name for case in cases)


@pytest.mark.slow
@pytest.mark.long
def test_told_at_once_the_truth_leads_in_most_field_cases() -> None:
    """Shares of cases that a true cause leads, and that have one among the first three; the leader's calibration."""
    cases = read_written(FIELD, FIELD / "expected.yaml", load_book(ROOT / "rules"))
    ranked = rank_all(cases, ROOT / "rules", workers=1)
    found = shares(ranked)
    print(told_at_once_text(ranked))
    assert found.cases == 96
    assert found.leads.value >= LEADS
    assert found.among.value >= AMONG
    assert found.error <= ERROR
