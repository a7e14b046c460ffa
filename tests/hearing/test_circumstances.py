"""Who is there, what is at hand, what the papers say: one line,
and what of it was not taken. Own wording throughout."""

from __future__ import annotations

import itertools

import pytest

from diag.hearing.circumstances import EVERYDAY, circumstances, not_taken
from diag.rulebook.load import load_book
from diag.rulebook.where import rules_folder
from diag.session.listening import listener_of

TOOLS = {
    "a screwdriver": "hand-tools", "a torch": "torch", "a meter": "multimeter", "a test lamp": "test-lamp",
    "a vacuum gauge": "vacuum-gauge", "a hose clamp": "hose-clamp", "a jump lead": "fused-lead",
}  # fmt: skip


@pytest.mark.parametrize("frame", ["{}, no gauge", "no gauge, {}", "{} only", "only {}", "just {}, that's all",
                                   "untrained, {}", "{} but no gauge"])  # fmt: skip
def test_tools_named_beside_only_or_no_are_all_there_is(frame: str) -> None:
    """Of every pair of tools."""
    for (one, a), (two, b) in itertools.combinations(TOOLS.items(), 2):
        told = circumstances(frame.format(f"{one} and {two}"))
        assert told.only == {a, b}, (frame, one, two, told.only)


@pytest.mark.parametrize("line", ["mechanic, helper, all tools", "hobbyist with a helper, no gauge", "mechanic"])
def test_a_line_without_a_list_of_tools_lists_none(line: str) -> None:
    """What is not named stays as it is usual."""
    assert circumstances(line).only is None


@pytest.mark.parametrize(
    ("line", "helper"),
    [
        ("mechanic, helper, all tools", True), ("mechanic with a helper", True), ("two of us here", True),
        ("no helper", False), ("mechanic, alone", False), ("mechanic", None),
    ],
)  # fmt: skip
def test_a_helper_is_heard_however_named(line: str, helper: bool | None) -> None:
    """As one word of a list as well."""
    assert circumstances(line).helper is helper


@pytest.mark.parametrize(
    ("line", "papers"),
    [
        ("target 43.5 psi hose off, NA", {"target-pressure": "43.5 psi", "target-hose": "off", "boost": "0 psi"}),
        ("34 to 36 at idle is the target", {"target-pressure": "34 to 36", "target-hose": "on"}),
        ("normally aspirated, 2.5 bar with the vacuum hose off",
         {"target-pressure": "2.5 bar", "target-hose": "off", "boost": "0 psi"}),
        ("regulator 30 to 70 psi, target 43.5 psi",
         {"regulator-low": "30 psi", "regulator-high": "70 psi", "target-pressure": "43.5 psi"}),
        ("target 43 psi, boost 12 psi, petrol", {"target-pressure": "43 psi", "boost": "12 psi", "fuel": "petrol"}),
        ("adjustable from 2 to 5 bar", {"regulator-low": "2 bar", "regulator-high": "5 bar"}),
    ],
)  # fmt: skip
def test_papers_hold_more_than_sizes(line: str, papers: dict[str, str]) -> None:
    """The hose the target is meant with, the regulator's span, an engine without a charger."""
    assert dict(circumstances(line).papers) == papers


@pytest.mark.parametrize("known", ["mechanic", "pump 255 L/h", "no gauge", "target 43.5 psi", "petrol", "outdoors"])
@pytest.mark.parametrize("strange", ["blue seats", "13 chickens", "bought in the spring"])
def test_what_was_not_taken_is_named(known: str, strange: str) -> None:
    """Beside anything that was, in any order; and nothing that was taken is."""
    for line in (f"{known}, {strange}", f"{strange}; {known}"):
        assert not_taken(line) == (strange,)
    assert not_taken(known) == ()


@pytest.mark.parametrize("frame", ["hobbyist, {}, {}", "hobbyist with {} and {}", "mechanic with {}, {}", "{}, {}",
                                   "caller with {} and {}", "trainee, {} and {}"])  # fmt: skip
def test_tools_named_for_themselves_are_what_is_there(frame: str) -> None:
    """Of every pair of tools; beside them only what everybody has who works on cars."""
    for (one, a), (two, b) in itertools.combinations(TOOLS.items(), 2):
        assert circumstances(frame.format(one, two)).only == {a, b} | EVERYDAY, frame.format(one, two)


def test_a_tool_in_a_sentence_of_something_else_is_no_list() -> None:
    """A gauge's span, and what was read on it."""
    for line in ("gauge 0 to 100 psi", "mechanic, the gauge came with the car", "mechanic with a helper, petrol"):
        assert circumstances(line).only is None, line


@pytest.mark.parametrize("word", ["trainee", "apprentice"])
def test_a_learner_is_a_person(word: str) -> None:
    """Somebody who works on cars and is taught to."""
    assert circumstances(f"{word}, gauge and clamps").person == "hobbyist"
    assert not_taken(f"{word}, gauge and clamps") == ()


@pytest.mark.parametrize(
    "told",
    ["My pressure at idle is 38.5 and the handbook of the donor car says 35", "target of the donor car is 43.5 psi",
     "another car of ours should read 43.5 psi", "a friend's car should be 43.5 psi"],
)  # fmt: skip
def test_a_figure_of_another_car_is_offered_and_not_ticked(told: str) -> None:
    """What the papers of another car say need not be so of this one."""
    heard = [h for h in listener_of(load_book(rules_folder())).hear(told).heard if h.best.id == "target-pressure"]
    assert heard
    assert not any(h.ticked for h in heard)
