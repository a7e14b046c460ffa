"""Imagined cars: stable, stratified, inside their limits, true to what was told, and shared across actions."""

from __future__ import annotations

import numpy as np
import pytest

from diag.fuelsystem.car import Car
from diag.fuelsystem.constants import INHG, LITRE_PER_HOUR, PSI
from diag.fuelsystem.draws import draw, healthy_middle, uniform_column
from diag.fuelsystem.fields import FIELDS
from diag.fuelsystem.fluids import FUELS
from diag.fuelsystem.normal import inverse_normal
from diag.fuelsystem.parameters import PARAMETERS
from diag.fuelsystem.solve import solve

PINNED = [0.9794112482755186, 0.3100021929052302, 0.49760517673408294]


def test_columns_are_stratified_and_depend_on_their_name_only():
    """One value in each slice of probability; another name or epoch shuffles differently."""
    column = uniform_column("set pressure", 512)
    assert np.array_equal(np.floor(np.sort(column) * 512), np.arange(512))
    assert np.array_equal(column, uniform_column("set pressure", 512))
    assert abs(np.corrcoef(column, uniform_column("return bore", 512))[0, 1]) < 0.15
    assert not np.array_equal(column, uniform_column("set pressure", 512, 1))


def test_first_values_never_change():
    """Pinned figures: a changed shuffle would move every stored case."""
    assert uniform_column("set pressure", 512)[:3] == pytest.approx(PINNED, abs=1e-12)


@pytest.mark.parametrize("fuel", ["", *FUELS])
def test_every_parameter_is_drawn_inside_its_limits(fuel):
    """Whatever the fuel, all parameters are there, finite and inside what may be computed with."""
    drawn = draw(Car({"fuel": fuel} if fuel else {}), 256)
    assert set(drawn) == set(PARAMETERS)
    for name, column in drawn.items():
        assert column.shape == (256,)
        assert np.isfinite(column).all()
        assert (column >= PARAMETERS[name].low).all(), name
        assert (column <= PARAMETERS[name].high).all(), name


@pytest.mark.parametrize(
    ("field", "value", "parameter", "tolerance"),
    [
        ("return-bore", 6e-3, "return bore", 0.02),
        ("pump-flow", 600 * LITRE_PER_HOUR, "pump rated flow", 0.06),
        ("seat-diameter", 4e-3, "seat diameter", 0.02),
        ("idle-vacuum", 15 * INHG, "idle vacuum", 0.027),
        ("injector-flow", 30 * LITRE_PER_HOUR, "injector flow", 0.03),
        ("pump-relief", 8e5, "pump relief pressure", 0.05),
        ("return-length", 4.0, "return length", 0.05),
    ],
)
def test_a_told_field_leaves_a_small_tolerance(field, value, parameter, tolerance):
    """The middle is what was told, the spread the stated tolerance, and far less than when unknown."""
    told, unknown = draw(Car({field: value}), 512)[parameter], draw(Car(), 512)[parameter]
    assert np.median(told) == pytest.approx(value, rel=0.005)
    assert np.std(told) / value == pytest.approx(tolerance, rel=0.1)
    assert np.std(unknown) / np.mean(unknown) > 1.5 * tolerance


def test_a_set_regulator_reads_its_target():
    """With a told target a sound car reads it, hose off and pump running, within 1.2 psi and a little."""
    drawn = draw(Car({"target-pressure": 43.5 * PSI}), 512)
    reads = solve(drawn, {"engine": "off", "hose": "off"}, ("true rail pressure",))["true rail pressure"] / PSI
    assert np.median(reads) == pytest.approx(43.5, abs=0.4)
    low, high = np.quantile(reads, (0.16, 0.84))  # a few undersized returns stand far out
    assert 0.9 < 0.5 * (high - low) < 1.6


def test_a_target_stated_with_the_hose_on_is_met_with_the_hose_on():
    """A target of 35 psi with the hose on is what the idling car reads."""
    drawn = draw(Car({"target-pressure": 35 * PSI, "target-hose": "on"}), 512)
    reads = solve(drawn, {"engine": "idle", "hose": "on"}, ("true rail pressure",))["true rail pressure"] / PSI
    assert np.median(reads) == pytest.approx(35.0, abs=0.6)


def test_an_action_redraws_only_what_it_names():
    """After the screw was turned the set pressure is new and wider; everything else stays the same car."""
    before = draw(Car({"target-pressure": 3e5}), 256)
    after = draw(Car({"target-pressure": 3e5}), 256, (frozenset(), frozenset({"set pressure"})))
    later = draw(Car({"target-pressure": 3e5}), 256, (frozenset(), frozenset({"set pressure"}), frozenset()))
    assert not np.array_equal(before["set pressure"], after["set pressure"])
    assert np.std(after["set pressure"]) > 2 * np.std(before["set pressure"])
    assert np.array_equal(after["set pressure"], later["set pressure"])
    same = set(PARAMETERS) - {"set pressure", "screw out pressure", "screw in pressure"}
    assert all(np.array_equal(before[name], after[name]) for name in same)


def test_screw_limits_enclose_the_setting():
    """However drawn, screw out is never above the setting and screw in never below."""
    for redraws in ((frozenset(),), (frozenset(), frozenset({"set pressure"}))):
        drawn = draw(Car(), 512, redraws)
        assert (drawn["screw out pressure"] <= drawn["set pressure"]).all()
        assert (drawn["screw in pressure"] >= drawn["set pressure"]).all()


@pytest.mark.parametrize(("low", "high", "reads"), [(52, 80, 52.6), (20, 36, 36.6)])
def test_a_target_outside_the_told_range_is_not_reached(low, high, reads):
    """A regulator that cannot be set to 43.5 psi stands at the near end of its range."""
    car = Car({"target-pressure": 43.5 * PSI, "regulator-low": low * PSI, "regulator-high": high * PSI})
    got = solve(draw(car, 512), {"engine": "off", "hose": "off"}, ("true rail pressure",))["true rail pressure"] / PSI
    assert np.median(got) == pytest.approx(reads, abs=0.9)


def test_altitude_lowers_vacuum_and_air():
    """At 3000 m the usual idle vacuum falls by about 9 inHg (standard atmosphere)."""
    low, high = (draw(Car({"altitude": h}), 256)["idle vacuum"] for h in (0.0, 3000.0))
    assert np.median(low - high) / INHG == pytest.approx(9.2, abs=0.3)


def test_alcohol_asks_for_more_fuel():
    """Methanol at the same power takes about 2.1 times the volume of petrol (stoichiometry), here by BSFC."""
    petrol, methanol = (
        np.median(draw(Car({"fuel": f, "engine-power": 2e5}), 256)["full load demand"]) for f in ("petrol", "methanol")
    )
    assert methanol / petrol == pytest.approx(2.0, abs=0.2)


def test_the_middle_car_is_the_median():
    """Medians of the draws and the one car in the middle agree within 3 %."""
    middle, drawn = healthy_middle(Car({"target-pressure": 3e5})), draw(Car({"target-pressure": 3e5}), 1024)
    for name in ("set pressure", "return bore", "pump rated flow", "spring rate", "idle vacuum"):
        assert middle[name] == pytest.approx(np.median(drawn[name]), rel=0.03)


def test_inverse_normal_against_the_standard_library():
    """Source: statistics.NormalDist.inv_cdf of the standard library, to 1e-4."""
    from statistics import NormalDist

    shares = np.linspace(0.001, 0.999, 199)
    theirs = np.array([NormalDist().inv_cdf(float(s)) for s in shares])
    assert inverse_normal(shares) == pytest.approx(theirs, abs=1e-4)


def test_every_number_field_reaches_the_model_or_the_gauge():
    """Each field that is told changes some drawn parameter; the gauge's own two fields speak to the reader."""
    plain = draw(Car(), 64)
    for name, field in FIELDS.items():
        if name in ("gauge-span", "gauge-grade", "target-hose", "pump-place", "wire-length"):
            continue
        value = field.choices[-1] if field.choices else 0.6 * field.low + 0.4 * min(field.high, 2 * field.low + 1.0)
        told = draw(Car({name: value}), 64)
        assert any(not np.array_equal(told[p], plain[p]) for p in PARAMETERS), name
