"""Looking ahead while somebody measures: less to do afterwards, and never another answer, stopped or not."""

from __future__ import annotations

from dataclasses import replace

import pytest

from diag.fuelsystem.car import car_from_texts
from diag.inference.ahead import look_ahead
from diag.inference.evidence import Evidence
from diag.inference.model import Model, compile_model
from diag.inference.posterior import Belief, belief
from diag.rulebook.load import load_book
from diag.rulebook.model import RuleBook
from diag.rulebook.steps import Yield
from tests import ROOT
from tests.inference.rig import psi

BEFORE = Evidence(readings=(psi("rail pressure", "idle-hose-on", 47, 1),))
ASKED = Yield(reading="rail pressure", at="screw-out")
AFTER = replace(BEFORE, readings=(*BEFORE.readings, psi("rail pressure", "screw-out", 44, 2)))
DRAWS = 256


@pytest.fixture(scope="module")
def loaded() -> RuleBook:
    """The shipped book."""
    return load_book(ROOT / "rules")


def model_of(book: RuleBook) -> Model:
    """A car with nothing worked out."""
    return compile_model(replace(book), car_from_texts({"target-pressure": "43.5 psi"}), DRAWS)


def same(one: Belief, other: Belief) -> bool:
    """To the last bit."""
    return one.weights.tobytes() == other.weights.tobytes() and one.ever.tobytes() == other.ever.tobytes()


def solved(model: Model) -> int:
    assert model.physics is not None
    return model.physics.solved


def test_the_ranking_is_the_same_and_little_is_left_to_solve(loaded: RuleBook) -> None:
    """With the asked reading foreseen, less than a fifth of the solutions wait for its value."""
    plain, ahead = model_of(loaded), model_of(loaded)
    belief(plain, BEFORE)
    begun = solved(plain)
    alone = belief(plain, AFTER)
    wanted = solved(plain) - begun
    assert look_ahead(ahead, BEFORE, belief(ahead, BEFORE), ASKED)
    begun = solved(ahead)
    assert same(belief(ahead, AFTER), alone)
    assert solved(ahead) - begun < 0.2 * wanted


@pytest.mark.parametrize("questions", [0, 1, 2, 5, 9])
def test_stopped_at_any_moment_it_leaves_nothing_but_time(loaded: RuleBook, questions: int) -> None:
    """Asked for the so-many-th time whether to stop it stops there; what comes after is as if it had never begun."""
    left = [questions]

    def stopped() -> bool:
        left[0] -= 1
        return left[0] < 0

    model = model_of(loaded)
    before = belief(model, BEFORE)
    done = look_ahead(model, BEFORE, before, ASKED, stopped)
    assert not done
    assert model.physics is not None
    assert model.physics.stopped is None, "the next ranking would be given up as well"
    assert same(belief(model, AFTER), belief(model_of(loaded), AFTER))
    assert same(belief(model, BEFORE), before)


@pytest.mark.parametrize("asked", [Yield(sign="no-start"), Yield(reading="rail pressure", at="nowhere")])
def test_what_is_no_reading_is_left_alone(loaded: RuleBook, asked: Yield) -> None:
    """A question, or a point that the book does not have."""
    model = model_of(loaded)
    before = belief(model, BEFORE)
    begun = solved(model)
    assert not look_ahead(model, BEFORE, before, asked)
    assert solved(model) == begun
