"""Random walks: nothing forbidden is proposed whatever is believed, and a hole in the wall is seen."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from diag.evaluation.walks import SETS, Walk, _opened, random_belief
from diag.rulebook.where import rules_folder


@pytest.mark.slow
def test_nothing_forbidden_on_random_walks() -> None:
    """A few hundred proposals here; ``diag trial --walks 100000`` for the whole build."""
    book, model = _opened(rules_folder())
    proposals, forbidden = 0, []
    for number in range(12):
        walk = Walk(book, model, np.random.default_rng([7, number]))
        walk.go()
        proposals += len(walk.proposals)
        forbidden += walk.forbidden
    assert proposals > 50
    assert forbidden == []


@pytest.mark.slow
def test_a_hole_in_the_book_is_seen() -> None:
    """With the stop rules taken out, the auditor finds what the wall now lets through."""
    book, model = _opened(rules_folder())
    holed = replace(book, stops={})
    found: list[str] = []
    for number in range(12):
        walk = Walk(holed, replace(model, book=holed), np.random.default_rng([7, number]))
        walk._listened = {"fuel-hose-cracked"}
        walk._sign("fuel-hose-cracked")
        walk.audit._watch.there["a fuel hose that is bad"] = False
        walk.go()
        found += walk.forbidden
        if found:
            break
    assert any("a fuel hose that is bad" in why for why in found)


def test_a_random_belief_is_a_belief() -> None:
    """Weights sum to one and marginals are what the rows add up to."""
    _, model = _opened(rules_folder())
    belief = random_belief(model, np.random.default_rng(3))
    assert len(belief.weights) == SETS
    assert belief.weights.sum() == pytest.approx(1.0)
    first = int(belief.rows[1, 0])
    share = sum(float(w) for row, w in zip(belief.rows, belief.weights, strict=True) if first in row)
    assert belief.marginal[first] == pytest.approx(share)
