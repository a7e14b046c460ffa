"""Our unit factors against a units library, against NIST SP 811 and against the wire and hose standards."""

from __future__ import annotations

import math

import pint
import pytest

from diag.quantities import KINDS, from_unit, parse, show, to_unit, units_of

UREG = pint.UnitRegistry()

# Our kind and unit, the same unit in the words of Pint. Source: Pint's unit registry (0.25).
PINT = [
    ("pressure", "psi", "psi"),
    ("pressure", "bar", "bar"),
    ("pressure", "kPa", "kPa"),
    ("pressure", "MPa", "MPa"),
    ("pressure", "Pa", "Pa"),
    ("pressure", "hPa", "hPa"),
    ("pressure", "mbar", "mbar"),
    ("pressure", "kgf/cm2", "kgf/cm**2"),
    ("pressure", "inHg", "inHg"),
    ("pressure", "mmHg", "mmHg"),
    ("pressure", "cmHg", "cmHg"),
    ("pressure", "atm", "atm"),
    ("length", "mm", "mm"),
    ("length", "cm", "cm"),
    ("length", "m", "m"),
    ("length", "km", "km"),
    ("length", "in", "inch"),
    ("length", "ft", "foot"),
    ("length", "thou", "thou"),
    ("length", "um", "micrometer"),
    ("length", "yd", "yard"),
    ("time", "s", "s"),
    ("time", "min", "min"),
    ("time", "h", "hour"),
    ("time", "ms", "ms"),
    ("time", "days", "day"),
    ("volume", "L", "liter"),
    ("volume", "ml", "ml"),
    ("volume", "m3", "m**3"),
    ("volume", "mm3", "mm**3"),
    ("volume", "US gal", "gallon"),
    ("volume", "imp gal", "imperial_gallon"),
    ("volume", "US qt", "quart"),
    ("volume", "imp qt", "imperial_quart"),
    ("volume", "US pint", "pint"),
    ("volume", "imp pint", "imperial_pint"),
    ("volume", "US cup", "cup"),
    ("volume", "US fl oz", "fluid_ounce"),
    ("volume", "imp fl oz", "imperial_fluid_ounce"),
    ("flow", "L/h", "liter/hour"),
    ("flow", "L/min", "liter/minute"),
    ("flow", "L/s", "liter/second"),
    ("flow", "cc/min", "cm**3/minute"),
    ("flow", "ml/s", "ml/second"),
    ("flow", "ml/h", "ml/hour"),
    ("flow", "gph", "gallon/hour"),
    ("flow", "imp gph", "imperial_gallon/hour"),
    ("flow", "gpm", "gallon/minute"),
    ("flow", "m3/h", "m**3/hour"),
    ("flow", "m3/s", "m**3/second"),
    ("mass flow", "kg/h", "kg/hour"),
    ("mass flow", "lb/h", "pound/hour"),
    ("mass flow", "g/s", "g/s"),
    ("mass flow", "g/min", "g/min"),
    ("mass flow", "kg/s", "kg/s"),
    ("voltage", "V", "volt"),
    ("voltage", "mV", "millivolt"),
    ("voltage", "kV", "kilovolt"),
    ("current", "A", "ampere"),
    ("current", "mA", "milliampere"),
    ("resistance", "ohm", "ohm"),
    ("resistance", "milliohm", "milliohm"),
    ("resistance", "kilohm", "kiloohm"),
    ("resistance", "megohm", "megaohm"),
    ("power", "hp", "horsepower"),
    ("power", "kW", "kilowatt"),
    ("power", "PS", "metric_horsepower"),
    ("power", "W", "watt"),
    ("area", "mm2", "mm**2"),
    ("area", "cm2", "cm**2"),
    ("area", "m2", "m**2"),
    ("area", "in2", "inch**2"),
    ("wire", "mm2", "mm**2"),
    ("wire", "m2", "m**2"),
    ("temperature difference", "K", "kelvin"),
    ("density", "kg/m3", "kg/m**3"),
    ("density", "kg/L", "kg/liter"),
    ("density", "lb/US gal", "pound/gallon"),
    ("viscosity", "mPa s", "mPa*s"),
    ("viscosity", "Pa s", "Pa*s"),
    ("stiffness", "N/mm", "N/mm"),
    ("stiffness", "N/m", "N/m"),
    ("stiffness", "lbf/in", "lbf/inch"),
    ("compliance", "cc/bar", "cm**3/bar"),
    ("compliance", "cc/psi", "cm**3/psi"),
    ("compliance", "mm3/kPa", "mm**3/kPa"),
    ("compliance", "m3/Pa", "m**3/Pa"),
    ("speed", "rps", "revolution/second"),
]
SI = {
    "pressure": "Pa",
    "length": "m",
    "time": "s",
    "volume": "m**3",
    "flow": "m**3/s",
    "mass flow": "kg/s",
    "voltage": "V",
    "current": "A",
    "resistance": "ohm",
    "power": "W",
    "temperature difference": "kelvin",
    "area": "m**2",
    "wire": "m**2",
    "density": "kg/m**3",
    "viscosity": "Pa*s",
    "stiffness": "N/m",
    "compliance": "m**3/Pa",
    "speed": "rpm",
}


@pytest.mark.parametrize(("kind", "unit", "theirs"), PINT)
def test_factors_agree_with_the_units_library(kind: str, unit: str, theirs: str) -> None:
    """One of each unit is the same in SI as Pint says, to eight figures; Pint rounds mercury in the ninth."""
    wanted = UREG.Quantity(1.0, theirs).to(SI[kind]).magnitude
    assert from_unit(1.0, kind, unit) == pytest.approx(wanted, rel=1e-8)


def test_no_unit_is_left_unchecked() -> None:
    """Every unit of every kind is compared with the library, except those named here with another check."""
    checked = {(kind, unit) for kind, unit, _ in PINT}
    same_table = {"vacuum": "pressure", "absolute pressure": "pressure", "bore": "length", "altitude": "length"}
    elsewhere = {("pressure", "inH2O"), ("pressure", "mmH2O"), ("speed", "rpm"), ("count", "off")}
    for kind in KINDS:
        if kind in ("temperature", "fraction", "percent", "ratio"):
            continue
        table = same_table.get(kind, kind)
        for unit in units_of(kind):
            assert (table, unit) in checked | elsewhere, (kind, unit)


@pytest.mark.parametrize(("celsius", "text"), [(20.0, "68 F"), (-40.0, "-40 F"), (100.0, "212 F"), (37.8, "100.04 F")])
def test_temperatures_agree_with_the_units_library(celsius: float, text: str) -> None:
    """Fahrenheit and Celsius give the same kelvins as Pint."""
    wanted = UREG.Quantity(celsius, "degC").to("kelvin").magnitude
    assert from_unit(celsius, "temperature", "C") == pytest.approx(wanted, abs=1e-9)
    assert parse(text, "temperature").value == pytest.approx(wanted, abs=1e-6)
    fahrenheit = UREG.Quantity(float(text.split()[0]), "degF").to("kelvin").magnitude
    assert parse(text, "temperature").value == pytest.approx(fahrenheit, abs=1e-9)


# NIST Special Publication 811, appendix B.8, factors to SI. The figures are from memory, the document was not opened;
# conventional mercury and water columns are the ones SP 811 marks as such.
NIST = [
    ("pressure", "psi", 6.894757e3),
    ("pressure", "bar", 1.0e5),
    ("pressure", "atm", 1.01325e5),
    ("pressure", "inHg", 3.386389e3),
    ("pressure", "mmHg", 1.333224e2),
    ("pressure", "inH2O", 2.490889e2),
    ("pressure", "mmH2O", 9.80665),
    ("pressure", "kgf/cm2", 9.80665e4),
    ("length", "in", 2.54e-2),
    ("length", "ft", 3.048e-1),
    ("length", "thou", 2.54e-5),
    ("volume", "US gal", 3.785412e-3),
    ("volume", "imp gal", 4.54609e-3),
    ("volume", "US pint", 4.731765e-4),
    ("volume", "US qt", 9.463529e-4),
    ("volume", "US fl oz", 2.957353e-5),
    ("flow", "gpm", 6.309020e-5),
    ("mass flow", "lb/h", 1.259979e-4),
    ("power", "hp", 7.456999e2),
    ("power", "PS", 7.354988e2),
    ("stiffness", "lbf/in", 1.751268e2),
]


@pytest.mark.parametrize(("kind", "unit", "factor"), NIST)
def test_factors_agree_with_nist_sp_811(kind: str, unit: str, factor: float) -> None:
    """One of each unit equals the factor of NIST SP 811, B.8 (from memory), to its seven figures."""
    last_figure = 10.0 ** (math.floor(math.log10(factor)) - 6)
    assert from_unit(1.0, kind, unit) == pytest.approx(factor, rel=0, abs=0.5 * last_figure)


# Diameter in mm and area in mm2 of the ASTM B258 table as widely reprinted; the figures are from memory.
AWG = [("4/0 AWG", 11.684, 107.0), ("1/0 AWG", 8.251, 53.5), ("8 AWG", 3.264, 8.37), ("10 AWG", 2.588, 5.26)]
AWG += [("12 AWG", 2.053, 3.31), ("14 AWG", 1.628, 2.08), ("16 AWG", 1.291, 1.31), ("18 AWG", 1.024, 0.823)]
AWG += [("20 AWG", 0.812, 0.518), ("36 AWG", 0.127, 0.01267)]


@pytest.mark.parametrize(("text", "diameter", "area"), AWG)
def test_wire_gauges_agree_with_the_table(text: str, diameter: float, area: float) -> None:
    """American wire gauges give the diameters and areas of the ASTM B258 table (figures from memory)."""
    amount = parse(text, "wire")
    assert amount.value * 1e6 == pytest.approx(area, rel=3e-3)
    assert math.sqrt(amount.value * 4 / math.pi) * 1e3 == pytest.approx(diameter, rel=1e-3)


def test_wire_gauge_definition() -> None:
    """36 AWG is 0.0050 in, 4/0 AWG 0.4600 in, 39 equal ratios between: the definition in ASTM B258."""
    inch = [math.sqrt(parse(text, "wire").value * 4 / math.pi) / 0.0254 for text in ("36 AWG", "0000 AWG")]
    assert inch == pytest.approx([0.005, 0.46], rel=1e-12)
    ratio = parse("17 AWG", "wire").value / parse("16 AWG", "wire").value
    assert ratio == pytest.approx(92.0 ** (-2 / 39), rel=1e-12)


@pytest.mark.parametrize("number", [4, 6, 8, 10, 12, 16])
def test_dash_numbers_are_sixteenths_of_an_inch(number: int) -> None:
    """A dash number counts sixteenths of an inch: outside diameter of tube, bore of hose named so.

    Source: SAE J1926-4 and SAE J517 dash numbering as quoted by a public fittings handbook.
    """
    named = parse(f"dash {number} rubber hose", "bore").value
    assert named == pytest.approx(number / 16 * 0.0254, rel=0.012)  # standard mm sizes are rounded to 0.1 mm
    tube = parse(f"dash {number} tube", "bore")
    assert tube.high < number / 16 * 0.0254
    amount = parse(f"dash {number}", "bore")
    assert amount.low < amount.value < amount.high
    assert amount.high == pytest.approx(named)


@pytest.mark.parametrize(
    ("text", "bore_mm"), [("5/16 in tube", 6.16), ("3/8 in tube", 7.75), ("1/2 in tube", 10.92), ("5/16 in hose", 7.94)]
)
def test_tube_is_measured_outside_and_hose_inside(text: str, bore_mm: float) -> None:
    """Bore of a tube = outside diameter - 2 x 0.035 in wall (arithmetic; walls from memory); of a hose its name."""
    assert parse(text, "bore").value * 1e3 == pytest.approx(bore_mm, abs=0.02)


@pytest.mark.parametrize(
    ("text", "litres_an_hour"),
    [
        ("1 US pint in 30 s", 56.78117676),
        ("1 imp pint in 30 s", 68.19135),
        ("1 gph", 3.785411784),
        ("1 imp gph", 4.54609),
        ("1 cc/min", 0.06),
    ],
)
def test_flows_agree_with_the_units_library(text: str, litres_an_hour: float) -> None:
    """A pint in thirty seconds and the like, in L/h. Source: Pint, computed for the fact table."""
    assert to_unit(parse(text, "flow").value, "flow", "L/h") == pytest.approx(litres_an_hour, rel=1e-8)


@pytest.mark.parametrize(
    ("density", "cc_a_minute"), [(720, 10.50), (742.5, 10.182), (745, 10.147), (750, 10.080), (755, 10.013)]
)
def test_pounds_an_hour_depend_on_the_fuel(density: float, cc_a_minute: float) -> None:
    """One lb/h is 453.59237 / (60 x density in kg/L) cc/min, by Pint's pound.

    The trade's 10.5 cc/min stands for 0.720 kg/L: common practice, no source.
    """
    flow = parse("1 lb/h", "flow", density=density).value
    assert to_unit(flow, "flow", "cc/min") == pytest.approx(cc_a_minute, abs=0.001)


def test_the_trade_pairs_of_pressure() -> None:
    """3 bar is 43.5 psi and 20 inHg is 9.82 psi. Source: Pint; the pair is common practice too."""
    assert show(parse("3 bar", "pressure").value, "pressure", "psi") == "43.5 psi"
    assert to_unit(parse("20 inHg", "vacuum").value, "vacuum", "psi") == pytest.approx(
        UREG.Quantity(20, "inHg").to("psi").magnitude, rel=1e-8
    )
