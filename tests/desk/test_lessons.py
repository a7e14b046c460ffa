"""The server counts what closed jobs teach as the folder does, job for job."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from diag.casework.entries import Case, Entry, Outcome, StatusSet, StepDone
from diag.casework.keeping import JobStore
from diag.casework.lessons import count
from diag.casework.summary import summary_of
from tests.casework.cases import T
from tests.casework.test_store import empty_case
from tests.evaluation.jobs import small_book

PLAIN = small_book()
REMEDIES = {"a": ("mend-a", "swap-a"), "b": ("mend-b",)}
BOOK = replace(PLAIN, causes={name: replace(c, remedies=REMEDIES.get(name, ())) for name, c in PLAIN.causes.items()})
CAUSES = [*sorted(BOOK.causes), "not-in-the-book"]
STEPS = [*sorted({step for remedies in REMEDIES.values() for step in remedies}), "base-pressure"]


@st.composite
def jobs(draw: st.DrawFn) -> list[Case]:
    """Closed, open, proven, wished for: every way a job may have ended."""
    found = []
    for number in range(draw(st.integers(1, 12))):
        entries: list[Entry] = [
            StepDone(1, T, "Mira", step) for step in draw(st.lists(st.sampled_from(STEPS), max_size=3))
        ]
        if draw(st.booleans()):
            result = draw(st.sampled_from(["cured", "cured", "cured", "not cured", "normal", "handed on"]))
            causes = tuple(draw(st.lists(st.sampled_from(CAUSES), max_size=3)))
            entries.append(Outcome(1, T, "Mira", result, causes, draw(st.booleans())))
        if draw(st.integers(0, 3)) == 0:
            entries.append(StatusSet(1, T, "Mira", draw(st.sampled_from(["open", "closed"]))))
        name = f"job-{number}{draw(st.sampled_from(['', '', '-copy-1']))}"
        told = tuple(replace(entry, number=at) for at, entry in enumerate(entries, 1))
        found.append(replace(empty_case(name), entries=told))
    return found


@pytest.mark.slow  # many jobs go to the server
@settings(max_examples=12, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(told=jobs())
def test_both_count_alike(desk: Callable[..., JobStore], told: list[Case]) -> None:
    """Every line of the query beside the line of the function it stands for."""
    store = desk()
    for case in told:
        store.create(replace(case, id=f"{case.id}-{len(store.ids())}")).close()
    everything = [summary_of(store.read(name).whole()) for name in store.ids()]
    assert store.lessons(BOOK) == count(everything, BOOK)
