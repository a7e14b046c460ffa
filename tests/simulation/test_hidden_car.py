"""The hidden car answers the same however it is asked, and as often as the book says."""

from __future__ import annotations

import numpy as np
import pytest

from diag.fuelsystem.car import car_from_texts
from diag.inference.model import Model, compile_model
from diag.inference.posterior import NOT_IN_BOOK
from diag.rulebook.findings import PRESENT
from diag.rulebook.load import load_book
from diag.rulebook.steps import Yield
from diag.simulation.hidden_car import HiddenCar
from diag.support.errors import UnknownNameError
from tests import ROOT

BASE = Yield(reading="rail pressure", at="pump-on-engine-off")


@pytest.fixture(scope="module")
def model() -> Model:
    """The shipped book and a car of which the target is known."""
    book = load_book(ROOT / "rules")
    return compile_model(book, car_from_texts({"target-pressure": "43.5"}, "psi"))


def test_same_seed_same_answers_in_any_order(model: Model) -> None:
    """Answers do not depend on what was asked before."""
    asked = [BASE, Yield(sign="pump-sound"), Yield(sign="no-start"), Yield(reading="rail pressure", at="idle-hose-on")]
    one, other = (HiddenCar(model, ("filter-clogged",), 7) for _ in range(2))
    assert [one.answer(y) for y in asked] == [other.answer(y) for y in reversed(asked)][::-1]


def test_signs_come_as_often_as_their_link_says(model: Model) -> None:
    """Over many cars a linked sign is there as often as noisy-OR of link and chance, within sampling error."""
    cause = "filter-clogged"
    plain = {n for n, at in model.words.node.items() if not model.words.cluster_of[at].states}
    sign, strength = next((s, q) for s, q in model.book.causes[cause].shows.items() if s in plain)
    leak = model.book.signs[sign].chance
    seen = np.mean([HiddenCar(model, (cause,), seed).sign(sign) == PRESENT for seed in range(400)])
    wanted = 1.0 - (1.0 - leak) * (1.0 - strength)
    assert abs(seen - wanted) < 4.0 * np.sqrt(wanted * (1.0 - wanted) / 400)


def test_cure_takes_the_cause_away_and_a_botch_leaves_it(model: Model) -> None:
    """The right remedy cures except in the book's share of cars; a wrong one leaves everything."""
    cause = "filter-clogged"
    remedy = model.book.causes[cause].remedies[0]
    left = np.mean([bool(HiddenCar(model, (cause,), s).after(remedy).present()) for s in range(400)])
    botch = model.book.remedies[remedy].botch
    assert abs(left - botch) < 4.0 * np.sqrt(botch * (1.0 - botch) / 400)
    wrong = next(r for r in model.book.remedies if r not in model.book.causes[cause].remedies)
    assert HiddenCar(model, (cause,), 1).after(wrong).present() == (cause,)


def test_readings_scatter_as_their_kind_says(model: Model) -> None:
    """Shown minus true has the spread of error, model error, offset and misreads together."""
    kind = model.book.readings[BASE.reading]
    cars = [HiddenCar(model, (), seed) for seed in range(300)]
    gaps = np.array([c.shown(BASE.reading, BASE.at) - c.true(BASE.reading, BASE.at) for c in cars])
    plain = np.sqrt(kind.error**2 + kind.model_error**2 + kind.offset**2)
    middle = np.diff(np.percentile(gaps, [16, 84]))[0] / 2.0
    assert 0.8 * plain < middle < 1.25 * plain


def test_unknown_cause_is_refused_and_a_stranger_is_not(model: Model) -> None:
    """A cause outside the book has its own name; any other unknown name is an error."""
    with pytest.raises(UnknownNameError):
        HiddenCar(model, ("no-such-cause",), 1)
    assert HiddenCar(model, (NOT_IN_BOOK,), 1).answer(Yield(sign="no-start")) in ("present", "absent")


def test_a_repair_sets_the_base_pressure_and_a_turned_screw_may_not(model: Model) -> None:
    """Repairs of the regulator end with setting base pressure, so nearly all cars read the target after one."""
    target = 43.5 * 6894.757

    def near(step: str) -> float:
        shown = [HiddenCar(model, (), s).after(step).true(BASE.reading, BASE.at) for s in range(200)]
        return float(np.mean(np.abs(np.array(shown) - target) < 4.0 * 6894.757))

    assert near("clean-valve-and-seat") > 0.88
    assert near("screw-turned") < 0.8


def test_a_reading_taken_again_has_another_error_and_as_built_is_without_damage(model: Model) -> None:
    """Takes differ by the instrument's error alone; what the papers say is not changed by the fault."""
    car = HiddenCar(model, ("filter-clogged",), 5)
    kind = model.book.readings[BASE.reading]
    takes = np.array([float(car.answer(BASE, take=n, misread=0.0)) for n in range(1, 200)])
    assert takes.std() == pytest.approx(kind.error, rel=0.25)
    assert car.as_built()["filter restriction"] == pytest.approx(1.0)
    assert car.as_built() == HiddenCar(model, (), 5).as_built()
