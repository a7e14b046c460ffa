"""What a check would show, per set of causes, and how that is cut into outcomes."""

from __future__ import annotations

import numpy as np
import pytest

from diag.inference.bins import bin_chances, bin_edges
from diag.inference.evidence import Evidence
from diag.inference.expected_reading import predicted_reading
from diag.inference.model import Model
from diag.inference.posterior import belief
from diag.inference.predictive import flattened, outcome_table
from diag.rulebook.findings import ABSENT, PRESENT
from diag.rulebook.steps import Yield
from diag.support.errors import UnknownNameError
from tests.inference import naive
from tests.inference.books import told
from tests.inference.rig import psi, rig
from tests.inference.test_posterior_words import FINDINGS, compiled, rich_book

RAIL = "rail pressure"


def tables(model: Model, evidence: Evidence, yield_: Yield) -> tuple[tuple[str, ...], np.ndarray, np.ndarray]:
    result = belief(model, evidence)
    labels, table = outcome_table(model, evidence, result, np.arange(len(result.rows)), yield_)
    return labels, table, result.rows


@pytest.mark.parametrize("count", [0, 4, 6])
@pytest.mark.parametrize("sign", ["s1", "plugs", "wet"])
def test_sign_chances_follow_what_was_told(count: int, sign: str) -> None:
    """P(sign | set, answers so far) equals the slow model's ratio of likelihoods, for plain and shared states."""
    rules = rich_book()
    evidence = Evidence(FINDINGS[:count])
    labels, table, rows = tables(compiled(rules), evidence, Yield(sign=sign))
    assert labels == (PRESENT, ABSENT)
    names = list(rules.causes)
    for row in range(0, len(rows) - 1, 17):
        present = [names[c] for c in rows[row] if c < len(names)]
        before = naive.likelihood(rules, evidence.findings, present)
        after = naive.likelihood(rules, (*evidence.findings, told(sign, "+", rules.knobs.sure_wrong)), present)
        assert table[row, 0] == pytest.approx(after / before, abs=1e-9)
    assert table.sum(axis=1) == pytest.approx(np.ones(len(rows)))


def test_choice_chances_sum_to_one_and_follow_the_rows() -> None:
    """A cause with its own row is predicted by it (with slips), a cause without by what is usual."""
    rules = rich_book()
    labels, table, _ = tables(compiled(rules), Evidence(), Yield(sign="needle"))
    slip = rules.knobs.sure_wrong
    own = np.array([rules.causes["c0"].answers["needle"][a] for a in labels])
    assert table[1] == pytest.approx((1 - slip) * own + slip * (1 - own) / 2, abs=1e-9)
    assert table[2, labels.index("steady")] == pytest.approx((1 - slip) * 0.8 + slip * 0.1, abs=1e-9)
    assert table.sum(axis=1) == pytest.approx(np.ones(len(table)))


def test_reading_bins_separate_the_causes_that_differ() -> None:
    """With the screw out a blocked return reads in the upper bins, a healthy car in the lower, all rows sum to one."""
    model = rig(target_pressure="43.5 psi")
    labels, table, rows = tables(model, Evidence(), Yield(reading=RAIL, at="screw-out"))
    blocked = table[1 + model.index["return-blocked"]]
    assert labels[0].startswith("below")
    assert labels[-1].startswith("above")
    assert "psi" in labels[0]
    assert blocked[: len(labels) // 2].sum() < 0.35
    assert table[0, len(labels) // 2 :].sum() < 0.5
    assert table.sum(axis=1) == pytest.approx(np.ones(len(rows)), abs=1e-6)
    assert table[-1].min() > 0.005  # not in the book: never certain of anything


def test_a_reading_taken_narrows_the_next() -> None:
    """Knowing the base pressure, the spread of what idle would show shrinks."""
    model = rig(target_pressure="43.5 psi")
    wide = predicted_reading(model, [], RAIL, "idle-on", Evidence())
    close = predicted_reading(model, [], RAIL, "idle-on", Evidence(readings=(psi(RAIL, "base", 45),)))
    assert close.p95 - close.p05 < wide.p95 - wide.p05
    assert wide.p05 < wide.mean < wide.p95


def test_vacuum_measured_counts() -> None:
    """The prediction at idle follows the measured vacuum one to one (0.491 psi for each inch of mercury)."""
    model = rig(target_pressure="43.5 psi")
    inhg = 3386.389
    low, high = (predicted_reading(model, [], RAIL, "idle-on", Evidence(), {"vacuum": v * inhg}).mean for v in (10, 20))
    assert (low - high) / (10 * inhg) == pytest.approx(1.0, abs=0.05)


def test_a_set_without_physical_causes_reads_healthy() -> None:
    """A cause that the physics cannot see predicts what the healthy car predicts."""
    model = rig(target_pressure="43.5 psi")
    assert predicted_reading(model, ["plugs-fouled"], RAIL, "base", Evidence()) == predicted_reading(
        model, [], RAIL, "base", Evidence()
    )


def test_bins_are_about_even_and_apart() -> None:
    """Edges cut a wide mixture into six even shares, and never lie closer than the instrument can tell."""
    values = np.linspace(0.0, 100.0, 601)[None, :]
    weights = np.full(values.shape, 1.0 / values.size)
    edges = bin_edges(values, weights, 2.0)
    assert edges == pytest.approx(np.arange(1, 6) * 100 / 6, abs=0.5)
    chances = bin_chances(values, weights, edges, 2.0, (8.0, 0.03))
    assert chances[0] == pytest.approx(np.full(6, 1 / 6), abs=0.01)
    narrow = bin_edges(0.05 * values, weights, 2.0)
    assert (np.diff(narrow) >= 2.0).all()


def test_flattening_keeps_enough_draws() -> None:
    """However peaked the fit, at least the wanted number of draws speaks, and the best fit stays the best."""
    logs = -np.linspace(0, 400, 64)[None, :]
    weights = flattened(logs, 8.0)
    assert 1.0 / (weights**2).sum() >= 8.0
    assert weights.argmax() == 0
    even = flattened(np.zeros((1, 64)), 8.0)
    assert even == pytest.approx(np.full((1, 64), 1 / 64))


def test_unknown_names_are_refused() -> None:
    """Signs, readings and causes that the book lacks are named."""
    model = rig()
    result = belief(model, Evidence())
    for yield_ in (Yield(sign="smok"), Yield(reading="rail presure", at="base")):
        with pytest.raises(UnknownNameError):
            outcome_table(model, Evidence(), result, np.arange(2), yield_)
    with pytest.raises(UnknownNameError):
        predicted_reading(model, ["nobody"], RAIL, "base", Evidence())
