"""Pipes, bends and holes against a fluid-mechanics library and the worked examples of two handbooks."""

from __future__ import annotations

import math

import numpy as np
import pytest

from diag.fuelsystem.constants import BEND_DIAMETERS, LITRE_PER_HOUR, PSI, TUBE_ROUGHNESS
from diag.fuelsystem.lines import churchill, hole_constant, line_constant, line_terms, minor_constant, reynolds

fluids = pytest.importorskip("fluids")

GALLON = 3.785411784e-3
FOOT = 0.3048


def line_drop(flow, bore, length, density, viscosity, bends=0.0, minor=0.0, roughness=TUBE_ROUGHNESS):
    """Pressure lost in a line, Pa, put together from the pieces that the solver uses."""
    terms = line_terms(bore, length / bore + BEND_DIAMETERS * bends, density, viscosity, roughness)
    return line_constant(flow, minor_constant(minor, bore, density), *terms) * flow**2


def test_churchill_equals_the_library_over_every_regime():
    """Source: fluids 1.3, friction.Churchill_1977, Re 1 to 1e8 and five roughnesses."""
    for roughness in (0.0, 1e-6, 1e-4, 1e-3, 0.02):
        for re in np.logspace(0, 8, 161):
            theirs = fluids.friction.Churchill_1977(Re=re, eD=roughness)
            assert float(churchill(re, roughness)) == pytest.approx(theirs, rel=1e-10)


def test_laminar_flow_follows_64_over_re():
    """Source: Hagen-Poiseuille, f = 64/Re, below the transition."""
    re = np.logspace(0, math.log10(1900), 60)
    assert churchill(re) == pytest.approx(64.0 / re, rel=0.01)


@pytest.mark.filterwarnings("ignore:overflow:RuntimeWarning")  # raised inside the library at the largest Re
def test_turbulent_flow_is_near_colebrook():
    """Source: fluids 1.3, friction.Colebrook; Churchill is known to agree within about 3 %."""
    for re in np.logspace(np.log10(6000), 8, 40):
        for roughness in (0.0, 1.9e-4, 1e-3):
            assert float(churchill(re, roughness)) == pytest.approx(
                fluids.friction.Colebrook(Re=re, eD=roughness), rel=0.03
            )


def test_crane_7_13():
    """Source: Crane TP-410 problem 7.13 as printed: f 0.0230, 9.65 psi (library 65 759 Pa)."""
    flow, bore, density = 2 * GALLON, 52.48e-3, 815.0
    viscosity = 2.7e-6 * density
    drop = float(line_drop(flow, bore, 100 * FOOT, density, viscosity, roughness=4.572e-5))
    assert drop == pytest.approx(66500.0, rel=0.02)


def test_crane_7_1():
    """Source: Crane TP-410 problem 7.1 as printed: Re 100 600, f 0.0179."""
    flow, bore = 0.2 / 60, 52.48e-3
    density, viscosity = 995.6, 7.97e-4
    re = float(reynolds(flow, bore, density, viscosity))
    assert re == pytest.approx(100600, rel=0.01)
    assert float(churchill(re, 0.0)) == pytest.approx(0.0179, rel=0.02)


def test_crane_7_9_laminar_oil():
    """Source: Crane TP-410 problem 7.9 by the library: Re 1675.6, f 0.038195."""
    assert float(churchill(1675.6)) == pytest.approx(0.038195, rel=0.005)


def test_crane_7_23_orifice():
    """Source: Crane TP-410 problem 7.23: 2 in orifice in 4 in pipe, 4.4 inHg, water: 106 gal/min.

    With the printed flow coefficient 0.625 the sharp-hole formula must give the printed flow. The mercury of the
    manometer stands under water, so each inch counts for 12.6/13.6 of an inHg (from memory; only so does 106 follow).
    """
    bore, drop = 2 * 0.0254, 4.4 * 3386.389 * 12.6 / 13.6
    flow = 106 * GALLON / 60
    assert float(hole_constant(bore, 999.0, 0.625)) * flow**2 == pytest.approx(drop, rel=0.015)


def test_white_6_7():
    """Source: White, Fluid Mechanics, example 6.7: Re 128 000, f 0.0225, head loss 117 m (from memory)."""
    flow, bore, density, viscosity = 0.2, 0.2, 900.0, 1e-5 * 900.0
    assert float(reynolds(flow, bore, density, viscosity)) == pytest.approx(128000, rel=0.01)
    assert float(churchill(128000, 0.0013)) == pytest.approx(0.0225, rel=0.02)
    head = float(line_drop(flow, bore, 500.0, density, viscosity, roughness=0.26e-3)) / (density * 9.80665)
    assert head == pytest.approx(117.0, rel=0.02)


FLOWS = (100, 200, 300, 400, 600)
RETURN_KPA = {  # 4 m, four right-angle bends, exit; petrol 740 kg/m3, 0.50 mPa.s
    6.0: (8.57, 29.15, 60.18, 101.04, 210.93),
    7.9: (2.39, 8.07, 16.6, 27.79, 57.75),
    8.6: (1.61, 5.44, 11.18, 18.71, 38.83),
    11.1: (0.5, 1.68, 3.44, 5.74, 11.88),
    14.2: (0.16, 0.54, 1.11, 1.85, 3.83),
}


@pytest.mark.parametrize("bore", sorted(RETURN_KPA))
def test_return_line_table(bore):
    """Source: computed with fluids 1.3 (friction_factor, bend_rounded by Rennels, exit 1.0), 1.5 um tube.

    Printed to 0.01 kPa; the widest line at 100 L/h lies in the transition, where friction formulas part by 5 %.
    """
    ours = line_drop(np.array(FLOWS) * LITRE_PER_HOUR, bore * 1e-3, 4.0, 740.0, 5e-4, bends=4, minor=1.0)
    assert ours / 1e3 == pytest.approx(np.array(RETURN_KPA[bore]), rel=0.035, abs=0.009)


@pytest.mark.parametrize(
    ("density", "viscosity", "expected"),
    [
        (750.0, 0.70e-3, (9.47, 2.62, 9.04, 1.87)),
        (782.0, 1.05e-3, (10.71, 2.97, 10.16, 2.1)),
        (789.4, 1.1938e-3, (11.12, 3.09, 10.53, 2.18)),
        (791.0, 0.5853e-3, (9.51, 2.62, 9.11, 1.88)),
    ],
)
def test_return_line_with_other_fuels(density, viscosity, expected):
    """Source: computed with fluids 1.3 for cold petrol, E85, ethanol and methanol; psi."""
    bore = np.array((6.0, 7.9, 7.9, 11.1)) * 1e-3
    flow = np.array((300, 300, 600, 600)) * LITRE_PER_HOUR
    ours = line_drop(flow, bore, 4.0, density, viscosity, bends=4, minor=1.0) / PSI
    assert ours == pytest.approx(np.array(expected), rel=0.045)


@pytest.mark.parametrize(
    ("bore", "expected"),
    [(6.0, (1.928, 6.494, 13.324, 22.274, 46.218)), (7.9, (0.523, 1.747, 3.565, 5.934, 12.233)),
     (11.1, (0.105, 0.347, 0.704, 1.167, 2.389))],
)  # fmt: skip
def test_straight_pipe_per_metre(bore, expected):
    """Source: computed with fluids 1.3 (Colebrook), kPa per metre."""
    ours = line_drop(np.array(FLOWS) * LITRE_PER_HOUR, bore * 1e-3, 1.0, 740.0, 5e-4) / 1e3
    assert ours == pytest.approx(np.array(expected), rel=0.035)


@pytest.mark.parametrize(
    ("bore", "expected"),
    [(1.5, (35.63, 142.54, 320.71, 570.16)), (2.5, (4.62, 18.47, 41.56, 73.89)), (4.0, (0.7, 2.82, 6.34, 11.28))],
)
def test_sharp_hole_table(bore, expected):
    """Source: dP = rho/2 (Q/(Cd A))^2 with Cd 0.61, petrol 740 kg/m3; psi."""
    ours = hole_constant(bore * 1e-3, 740.0) * (np.array(FLOWS[:4]) * LITRE_PER_HOUR) ** 2 / PSI
    assert ours == pytest.approx(np.array(expected), rel=0.01)


def test_drop_grows_with_the_usual_powers():
    """Source: computed with fluids 1.3 on 7.9 mm: flow to the 1.77, diameter to the -4.6."""
    low, high = (float(line_drop(q * LITRE_PER_HOUR, 7.9e-3, 4.0, 740.0, 5e-4, 4, 1.0)) for q in (200, 400))
    assert math.log(high / low, 2) == pytest.approx(1.77, abs=0.04)
    narrow = float(line_drop(300 * LITRE_PER_HOUR, 6e-3, 4.0, 740.0, 5e-4, 4, 1.0))
    wide = float(line_drop(300 * LITRE_PER_HOUR, 7.9e-3, 4.0, 740.0, 5e-4, 4, 1.0))
    assert math.log(narrow / wide) / math.log(6.0 / 7.9) == pytest.approx(-4.6, abs=0.15)
