"""Written cases ranked with everything told at once: which entries count, what counts as found, and the figures."""

from __future__ import annotations

from dataclasses import replace

import pytest

from diag.evaluation.told_at_once import Ranked, groups, rank, told_at_once_data, told_at_once_text
from diag.rulebook.load import load_book
from diag.rulebook.model import RuleBook
from diag.simulation.expected import read_expectations
from diag.simulation.written_reader import written_case
from diag.ui.cli.main import main
from tests import ROOT
from tests.simulation.test_written import SMALL_EXPECTED, small, wanted


@pytest.fixture(scope="module")
def book() -> RuleBook:
    """The shipped book."""
    return load_book(ROOT / "rules")


def test_only_what_was_told_before_the_truth_is_known_counts(book: RuleBook) -> None:
    """Cut at the entry of the expectation the ranking knows less than with the hose looked at."""
    whole = rank(written_case(small(), wanted(), book), book)
    early = rank(written_case(small(), wanted(SMALL_EXPECTED.replace("at: 12", "at: 8")), book), book)
    assert whole is not None
    assert early is not None
    assert whole.leads
    assert whole.accepted[0][0] == early.accepted[0][0] == "reference-hose-off"
    assert early.accepted[0][1] < whole.accepted[0][1]
    assert whole.front[0] == whole.accepted[0]


def test_a_case_about_stopping_is_left_out(book: RuleBook) -> None:
    """It names nothing that a ranking could be held against."""
    stopping = "small:\n  why: Wet.\n  expect:\n  - at: 12\n    proposes: stop\n"
    found = written_case(small(), next(iter(read_expectations(stopping, "x").values())), book)
    assert rank(found, book) is None


def test_two_faults_are_found_when_both_are_among_the_first_three(book: RuleBook) -> None:
    """Beside a split hose nothing speaks for a flat battery, so that set is not found though one of it leads."""
    case = written_case(small(), wanted(), book)
    both = rank(replace(case, truths=(("reference-hose-off", "battery-flat"),)), book)
    assert both is not None
    assert both.leads
    assert both.pair is False
    assert rank(case, book).pair is None  # type: ignore[union-attr]


def one(name: str, place: int, apart: bool = True, pair: bool | None = None) -> Ranked:
    """A ranking made up."""
    return Ranked(name, apart, (("a", 0.4),), (("a" if place == 1 else "b", 0.6),), place, pair)


def test_the_figures_are_shares_of_the_cases() -> None:
    """Three of four led, all among three; the two groups apart; one of one pair found."""
    ranked = [one("w", 1, False), one("x", 1), one("y", 3), one("z", 1, pair=True)]
    found = groups(ranked)
    assert found["all"].leads.value == pytest.approx(0.75)
    assert found["all"].among.value == 1.0
    assert found["written apart"].leads.value == pytest.approx(2 / 3)
    assert (found["all"].both, found["all"].pairs) == (1, 1)
    assert found["figures of the model"].cases == 1
    text = told_at_once_text(ranked)
    assert "  y\n" in text
    assert "  x\n" not in text
    data = told_at_once_data(ranked)
    assert [c["leads"] for c in data["cases"]] == [True, True, False, True]
    assert data["shares"]["all"]["among"]["value"] == 1.0


def test_the_command_wants_written_cases(capsys: pytest.CaptureFixture[str]) -> None:
    """Without the generator there is nothing to tell."""
    assert main(["trial", "--told-at-once"]) == 2
    assert "--generator written" in capsys.readouterr().err
