"""Findings put together from concepts: every pairing of words, denial, and the side of a "but" a word stands on."""

from __future__ import annotations

from itertools import product

import pytest

from diag.hearing.composed import composed, said_of
from diag.hearing.composed_table import COMPOSED
from diag.hearing.concepts import CONCEPTS
from diag.rulebook.model import RuleBook
from tests.hearing.scoring import known


def targets(text: str) -> set[str]:
    """What the concepts of a text make up."""
    return {made.target for made in composed(said_of(text))}


def test_every_row_names_what_there_is(book: RuleBook) -> None:
    """A row's entry is one of the book's, and its concepts have words."""
    assert [target for target, _ in COMPOSED if not known(target, book)] == []
    named = {
        word.lstrip("-~").replace("_", " ")
        for _, row in COMPOSED
        for part in row.lstrip("*>").split()
        for word in part.split("|")
    }
    assert named <= CONCEPTS.keys()


@pytest.mark.parametrize(
    ("target", "complaints", "when"),
    [
        ("stalls-at-idle", ("conks out", "dies", "quits"), ("at idle", "at every stop sign", "when I stop")),
        ("flat-at-full-load", ("noses over", "runs out of puff", "has no poke"), ("flat out", "foot down", "uphill")),
        ("hesitates-on-snap", ("bogs", "stumbles"), ("when I stamp on it", "pulling away", "on tip in")),
        ("cuts-in-corners", ("cuts out", "starves"), ("in left handers", "on roundabouts", "under braking")),
    ],
)  # fmt: skip
def test_every_complaint_meets_every_condition(target: str, complaints: tuple[str, ...], when: tuple[str, ...]) -> None:
    """No phrase list: each complaint with each condition is the finding (common practice of speech, no source)."""
    missed = [
        f"it {what} {then}" for what, then in product(complaints, when) if target not in targets(f"it {what} {then}")
    ]
    assert missed == []


def test_a_denial_turns_the_answer_and_ends_with_its_clause() -> None:
    """ "Doesn't stall at idle" is the denial; "no smell and it stalls at idle" is not."""
    assert "!stalls-at-idle" in targets("it does not stall at idle")
    assert "stalls-at-idle" in targets("no smell and it stalls at idle")
    assert "!fuel-under-car" in targets("I couldn't find a leak anywhere")


def test_a_word_beyond_but_belongs_to_the_other_side() -> None:
    """Lean at idle and fine flat out is not lean at load."""
    told = targets("lean at idle but fine flat out")
    assert "runs-lean" in told
    assert "!flat-at-full-load" in told
    assert not {"lean-readings", "lean-in-boost", "flat-at-full-load"} & told


def test_what_is_shown_is_denied_behind_its_name_too() -> None:
    """A light that "isn't on" or "has gone out" is not on."""
    for said in ("the check engine light isn't on", "the engine light has gone out", "no engine light"):
        assert "warning-light-on" not in targets(said)
        assert "!warning-light-on" in targets(said)
    assert "warning-light-on" in targets("the check engine light is on")


def test_order_in_time_counts_where_the_row_says_so() -> None:
    """It stopped and then started at once is no engine that starts and dies."""
    assert "starts-then-dies" in targets("it starts and dies within seconds")
    assert "starts-then-dies" not in targets("it died and then started straight away")
