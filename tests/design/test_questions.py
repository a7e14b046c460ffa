"""Desk questions: every one answers with working and spread, agrees with the model, and refuses nonsense clearly."""

from __future__ import annotations

import numpy as np
import pytest

from diag.design.answer import imagine
from diag.design.questions import (
    QUESTIONS,
    Units,
    ask,
    expected_rail_pressure,
    pump_keeps_up,
    return_capacity,
    wire_drop,
)
from diag.design.return_line import floor_pressure
from diag.fuelsystem.car import Car
from diag.fuelsystem.constants import BAR, HORSEPOWER, INHG, LITRE_PER_HOUR, PSI
from diag.fuelsystem.draws import healthy_middle
from diag.fuelsystem.solve import solve
from diag.quantities import awg_area
from diag.support.errors import QuantityError, UnknownNameError

BIG_PUMP = Car({"fuel": "petrol", "target-pressure": 43.5 * PSI, "pump-flow": 600 * LITRE_PER_HOUR,
                "return-bore": 6e-3, "seat-diameter": 4e-3, "return-length": 4.0, "return-bends": 4.0})  # fmt: skip
STREET = Car({"fuel": "petrol", "target-pressure": 43.5 * PSI, "pump-flow": 200 * LITRE_PER_HOUR,
              "return-bore": 7.9e-3, "seat-diameter": 5e-3, "idle-vacuum": 18 * INHG})  # fmt: skip


@pytest.mark.parametrize("car", [Car(), STREET, BIG_PUMP], ids=["unknown", "street", "big pump"])
@pytest.mark.parametrize("question", sorted(QUESTIONS))
def test_every_question_answers_with_its_working(question, car):
    """Results, equations with values and sources, and a word on uncertainty; curves rise in x and bands enclose."""
    if question == "range" and "target-pressure" not in car.values:
        with pytest.raises(QuantityError, match="target"):
            ask(question, car)
        return
    answer = ask(question, car, {"shown": 29.0 * PSI, "expected": 43.5 * PSI} if question == "odd" else {})
    assert len(answer.results) >= 2
    assert all(w.equation and w.values and w.source for w in answer.working)
    assert answer.uncertainty
    assert "nan" not in " ".join(answer.results)
    if answer.table:
        assert all(len(row) == len(answer.table.headings) for row in answer.table.rows)
    if answer.curve:
        c = answer.curve
        assert (np.diff(c.x) > 0).all()
        assert len(c.x) == len(c.middle) == len(c.low) == len(c.high)
        assert all(lo <= mid <= hi for lo, mid, hi in zip(c.low, c.middle, c.high, strict=True))


def test_expected_rail_pressure_is_the_arithmetic_of_the_trade():
    """Source: 43.5 psi set, 18 inHg: 34.67 psi (NIST conversion); our slope is 1.00 to 1.02."""
    curve = expected_rail_pressure(STREET, -18 * INHG).curve
    assert curve.marks[0][2] / PSI == pytest.approx(34.67, abs=0.6)


def test_boost_raises_the_rail_psi_for_psi():
    """At 15 psi of boost the rail reads about 15 psi more than with the throttle open and no boost."""
    at = {b: expected_rail_pressure(STREET.changed("boost", 15 * PSI), b * PSI).curve.marks[0][2] for b in (3.0, 15.0)}
    assert (at[15.0] - at[3.0]) / PSI == pytest.approx(12.0, abs=0.6)


def test_the_big_pump_is_too_much_for_a_six_millimetre_return():
    """Source: fluids 1.3 and the orifice formula: 600 L/h through 6 mm and a 4 mm seat cannot come below 52.9 psi."""
    answer = return_capacity(BIG_PUMP)
    assert answer.verdict == "no"
    assert any("would do" in line for line in answer.results)
    assert return_capacity(STREET).verdict == "yes"


def test_the_bore_named_as_a_cure_is_one():
    """What the answer says would do really does: asked again with that bore and seat the answer is yes."""
    wide = BIG_PUMP.changed("return-bore", 11.1e-3).changed("seat-diameter", 6e-3)
    assert return_capacity(wide).verdict == "yes"


def test_floor_at_the_desk_agrees_with_the_solver():
    """The desk's line and seat drop equal the whole system's with the screw out on the middle car."""
    middle = healthy_middle(BIG_PUMP)
    state = solve(middle, {"engine": "idle", "hose": "off", "screw": "out"},
                  ("return flow", "return line drop", "seat drop", "true rail pressure"))  # fmt: skip
    from diag.design.return_line import floor_pressure

    p = {n: np.array([v]) for n, v in middle.items()}
    line, seat = floor_pressure(p, np.array([float(state["return flow"])]))
    assert float(line[0]) == pytest.approx(float(state["return line drop"]), rel=0.01)
    assert float(seat[0]) == pytest.approx(float(state["seat drop"]), rel=0.01)


def test_pump_question_follows_power_and_fuel():
    """A pump that is ample on petrol falls behind on methanol at the same power."""
    car = STREET.changed("engine-power", 260 * HORSEPOWER)
    assert pump_keeps_up(car).verdict == "yes"
    short = pump_keeps_up(car.changed("fuel", "methanol").changed("engine-power", 450 * HORSEPOWER))
    assert short.verdict == "no"
    assert any("lean" in c for c in short.cautions)


def test_wire_question_is_ohms_law():
    """Source: wire-gauge table: 12 A through 4 m of 16 AWG one way is 0.63 V in the wire alone at 20 C."""
    answer = wire_drop(STREET.changed("wire", awg_area(16)).changed("wire-length", 4.0), 12.0)
    table = {row[0]: row[2] for row in answer.table.rows}
    assert table["16 AWG"] == "0.63 V"
    assert answer.verdict in ("marginal", "no")


def test_what_is_unknown_and_matters_most_comes_first():
    """Knowing nothing, the return question asks for the pump's flow first."""
    assert return_capacity(Car({"target-pressure": 3e5})).sharpen[0] in ("pump-flow", "return-bore")
    assert "pump-flow" not in return_capacity(BIG_PUMP).sharpen


@pytest.mark.parametrize(
    ("question", "car", "extras"),
    [
        ("rail", Car({"pump-pressure": 6 * BAR, "pump-relief": 5 * BAR}), {}),
        ("return", Car({"seat-diameter": 14e-3, "diaphragm-diameter": 15e-3}), {}),
        ("rail", STREET, {"vacuum": 1.0e5}),
        ("rail", STREET, {"vacuum": 1e4, "boost": 1e4}),
        ("injectors", STREET, {"rail": 1e5, "boost": 2e5}),
        ("wire", STREET, {"current": -3.0}),
        ("sensor", STREET, {"true": 9e5, "built": 4e5}),
        ("sensor", STREET, {"supply": 12.0}),
        ("odd", STREET, {"shown": 3e5}),
        ("range", Car({"target-pressure": 3e5, "regulator-low": 5e5, "regulator-high": 2e5}), {}),
    ],
)
def test_contradictions_are_one_clear_sentence(question, car, extras):
    """Figures that cannot be true together are refused in one line, never computed with."""
    with pytest.raises(QuantityError) as caught:
        ask(question, car, extras)
    assert "\n" not in str(caught.value)


def test_unknown_questions_and_figures_are_named():
    """A question or extra nobody knows is refused with what there is."""
    with pytest.raises(UnknownNameError):
        ask("weather", STREET)
    with pytest.raises(UnknownNameError):
        ask("wire", STREET, {"amps": 3.0})


def test_answers_speak_the_units_of_the_house():
    """In bar no psi is said."""
    text = " ".join(ask("rail", STREET, units=Units(pressure="bar")).results)
    assert "bar" in text
    assert "psi" not in text


def test_the_return_question_loses_the_same_pressure_as_the_model() -> None:
    """The desk's line drop is the one that the solver finds at the same flow, whatever the stub and the bore."""
    draws = imagine(STREET)
    for name, value in (("tank return entry bore", 5e-3), ("tank return entry bore", 12e-3)):
        car = draws | {name: np.full_like(draws[name], value)}
        state = solve(car, {"engine": "idle", "hose": "off"}, ("return flow", "return line drop"))
        line, _ = floor_pressure(car, state["return flow"])
        assert line == pytest.approx(state["return line drop"], rel=1e-6, abs=1.0)


def test_a_warm_sealed_gauge_explains_a_low_figure() -> None:
    """Warmth and height are told as what they do, and count as the mistake only where they fit."""
    warm = ask("odd", Car(), {"shown": 37.0 * PSI, "expected": 43.5 * PSI, "case": 353.15})
    assert warm.verdict == "yes"
    assert any("sealed, filled gauge at 80 C reads" in line and "low" in line for line in warm.results)
    assert ask("odd", Car(), {"shown": 37.0 * PSI, "expected": 43.5 * PSI}).verdict == "no"
    assert ask("odd", Car(), {"shown": 25.0 * PSI, "expected": 43.5 * PSI, "case": 353.15}).verdict == "no"
    cold = ask("odd", Car(), {"shown": 41.0 * PSI, "expected": 43.5 * PSI, "case": 268.15, "height": 2000.0})
    assert any("high" in line for line in cold.results)
    assert any("2000 m above" in line for line in cold.results)
