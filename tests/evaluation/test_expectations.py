"""Expectations that are not met are told in a sentence; those that speak of what is not there are refused."""

from __future__ import annotations

from dataclasses import replace

import pytest

from diag.evaluation.expectations import unmet
from diag.simulation.expected import Expect
from diag.support.errors import UnknownNameError
from tests.cases.expectations import book, case_of, worked

NAME = "wren-pressure-stays-high"


def test_a_case_that_is_as_expected_says_nothing() -> None:
    """The shipped expectations of a shipped case hold."""
    assert unmet(worked()[NAME], case_of(NAME), book()) == []


def test_a_wrong_expectation_is_told_with_what_is_so_instead() -> None:
    """Leader, chance, kind of step and odd entry, each where it was expected."""
    at = worked()[NAME].expect[-1].at
    wrong = Expect(at, ("gauge-reads-high",), below={"return-line-too-small": 0.5}, proposes="stop", odd=1)
    said = unmet(replace(worked()[NAME], expect=(wrong,)), case_of(NAME), book())
    assert len(said) == 4
    assert all(line.startswith(f"After entry {at}: ") for line in said)
    assert "gauge-reads-high should lead; it is return-line-too-small" in said[0]


@pytest.mark.parametrize(
    "changed",
    [
        {"expect": (Expect(2, ("return-line-to-small",)),)},
        {"expect": (Expect(99_999, ("return-line-too-small",)),)},
        {"decisive": ("no-such-check",)},
        {"unwise": ((2, ("no-such-step",)),)},
    ],
)
def test_names_that_are_not_there_are_refused(changed: dict[str, object]) -> None:
    """A misspelt cause, an entry past the end, a check and a step the book does not have."""
    with pytest.raises(UnknownNameError):
        unmet(replace(worked()[NAME], **changed), case_of(NAME), book())  # type: ignore[arg-type]
