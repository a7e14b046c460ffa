"""Weights of entries, the running ranking, the odd entry, and the field worth asking about."""

from __future__ import annotations

import numpy as np
import pytest

from diag.inference.evidence import Epoch, Evidence
from diag.inference.explain import misfit, mutual_information, reading_views, running, unknown_worth, until, weights
from diag.inference.posterior import belief
from tests.inference.books import book, cause, knobs, sign, told
from tests.inference.rig import PSI, psi, rig
from tests.inference.test_posterior_words import compiled


def test_weight_of_an_answer_is_its_likelihood_ratio() -> None:
    """Two exclusive-in-effect causes, one answer: the weight is log10 of the change of odds, worked by hand."""
    rules = book([cause("a", 0.5, {"s": 0.9}), cause("b", 0.5)], [sign("s", 0.1)], figures=knobs(none=0.05))
    model = compiled(rules)
    evidence = Evidence((told("s", "+", 0.0, entry=1),))
    before, after = belief(model, Evidence()).ever[0], belief(model, evidence).ever[0]
    expected = np.log10(after / (1 - after)) - np.log10(before / (1 - before))
    (only,) = weights(model, evidence)
    assert only.entry == 1
    assert only.log10["a"] == pytest.approx(expected, abs=1e-4)
    assert only.log10["a"] > 0.3 > 0 > only.log10["b"]


def test_weights_say_which_entry_speaks_for_whom() -> None:
    """Each of two answers speaks for the cause that shows it and against the other."""
    rules = book([cause("a", 0.5, {"s": 0.9}), cause("b", 0.5, {"t": 0.9})], [sign("s", 0.05), sign("t", 0.05)])
    found = weights(compiled(rules), Evidence((told("s", "+", 0.02, entry=3), told("t", "-", 0.02, entry=7))))
    assert [w.entry for w in found] == [3, 7]
    assert found[0].log10["a"] > 0.5
    assert found[1].log10["b"] < -0.5


def test_running_ends_at_the_belief() -> None:
    """The last step of the running sum is the posterior itself, the first knows one entry only."""
    model = rig(target_pressure="43.5 psi")
    evidence = Evidence((told("smoke", "+", 0.02, entry=2),), (psi("rail pressure", "base", 55, 1),))
    steps = running(model, evidence)
    assert [s.entry for s in steps] == [1, 2]
    assert list(steps[-1].ranked) == belief(model, evidence).ranked()
    assert list(steps[0].ranked) == belief(model, Evidence(readings=evidence.readings)).ranked()


def test_running_does_not_know_later_remedies() -> None:
    """Before the remedy's entry its epoch does not exist; afterwards it does."""
    epochs = (Epoch(), Epoch(cured=frozenset({"a"}), botch=0.05, step="fix", entry=2))
    evidence = Evidence((told("s", "+", 0.02, entry=1), told("s", "-", 0.02, 1, entry=3)), epochs=epochs)
    assert len(until(evidence, 1).epochs) == 1
    assert len(until(evidence, 3).epochs) == 2


def test_the_contradicting_answer_is_the_misfit() -> None:
    """Three answers that belong together and one against all of them: that one is to be asked again."""
    shows = {f"s{n}": 0.95 for n in range(4)}
    rules = book([cause("a", 0.5, shows), cause("b", 0.5)], [sign(f"s{n}", 0.02) for n in range(4)])
    model = compiled(rules)
    answers = [told(f"s{n}", "+", 0.02, entry=n + 1) for n in range(3)]
    fitting = misfit(model, Evidence((*answers, told("s3", "+", 0.02, entry=4))))
    odd = misfit(model, Evidence((*answers, told("s3", "-", 0.02, entry=4))))
    assert odd.entry == 4
    assert odd.surprise > 0.8
    assert fitting.surprise < 0.3


def test_nothing_told_is_no_surprise() -> None:
    """Without entries there is nothing to repeat."""
    assert misfit(rig(), Evidence()).entry is None


def test_reading_views_show_what_each_cause_would_read() -> None:
    """Beside a reading of 60 with the screw out: healthy far below, a blocked return around it."""
    model = rig(target_pressure="43.5 psi")
    (view,) = reading_views(model, Evidence(readings=(psi("rail pressure", "screw-out", 60, 1),)), ["return-blocked"])
    assert view.healthy.p95 < 48 * PSI
    assert view.causes["return-blocked"].p05 < 60 * PSI < view.causes["return-blocked"].p95


def test_the_return_bore_is_worth_asking_when_pressure_is_stuck() -> None:
    """Stuck high on an unknown car: return and pump size are worth more than battery volts."""
    model = rig(target_pressure="43.5 psi")
    read = (psi("rail pressure", "base", 58, 1), psi("rail pressure", "screw-out", 58, 2))
    worth = {w.field: w.nats for w in unknown_worth(model, Evidence(readings=read))}
    best = max(worth["return-bore"], worth["pump-flow"], worth["tank-entry-bore"])
    assert best > worth.get("battery-volts", 0.0) + 0.05
    assert "target-pressure" not in worth


def test_mutual_information_of_known_tables() -> None:
    """Independent: zero; one-to-one over two even values: ln 2 (textbook)."""
    assert mutual_information(np.outer([0.3, 0.7], [0.6, 0.4])) == pytest.approx(0.0, abs=1e-12)
    assert mutual_information(np.eye(2) / 2) == pytest.approx(np.log(2))
