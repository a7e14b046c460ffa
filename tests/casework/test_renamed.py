"""Case files under former names of the rule book read, rank and are walled like those under the names of today."""

from __future__ import annotations

from dataclasses import replace

import pytest

from diag.casework import entries as e
from diag.casework.casefile import read_case, write_case
from diag.casework.names import unknown_names
from diag.casework.renamed import named_as_today
from diag.casework.replay import standing
from diag.rulebook.load import load_book, read_texts, texts_of
from diag.rulebook.model import RuleBook
from diag.rulebook.where import rules_folder

# section of the book -> name of today, as used in the case below
TODAY = {
    "signs": "fuel-smell",
    "checks": "look-at-fuse",
    "readings": "rail pressure",
    "points": "pump-on-engine-off",
    "causes": "pump-worn",
    "contexts": "race-use",
}
OLD = {name: f"old {name}" if " " in name else f"old-{name}" for name in TODAY.values()}


@pytest.fixture(scope="module")
def book() -> RuleBook:
    """The shipped book with a former name for one entry of each section."""
    shipped = load_book(rules_folder())
    extra = {section: {OLD[name]: name} for section, name in TODAY.items()}
    merged = {s: {**shipped.formerly.get(s, {}), **extra.get(s, {})} for s in {*shipped.formerly, *extra}}
    return replace(shipped, formerly=merged)


def _case(name: dict[str, str]) -> e.Case:
    at, who = "2026-03-07T10:00:00Z", "me"
    entries = (
        e.CarFact(1, at, who, name["race-use"], "yes"),
        e.SignAnswer(2, at, who, name["fuel-smell"], "absent"),
        e.StepDone(3, at, who, name["look-at-fuse"]),
        e.ReadingTaken(4, at, who, name["rail pressure"], name["pump-on-engine-off"], "30 psi", 2.07e5, 2.03e5, 2.1e5),
        e.Replaced(5, at, who, 2, e.SignAnswer(6, at, who, name["fuel-smell"], "present")),
        e.Believed(7, at, who, {name["pump-worn"]: 0.5}),
        e.Outcome(8, at, who, "cured", (name["pump-worn"],)),
    )
    return e.Case("wren", "Wren", at, "1.0", "", entries=entries)


NOW = {name: name for name in TODAY.values()}


def test_every_kind_of_entry_is_read_under_the_name_of_today(book: RuleBook) -> None:
    """Car, sign, reading with its point, step, replacement, ranking and outcome: the case becomes the one of today."""
    assert named_as_today(_case(OLD), book) == _case(NOW)


def test_old_case_ranks_and_is_walled_like_the_new_one(book: RuleBook) -> None:
    """Nothing is unknown, nothing passed over, and belief, stops and proposal are the same."""
    result = read_case(write_case(_case(OLD)))
    assert unknown_names(result, book) == ()
    old, new = standing(_case(OLD), book), standing(_case(NOW), book)
    assert old.problems == new.problems == ()
    assert old.belief.ranked() == new.belief.ranked()
    assert [s.id for s in old.stops] == [s.id for s in new.stops] != []
    assert old.proposal.step == new.proposal.step


def test_nothing_renamed_costs_nothing(book: RuleBook) -> None:
    """A case in today's names, and any case in a book without former names, comes back as the same object."""
    case = _case(NOW)
    assert named_as_today(case, book) is case
    assert named_as_today(_case(OLD), replace(book, formerly={})) == _case(OLD)


def test_former_names_of_the_shipped_book_lead_somewhere() -> None:
    """Every former name leads to an entry that is there, and is not itself in use."""
    book = load_book(rules_folder())
    for section, names in book.formerly.items():
        here = getattr(book, section)
        assert set(names.values()) <= set(here)
        assert not set(names) & set(here)


def test_a_former_name_that_is_taken_is_refused() -> None:
    """A name in use, or one that led elsewhere, cannot also be a former name."""
    texts = texts_of(rules_folder())
    context = "  - {context: new-one, title: Another, ask: Is it so?, formerly: [race-use, was-this]}\n"
    twice = "  - {context: new-two, title: A third, ask: Is it not so?, formerly: [was-this]}\n"
    draft = read_texts({**texts, "more.yaml": "contexts:\n" + context + twice}, need_knobs=True)
    said = [p.what for p in draft.problems]
    assert said == ["'race-use' is taken.", "'was-this' is taken."]
