"""Fuels and air against a property library, published limits and the standard atmosphere."""

from __future__ import annotations

import pytest

from diag.fuelsystem.constants import HORSEPOWER, INHG, LITRE_PER_HOUR
from diag.fuelsystem.fluids import FUELS, air_pressure, fuel_burnt, vapour_pressure

LB_HP_H = 0.45359237 / (HORSEPOWER * 3600)


@pytest.mark.parametrize("metres", [0, 500, 1000, 1500, 2000, 2500, 3000])
def test_atmosphere_equals_the_library(metres):
    """Source: fluids 1.3, ATMOSPHERE_1976, identical to ISO 2533 below 32 km."""
    fluids = pytest.importorskip("fluids")
    assert float(air_pressure(metres)) == pytest.approx(fluids.ATMOSPHERE_1976(metres).P, rel=2e-5)


@pytest.mark.parametrize(("feet", "drop"), [(1000, 1.07), (3000, 3.1), (5000, 5.02), (8000, 7.69), (10000, 9.34)])
def test_one_inch_per_thousand_feet(feet, drop):
    """Source: standard atmosphere; the shop's rule of one inHg per 1000 ft holds within 7 %."""
    ours = (101325 - float(air_pressure(feet * 0.3048))) / INHG
    assert ours == pytest.approx(drop, abs=0.02)
    assert ours == pytest.approx(feet / 1000, rel=0.075)


@pytest.mark.parametrize("name", ["ethanol", "methanol"])
def test_alcohols_equal_the_property_library(name):
    """Source: CoolProp 8: density and viscosity at 20 C, vapour pressure at 37.8 C and 20 C."""
    props = pytest.importorskip("CoolProp.CoolProp").PropsSI
    fuel, title = FUELS[name], name.capitalize()
    assert fuel.density == pytest.approx(props("D", "T", 293.15, "P", 101325, title), rel=0.003)
    assert fuel.viscosity == pytest.approx(props("V", "T", 293.15, "P", 101325, title), rel=0.01)
    for kelvin in (288.15, 293.15, 298.15, 310.95):
        ours = float(vapour_pressure(fuel.vapour, kelvin, fuel.vapour_slope))
        assert ours == pytest.approx(props("P", "T", kelvin, "Q", 0, title), rel=0.03)


def test_petrol_lies_inside_the_standard():
    """Source: EN 228: 720 to 775 kg/m3 at 15 C, 45 to 90 kPa; AFDC: 0.37 to 0.44 cP at 60 F or 0.5 to 0.6 mm2/s."""
    petrol = FUELS["petrol"]
    assert 720 <= petrol.density <= 775
    assert 45e3 <= petrol.vapour <= 90e3
    assert 0.37e-3 <= petrol.viscosity <= 0.6e-6 * 900


def test_e85_lies_inside_its_standard():
    """Source: ASTM D5798 vapour classes 5.5 to 15 psi; ideal mix 786 kg/m3 at 15 C."""
    e85 = FUELS["E85"]
    assert 5.5 * 6894.757 <= e85.vapour <= 15 * 6894.757
    assert e85.density == pytest.approx(786, rel=0.01)


@pytest.mark.parametrize(
    ("bsfc", "density", "litres"),
    [(0.45, 745, (55, 82, 110, 137, 192)), (0.6, 745, (73, 110, 146, 183, 256)), (0.84, 786, (97, 145, 194, 242, 339)),
     (1.2, 795.7, (137, 205, 274, 342, 479))],
)  # fmt: skip
def test_fuel_demand_table(bsfc, density, litres):
    """Source: horsepower times BSFC over density for petrol, E85 and methanol, L/h rounded to 1."""
    ours = [
        float(fuel_burnt(hp * HORSEPOWER, bsfc * LB_HP_H, density)) / LITRE_PER_HOUR for hp in (200, 300, 400, 500, 700)
    ]
    assert ours == pytest.approx(litres, abs=1.0)


@pytest.mark.parametrize(("name", "times"), [("E10", 1.036), ("E85", 1.412), ("ethanol", 1.522), ("methanol", 2.112)])
def test_volume_at_equal_lambda(name, times):
    """Source: stoichiometry from the formulae, 14.6 for petrol: volume times density times air over fuel is equal."""
    fuel, petrol = FUELS[name], FUELS["petrol"]
    ours = petrol.density * petrol.stoichiometric / (fuel.density * fuel.stoichiometric)
    assert fuel.volume == pytest.approx(times)
    assert ours == pytest.approx(times, rel=0.01)
