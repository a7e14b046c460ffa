"""Answers of a choice that the physics decides: what comes out of the return, and how the plugs look after cranking."""

from __future__ import annotations

from functools import lru_cache

import numpy as np
import pytest

from diag.fuelsystem.car import car_from_texts
from diag.inference.evidence import Evidence, Finding, Reading
from diag.inference.model import Model, compile_model
from diag.inference.posterior import Belief, belief
from diag.inference.predictive import outcome_table
from diag.inference.readings.sights import answer_chances, needs
from diag.rulebook.findings import ABSENT, PRESENT, Sign
from diag.rulebook.load import load_book
from diag.rulebook.steps import Yield
from diag.simulation.hidden_car import HiddenCar
from tests import ROOT

PSI = 6894.757293168
DRY_FAULTS = ("pump-dead", "relay-failed", "pump-unplugged", "pump-fuse-blown", "pump-seized", "tank-empty",
              "feed-line-off", "control-unit-unpowered", "crank-signal-lost")  # fmt: skip
"""Without fuel or without injection the plugs stay dry: common practice, no source."""


@lru_cache(maxsize=1)
def shipped() -> Model:
    """The shipped book and a car of which the target is known."""
    return compile_model(load_book(ROOT / "rules"), car_from_texts({"target-pressure": "43.5"}, "psi"))


def graded() -> list[Sign]:
    """The choices of the book among whose answers the physics decides."""
    return [s for s in shipped().book.signs.values() if s.graded]


def told(*answers: tuple[str, str]) -> Evidence:
    """Complaints and answers in words."""
    found = tuple(Finding(sign, answer, 0.02, 0, at, at == 1) for at, (sign, answer) in enumerate(answers, 1))
    return Evidence(findings=found)


def chances_of(sign: Sign, cause: str) -> dict[str, float]:
    """Mean chance of every graded answer over imagined cars with one cause."""
    model = shipped()
    assert model.physics is not None
    at = model.physics.place_of[model.index[cause]]
    values = {
        (point, name): model.physics.predict_lone(name, model.physics.frozen_settings(point, {}), 256)[at : at + 1]
        for point, name in needs(sign)
    }
    every = answer_chances(sign, values, np.asarray(43.5 * PSI), model.physics.dullness(256))
    return {answer: float(np.mean(chance)) for answer, chance in every.items()}


@pytest.mark.parametrize("sign", graded(), ids=lambda s: s.id)
def test_the_answers_share_one_in_every_car(sign: Sign) -> None:
    """Whatever the quantities are, the chances of the graded answers add up to one and none is negative."""
    rng = np.random.default_rng(5)
    values = {need: 10.0 ** rng.uniform(-9, 1, 400) for need in needs(sign)}
    every = answer_chances(sign, values, np.full(400, 3e5), rng.standard_normal(400))
    assert np.allclose(sum(every.values()), 1.0, atol=1e-12)
    assert min(float(chance.min()) for chance in every.values()) >= 0.0


@pytest.mark.parametrize("cause", DRY_FAULTS)
def test_plugs_stay_dry_where_no_fuel_comes(cause: str) -> None:
    """No cause lists by hand that its plugs are dry; it follows from what reaches the cylinders."""
    assert chances_of(shipped().book.signs["plugs-after-cranking"], cause)["dry"] > 0.6


@pytest.mark.parametrize("cause", ["no-spark-fault", "engine-flooded"])
def test_plugs_drip_where_fuel_comes_and_does_not_burn(cause: str) -> None:
    """Fuel without spark, or too much of it, wets them: common practice, no source."""
    every = chances_of(shipped().book.signs["plugs-after-cranking"], cause)
    assert every["dripping"] > max(every["dry"], 0.4)


def test_what_opens_below_the_setting_leaves_nothing_for_the_return() -> None:
    """A relief valve that opens too early and a second regulator alike: the stream does not tell them apart."""
    low = Reading("rail pressure", "pump-on-engine-off", 37 * PSI, 37 * PSI, 37 * PSI, entry=2)
    complaint = Finding("pressure-reads-low", PRESENT, 0.02, 0, 1, True)
    stream = Finding("return-stream", "none", 0.02, 0, 3, False)
    before, after = (
        dict(belief(shipped(), Evidence(findings=found, readings=(low,))).ranked())
        for found in ((complaint,), (complaint, stream))
    )
    both = "pump-relief-early", "second-regulator-in-circuit"
    assert all(after[cause] > before[cause] for cause in both)
    moved = np.log((after[both[0]] / before[both[0]]) / (after[both[1]] / before[both[1]]))
    assert abs(moved) < np.log(1.5)
    assert after["base-set-too-low"] < 0.2 * before["base-set-too-low"]


def test_froth_stays_a_matter_of_words() -> None:
    """Foam is no matter of litres: the cause that foams still says so, and the other answers lose by it."""
    of = dict(belief(shipped(), told(("hesitates", PRESENT), ("return-stream", "frothy"))).ranked())
    without = dict(belief(shipped(), told(("hesitates", PRESENT))).ranked())
    assert of["return-foams"] > 5 * without["return-foams"]


def test_a_dry_plug_lifts_every_want_of_fuel_and_sinks_want_of_spark() -> None:
    """With no start told, dry plugs speak for the fuel side and against the spark."""
    before = dict(belief(shipped(), told(("no-start", PRESENT))).ranked())
    after = dict(belief(shipped(), told(("no-start", PRESENT), ("plugs-after-cranking", "dry"))).ranked())
    assert all(after[cause] > before[cause] for cause in ("pump-dead", "relay-failed", "tank-empty"))
    assert after["no-spark-fault"] < 0.3 * before["no-spark-fault"]


@pytest.mark.parametrize("sign", graded(), ids=lambda s: s.id)
def test_what_is_expected_of_an_answer_is_what_is_then_believed(sign: Sign) -> None:
    """The chance of an answer looked ahead, and Bayes' rule with the answer told, agree for two leading causes.

    Looking ahead takes an eighth of the imagined cars, so that it may be off by a third.
    """
    runs = sign.id == "mixture-error"  # asked of an engine that runs
    story = [("flat-at-full-load", PRESENT)] if runs else [("no-start", PRESENT), ("no-spark", ABSENT)]
    known = (
        ("pump-worn", "filter-clogged", "strainer-clogged") if runs else ("pump-dead", "tank-empty", "engine-flooded")
    )
    model, before = shipped(), told(*story)
    now = belief(model, before)
    leading = [c for c, _ in now.ranked() if c in known]
    nobody = len(model.causes)
    sets = [sorted([model.index[c], nobody, nobody]) for c in leading]
    rows = np.array([np.flatnonzero((now.rows == s).all(axis=1))[0] for s in sets])
    order = np.argsort(rows)
    labels, table = outcome_table(model, before, now, rows[order], Yield(sign=sign.id))
    assert np.allclose(table.sum(axis=1), 1.0, atol=1e-9)
    looked = dict(zip([leading[at] for at in order], table, strict=True))
    for answer in (a.id for a in sign.graded):
        then = belief(model, told(*story, (sign.id, answer)))
        was, is_now = (_alone(one, sets) for one in (now, then))
        for other in (1, 2):
            at = labels.index(answer)
            if min(looked[leading[other]][at], looked[leading[0]][at]) < 0.05:
                continue  # there it is slips that speak, which a told answer and one looked ahead to share differently
            ahead = float(np.log(looked[leading[other]][at] / looked[leading[0]][at]))
            moved = float(np.log((is_now[other] / is_now[0]) / (was[other] / was[0])))
            assert abs(ahead - moved) < 0.4, (answer, leading[0], leading[other], ahead, moved)


def _alone(now: Belief, sets: list[list[int]]) -> list[float]:
    return [float(now.weights[(now.rows == s).all(axis=1)].sum()) for s in sets]


def test_hidden_cars_answer_as_their_physics_has_it() -> None:
    """Of cars with a dead pump most show dry plugs and nothing from the return, of sound ones few."""

    def share(causes: tuple[str, ...], sign: str, answer: str) -> float:
        cars = [HiddenCar(shipped(), causes, seed) for seed in range(60)]
        return sum(car.sign(sign) == answer for car in cars) / len(cars)

    assert share(("pump-dead",), "return-stream", "none") > 0.8
    assert share(("pump-dead",), "plugs-after-cranking", "dry") > 0.7
    assert share((), "return-stream", "none") < 0.1
