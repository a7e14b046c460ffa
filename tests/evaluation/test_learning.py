"""Learning frequencies from closed jobs."""

from __future__ import annotations

import random
import time
from collections.abc import Iterator
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from diag.casework.lessons import count
from diag.casework.summary import Summary
from diag.evaluation.learning import (
    LOWEST_SHARE,
    Overlay,
    apply_overlay,
    learn,
    shares,
    shifts,
    switched,
    undone,
)
from diag.evaluation.overlay_file import overlay_file, read_overlay, write_overlay
from diag.support.errors import SourceError
from tests.evaluation.jobs import T, closed, small_book


def test_proven_single_causes_are_counted() -> None:
    """One proven cause per job adds one count."""
    counts = count([closed(1, "a"), closed(2, "a"), closed(3, "b", "b")], small_book())
    assert counts.causes == {"a": 2, "b": 1}
    assert counts.refused == {}


@pytest.mark.parametrize(
    ("job", "why"),
    [
        (closed(1, "a", proven=False), "cured, but not proven"),
        (closed(1, "a", status="open"), "not closed"),
        (closed(1, "a", status="waiting for part"), "not closed"),
        (closed(1, "a", result="not cured"), "ended as: not cured"),
        (closed(1, "a", result="could not reproduce"), "ended as: could not reproduce"),
        (closed(1, "a", result="handed on"), "ended as: handed on"),
        (closed(1, "a", result=""), "ended as: no outcome"),
        (closed(1), "cured, but no cause named"),
        (closed(1, "zz"), "a cause that this rule book does not have"),
        (closed(1, "a", "zz"), "a cause that this rule book does not have"),
        (closed(1, "a", id="job-1-copy-3f7a"), "a copy of another job"),
        (closed(1, result="normal", proven=False), "normal behaviour, not proven"),
    ],
)
def test_unproven_outcomes_teach_nothing(job: Summary, why: str) -> None:
    """Each guard by itself: no count moves, and the reason is kept for the review."""
    counts = count([job], small_book())
    assert counts.used == 0
    assert counts.refused == {why: 1}
    assert apply_overlay(small_book(), learn([job], small_book(), T)) == small_book()


def test_a_cause_without_its_remedy_on_record_teaches_nothing() -> None:
    """Whoever names a cause must have done something that cures it."""
    book = small_book()
    book = replace(book, causes={**book.causes, "a": replace(book.causes["a"], remedies=("mend-a", "swap-a"))})
    wrong = closed(1, "a", steps=(("mend-b", 5.0),))
    right = closed(2, "a", steps=(("look", None), ("swap-a", 5.0)))
    counts = count([wrong, right], book)
    assert counts.causes == {"a": 1}
    assert counts.refused == {"cured, but no remedy for that cause on record": 1}


def test_cures_done_together_prove_no_single_cause() -> None:
    """Two remedies in one go tell that there were two faults at most, never which one it was."""
    counts = count([closed(1, "a", "b"), closed(2, result="normal")], small_book())
    assert counts.causes == {}
    assert (counts.several, counts.none) == (1, 1)


def test_a_job_counts_once_however_often_it_is_listed() -> None:
    """The same name twice is one job."""
    counts = count([closed(1, "a"), closed(1, "a")], small_book())
    assert counts.causes == {"a": 1}
    assert counts.refused == {"seen twice": 1}


@given(st.lists(st.integers(0, 500), min_size=4, max_size=4), st.floats(1.0, 1000.0))
@settings(max_examples=60, deadline=None)
def test_shares_are_the_mean_of_the_dirichlet_posterior(n: list[int], strength: float) -> None:
    """Against scipy.stats.dirichlet: prior strength times the book's shares, plus the counts."""
    book = small_book()
    jobs = [closed(100_000 * i + k, name) for i, name in enumerate("abcd") for k in range(n[i])]
    learnt = shares(book, learn(jobs, book, T, strength=strength))
    prior = [strength * book.causes[name].how_often.share for name in "abcd"]
    expected = stats.dirichlet.mean([p + k for p, k in zip(prior, n, strict=True)])
    assert [learnt[name] for name in "abcd"] == pytest.approx(list(expected), rel=1e-9, abs=LOWEST_SHARE)


def test_knobs_are_the_mean_of_beta_posteriors() -> None:
    """Against scipy.stats.beta, for the chance of no fault and the share of faulty jobs with several."""
    book = small_book()
    jobs = [closed(i, "a") for i in range(30)] + [closed(100 + i, "a", "b") for i in range(10)]
    jobs += [closed(200 + i, result="normal") for i in range(20)]
    learnt = apply_overlay(book, learn(jobs, book, T, strength=100.0)).knobs
    assert learnt.none == pytest.approx(stats.beta.mean(100 * 0.05 + 20, 100 * 0.95 + 40))
    assert learnt.two_or_more == pytest.approx(stats.beta.mean(100 * 0.08 + 10, 100 * 0.92 + 30))


def test_learning_finds_the_true_frequencies() -> None:
    """Invented workshop whose causes differ from the book: 5,000 proven jobs bring every share within 0.02."""
    rng = random.Random(6)
    truth = {"a": 0.05, "b": 0.15, "c": 0.2, "d": 0.6}
    jobs = [closed(i, rng.choices(list(truth), list(truth.values()))[0]) for i in range(5000)]
    learnt = shares(small_book(), learn(jobs, small_book(), T))
    assert all(abs(learnt[name] - share) < 0.02 for name, share in truth.items())


def test_few_jobs_nudge_and_never_rule_out() -> None:
    """Ten jobs of one cause leave the order of the book; a cause never seen keeps a share."""
    learnt = shares(small_book(), learn([closed(i, "d") for i in range(10)], small_book(), T))
    assert learnt["a"] > learnt["b"] > learnt["c"] > learnt["d"] > 0.1
    heavy = shares(small_book(), learn([closed(i, "d") for i in range(100_000)], small_book(), T))
    assert heavy["a"] >= LOWEST_SHARE


def test_the_overlay_is_reviewed_switched_off_and_undone() -> None:
    """What moved is listed; off means the book itself; undo brings back the state before."""
    book = small_book()
    first = learn([closed(i, "a") for i in range(40)], book, "2026-11-01T00:00:00Z")
    second = learn([closed(i, "d") for i in range(90)], book, T, first)
    rows = shifts(book, second)
    assert rows[0].cause == "d"
    assert rows[0].book == pytest.approx(0.1)
    assert rows[0].learnt == pytest.approx((20 + 90) / 290)
    assert rows[0].jobs == 90
    applied = apply_overlay(book, second)
    assert applied.fingerprint != book.fingerprint
    assert "90 proven jobs of 90" in applied.causes["d"].how_often.basis.why
    assert applied.causes["d"].how_often.basis.kind == "computed"
    assert apply_overlay(book, switched(second, False)) is book
    assert apply_overlay(book, None) is book
    assert undone(second) == first
    assert undone(first) is None
    assert learn([], book, T, switched(second, False)).enabled is False


def test_the_overlay_file_comes_back_exactly() -> None:
    """Written and read again, earlier states included; switched off by editing one word."""
    book = small_book()
    overlay = learn([closed(1, "a"), closed(2, "b", proven=False)], book, T)
    overlay = learn([closed(i, "a") for i in range(9)], book, T, overlay)
    text = write_overlay(overlay)
    assert read_overlay(text) == overlay
    assert read_overlay(text.replace("use: yes", "use: no", 1)).enabled is False


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        ("several: 0", "several: -1", "learnt.yaml:12:10"),
        ("several: 0", "several: many", "learnt.yaml:12:10"),
        ("  a: 1", "  a: 1e300", "learnt.yaml:11:6"),
        ("  a: 1", "  a: 1\n  a: 2", "written twice"),
        ("strength: 200.0", "strength: 0", "between"),
        ("format: 1", "format: 2", "newer program"),
        ("use: yes", "use: perhaps", "yes or no"),
        ("none: 0", "non: 0", "'non' is not known"),
        ("overlay: cause frequencies", "overlay: something", "not an overlay"),
    ],
)
def test_a_broken_overlay_is_named_and_never_half_used(old: str, new: str, says: str) -> None:
    """Bad hand edits raise with file, line and column."""
    text = write_overlay(learn([closed(1, "a")], small_book(), T))
    assert old in text
    with pytest.raises(SourceError) as caught:
        read_overlay(text.replace(old, new, 1))
    assert says in caught.value.one_line()


@given(st.text(max_size=200))
def test_any_text_gives_an_overlay_or_a_message(text: str) -> None:
    """Nothing but our own error leaves the reader."""
    try:
        found: object = read_overlay(text)
    except SourceError as error:
        found = error
    assert isinstance(found, Overlay | SourceError)


def test_the_overlay_lies_beside_the_cases(tmp_path_factory: pytest.TempPathFactory) -> None:
    """Among them it would be listed as a case."""
    folder = tmp_path_factory.mktemp("data") / "cases"
    assert overlay_file(folder).parent == folder.parent


def _many() -> Iterator[Summary]:
    rng = random.Random(1)
    for number in range(100_000):
        ranking = {"a": 0.5, "b": 0.3, "c": 0.15, "d": 0.05}
        cause = rng.choice("abcd")
        yield closed(number, cause, proven=number % 3 > 0, believed=((0, ranking),), steps=(("check", 3.0),))


def test_100_000_closed_jobs_are_learnt_within_a_minute() -> None:
    """Counting, sharing and the overlay take seconds; the table of cases hands the summaries over as fast."""
    book = small_book()
    start = time.perf_counter()
    overlay = learn(_many(), book, T)
    assert overlay.counts.single == 66_666
    assert overlay.counts.refused == {"cured, but not proven": 33_334}
    assert apply_overlay(book, overlay).version.endswith("66666 jobs")
    assert time.perf_counter() - start < 20
