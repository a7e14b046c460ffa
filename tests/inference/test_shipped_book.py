"""The engine on the shipped rule book: pruning costs nothing, and telling stories in any order ends the same."""

from __future__ import annotations

from functools import lru_cache

import numpy as np
import pytest

from diag.evaluation.bench import made_up_answers
from diag.fuelsystem.car import car_from_texts
from diag.inference import set_likelihood as module
from diag.inference.evidence import Evidence
from diag.inference.model import Model, compile_model
from diag.inference.posterior import belief
from diag.rulebook.load import load_book
from diag.rulebook.model import RuleBook
from tests import ROOT
from tests.inference.rig import psi


@lru_cache(maxsize=1)
def shipped() -> RuleBook:
    return load_book(ROOT / "rules")


@lru_cache(maxsize=1)
def compiled_for_a_car() -> Model:
    return compile_model(shipped(), car_from_texts({"target-pressure": "43.5 psi"}))


READINGS = (psi("rail pressure", "pump-on-engine-off", 52, 101), psi("rail pressure", "idle-hose-on", 51, 102))


@pytest.mark.parametrize(
    "evidence",
    [
        Evidence(),
        Evidence(made_up_answers(shipped(), 8, 1)),
        Evidence(made_up_answers(shipped(), 20, 2)),
        Evidence(made_up_answers(shipped(), 4, 3), READINGS),
    ],
    ids=["nothing told", "8 answers", "20 answers", "4 answers and 2 readings"],
)
def test_no_cause_is_off_from_full_enumeration(evidence: Evidence, monkeypatch: pytest.MonkeyPatch) -> None:
    """Leaving the triples of the least likely causes out moves no cause by more than 0.005 (the stated bar)."""
    model = compiled_for_a_car()
    quick = belief(model, evidence)
    monkeypatch.setattr(module, "MOST_IN_TRIPLES", 10_000)
    whole = belief(model, evidence)
    assert np.abs(quick.marginal - whole.marginal).max() < 0.005
    assert abs(quick.nothing - whole.nothing) < 0.005


def test_order_of_entries_does_not_matter() -> None:
    """Answers and readings in reverse give the same digits."""
    answers = made_up_answers(shipped(), 6, 4)
    model = compiled_for_a_car()
    forth, back = Evidence(answers, READINGS), Evidence(answers[::-1], READINGS[::-1])
    assert belief(model, forth).ranked() == belief(model, back).ranked()


def test_ranking_is_complete_and_bounded() -> None:
    """Every cause and both exits appear once, with a probability."""
    ranked = belief(compiled_for_a_car(), Evidence(made_up_answers(shipped(), 12, 5), READINGS)).ranked()
    assert len({name for name, _ in ranked}) == len(ranked) == len(shipped().causes) + 2
    assert all(0.0 <= p <= 1.0 for _, p in ranked)
    assert [p for _, p in ranked] == sorted((p for _, p in ranked), reverse=True)
