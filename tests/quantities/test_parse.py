from __future__ import annotations

import math

import pytest

from diag.quantities import Amount, parse
from diag.support.errors import QuantityError, UnknownNameError

PSI = 6894.757293168361


def near(value: float) -> object:
    return pytest.approx(value, rel=1e-9, abs=1e-15)


# Text, kind, unit of the case, SI value, how it was understood.
PLAIN = [
    ("43.5", "pressure", "psi", 43.5 * PSI, "43.5 psi (unit taken from the case)"),
    ("43,5", "pressure", "psi", 43.5 * PSI, "43.5 psi (unit taken from the case)"),
    (" 43.5psi ", "pressure", "psi", 43.5 * PSI, "43.5 psi"),
    ("43.5 PSI", "pressure", "bar", 43.5 * PSI, "43.5 psi, which is 3 bar"),
    ("3 bar", "pressure", "psi", 3e5, "3 bar, which is 43.5 psi"),
    ("3", "pressure", "bar", 3e5, "3 bar (unit taken from the case)"),
    ("43.5", "pressure", "", 43.5 * PSI, "43.5 psi (the usual unit)"),
    ("0.3 MPa", "pressure", "bar", 3e5, "0.3 MPa, which is 3 bar"),
    ("0.3 mpa", "pressure", "bar", 3e5, "0.3 MPa, which is 3 bar"),
    ("3 kgf/cm²", "pressure", "bar", 294199.5, "3 kgf/cm2, which is 2.94 bar"),
    ("40 lbs", "pressure", "psi", 40 * PSI, "40 psi"),
    ("½ bar", "pressure", "bar", 5e4, "0.5 bar"),
    ("1½ bar", "pressure", "bar", 1.5e5, "1.5 bar"),
    ("5 psi vacuum", "pressure", "psi", -5 * PSI, "5 psi below atmosphere"),
    ("−5 psi", "pressure", "psi", -5 * PSI, "-5 psi"),
    ("10 psi boost", "pressure", "psi", 10 * PSI, "10 psi"),
    ("43 psig", "pressure", "psi", 43 * PSI, "43 psi"),
    ("1,000 kPa", "pressure", "kPa", 1e6, "1000 kPa"),
    ("1.000,5 kPa", "pressure", "kPa", 1000500.0, "1000.5 kPa"),
    ("1 000 kPa", "pressure", "kPa", 1e6, "1000 kPa"),
    ("٤٣", "pressure", "psi", 43 * PSI, "43 psi (unit taken from the case)"),
    ("five", "pressure", "psi", 5 * PSI, "5 psi (unit taken from the case)"),
    ("20 in Hg vac", "pressure", "psi", -67727.77280682, "20 inHg below atmosphere, which is -9.82 psi"),
    ("20 ins", "vacuum", "inHg", 67727.77280682, "20 inHg"),
    ("8 x 1 mm", "bore", "mm", 0.006, "tube of 8 mm outside with a 1 mm wall, bore 6 mm"),
    ("3/8 in fuel hose", "bore", "mm", 0.009525, "3/8 in inside"),
    ("80 litres an hour", "flow", "L/h", 0.08 / 3600, "80 L/h"),
    ("40 imp gallons per hour", "flow", "L/h", 40 * 4.54609e-3 / 3600, "40 imperial gallons an hour, which is 182 L/h"),
    ("5m", "time", "min", 300.0, "5 min"),
    ("sea level", "altitude", "m", 0.0, "sea level"),
    ("1/4 tank", "fraction", "", 0.25, "0.25"),
    ("70 degrees F", "temperature", "F", (70 - 32) * 5 / 9 + 273.15, "70 F"),
    ("0", "pressure", "psi", 0.0, "0 psi (unit taken from the case)"),
    ("20 inHg", "vacuum", "inHg", 67727.77280682, "20 inHg"),
    ('20"', "vacuum", "inHg", 67727.77280682, "20 inHg"),
    ("20 inches", "vacuum", "inHg", 67727.77280682, "20 inHg"),
    ("-20 inHg", "vacuum", "inHg", 67727.77280682, "20 inHg below atmosphere"),
    ("500 mmHg", "vacuum", "inHg", 66661.1937075, "500 mmHg, which is 19.7 inHg"),
    ("101 kPa", "absolute pressure", "kPa", 101000.0, "101 kPa"),
    ("6 ft", "length", "m", 1.8288, "6 ft, which is 1.83 m"),
    ("5 ft 6 in", "length", "m", 1.6764, "5 ft 6 in, which is 1.68 m"),
    ("5' 6\"", "length", "m", 1.6764, "5 ft 6 in, which is 1.68 m"),
    ("1000 ft", "altitude", "m", 304.8, "1000 ft, which is 305 m"),
    ("-100", "altitude", "m", -100.0, "-100 m (unit taken from the case)"),
    ("6", "bore", "mm", 0.006, "6 mm (unit taken from the case)"),
    ("3/8 in", "bore", "mm", 0.009525, "0.375 in"),
    ("3/8", "bore", "mm", 0.009525, "3/8 in (a fraction is taken as inches), which is 9.52 mm"),
    ("1 1/4 in", "bore", "mm", 0.03175, "1.25 in"),
    ("60 thou", "bore", "mm", 0.001524, "60 thou"),
    ("0.5 mm", "bore", "mm", 0.0005, "0.5 mm"),
    ("8 mm OD", "bore", "mm", 0.006, "8 mm outside, bore taken as 6.0 mm with a 1 mm wall"),
    ("8 mm ID", "bore", "mm", 0.008, "8 mm inside"),
    ("dash 8 PTFE", "bore", "mm", 0.0103, "dash 8 plastic-lined hose, bore taken as 10.3 mm"),
    ("600 L/h", "flow", "L/h", 1 / 6000, "600 L/h"),
    ("1,000 cc/min", "flow", "L/h", 1e-3 / 60, "1000 cc/min, which is 60 L/h"),
    ("160 gph", "flow", "L/h", 160 * 3.785411784e-3 / 3600, "160 US gallons an hour, which is 606 L/h"),
    ("500 lb/h", "flow", "L/h", 500 * 0.45359237 / 3600 / 740, "500 lb/h at 740 kg/m3, which is 306 L/h"),
    ("a pint in 30 s", "flow", "L/h", 4.73176473e-4 / 30, "1 US pint in 30 s, which is 56.8 L/h"),
    ("30 s for a pint", "flow", "L/h", 4.73176473e-4 / 30, "1 US pint in 30 s, which is 56.8 L/h"),
    ("half a litre in 15 s", "flow", "L/h", 1 / 30000, "0.5 L in 15 s, which is 120 L/h"),
    ("600 cc in a minute", "flow", "L/h", 1e-5, "600 ml in 1 min, which is 36 L/h"),
    ("13,5 V", "voltage", "V", 13.5, "13.5 V"),
    ("300 mV", "voltage", "V", 0.3, "300 mV, which is 0.3 V"),
    ("8 amps", "current", "A", 8.0, "8 A"),
    ("50 mohm", "resistance", "ohm", 0.05, "50 milliohm, which is 0.05 ohm"),
    ("50 Mohm", "resistance", "ohm", 5e7, "50 megohm"),
    ("5 Ω", "resistance", "ohm", 5.0, "5 ohm"),
    ("5 min", "time", "s", 300.0, "5 min, which is 300 s"),
    ("1 min 30 s", "time", "s", 90.0, "1 min 30 s"),
    ("1:30", "time", "s", 90.0, "1 min 30 s"),
    ("half a minute", "time", "s", 30.0, "0.5 min, which is 30 s"),
    ("68 F", "temperature", "C", 293.15, "68 F, which is 20 C"),
    ("20º", "temperature", "C", 293.15, "20 C (unit taken from the case)"),
    ("300 hp", "power", "hp", 300 * 745.69987158227, "300 mechanical horsepower"),
    ("300 PS", "power", "hp", 300 * 735.49875, "300 metric horsepower, which is 296 hp"),
    ("4 injectors", "count", "", 4.0, "4"),
    ("25 %", "fraction", "", 0.25, "25 %, which is 0.25"),
    ("half", "fraction", "", 0.5, "half"),
    ("3/4 full", "fraction", "", 0.75, "3/4 full"),
    ("25", "percent", "%", 0.25, "25 % (unit taken from the case)"),
    ("2.5 mm²", "wire", "mm2", 2.5e-6, "2.5 mm2"),
    ("28/0.30", "wire", "mm2", 28 * math.pi / 4 * 9e-8, "28 strands of 0.3 mm, 1.98 mm2"),
    (
        "16 gauge",
        "wire",
        "mm2",
        math.pi / 4 * (0.127e-3 * 92 ** (20 / 39)) ** 2,
        "16 AWG (American wire gauge), 1.31 mm2",
    ),
    ("6,500 rpm", "speed", "rpm", 6500.0, "6500 rpm"),
    ("1:1", "ratio", "", 1.0, "1 to 1"),
    ("0.74 kg/L", "density", "", 740.0, "0.74 kg/L, which is 740 kg/m3"),
]


@pytest.mark.parametrize(("text", "kind", "unit", "value", "understood"), PLAIN)
def test_plain_values(text: str, kind: str, unit: str, value: float, understood: str) -> None:
    """Values as people say them, in SI, and the words that show how each was read."""
    amount = parse(text, kind, unit)
    assert amount.value == pytest.approx(value, rel=2e-6, abs=1e-12)
    assert amount.low == amount.value == amount.high
    assert amount.bound == ""
    assert amount.understood == understood


@pytest.mark.parametrize(
    ("text", "low", "high"),
    [
        ("38 to 44", 38, 44),
        ("38-44", 38, 44),
        ("38 – 44 psi", 38, 44),
        ("44 to 38", 38, 44),
        ("between 38 and 44 psi", 38, 44),
        ("from 38 psi to 44 psi", 38, 44),
        ("38..44", 38, 44),
        ("40 or 42", 40, 42),
        ("41 ± 3 psi", 38, 44),
        ("40 psi +/- 5%", 38, 42),
        ("about 40", 38, 42),
        ("~40", 38, 42),
        ("40ish", 38, 42),
        ("approx. 40 psi", 38, 42),
        ("40 or so", 38, 42),
        ("about 0", -0.5, 0.5),
        ("-5 to -3", -5, -3),
        ("-5--3", -5, -3),
    ],
)
def test_intervals(text: str, low: float, high: float) -> None:
    """Two ends, a tolerance or "about" give an interval around its middle; "about" is five per cent each way."""
    amount = parse(text, "pressure", "psi")
    assert (amount.low / PSI, amount.high / PSI) == (near(low), near(high))
    assert amount.value == near((amount.low + amount.high) / 2)
    assert amount.bound == ""


def test_an_interval_may_mix_units() -> None:
    """Each end may have its own unit."""
    amount = parse("40 psi to 3 bar", "pressure", "psi")
    assert (amount.low, amount.high) == (near(40 * PSI), near(3e5))
    assert amount.understood == "40 psi to 3 bar, which is 41.8 psi"


@pytest.mark.parametrize(
    ("text", "bound", "value"),
    [
        ("over 100 psi", "above", 100),
        ("> 100", "above", 100),
        (">=100", "above", 100),
        ("100+ psi", "above", 100),
        ("100 psi+", "above", 100),
        ("100 psi or more", "above", 100),
        ("at least 36", "above", 36),
        ("pegged at 100 psi", "above", 100),
        ("under 5", "below", 5),
        ("<5 psi", "below", 5),
        ("less than 5 psi", "below", 5),
        ("5 psi or less", "below", 5),
        ("up to 5", "below", 5),
        ("60 max", "below", 60),
        ("max 60 psi", "below", 60),
    ],
)
def test_bounds(text: str, bound: str, value: float) -> None:
    """A limit is kept as a limit, with the value in all three places."""
    amount = parse(text, "pressure", "psi")
    assert (amount.bound, amount.value / PSI) == (bound, near(value))
    assert amount.low == amount.high == amount.value
    assert amount.understood.startswith(bound)


def test_pegged_needs_the_end_of_the_scale() -> None:
    """ "Pegged" alone is refused until the gauge's span is known; at zero it is a plain zero."""
    with pytest.raises(QuantityError, match=r"does not say where the scale ends\. Type it like over 43\.5 psi"):
        parse("pegged", "pressure", "psi")
    amount = parse("pegged", "pressure", "psi", full_scale=100 * PSI)
    assert (amount.bound, amount.value) == ("above", near(100 * PSI))
    assert amount.understood == "past the end of the scale: above 100 psi"
    assert parse("pegged at 0", "pressure", "psi").bound == ""


def test_a_limit_below_atmosphere_turns_round() -> None:
    """More than 20 inHg of vacuum is a gauge pressure below minus 20 inHg; as a vacuum it stays above."""
    assert parse("over 20 inHg vacuum", "pressure", "psi").bound == "below"
    assert parse("over 20 inHg", "vacuum", "inHg").bound == "above"
    assert parse("over 35 kPa abs", "vacuum", "inHg").bound == "below"
    assert parse("over 20 inHg vacuum", "absolute pressure", "kPa").bound == "below"


@pytest.mark.parametrize("text", ["58.2 psia", "58.2 psi abs", "58.2 psi absolute", "58.2 psi(a)", "58.2 PSIA"])
def test_absolute_marks_are_taken_off(text: str) -> None:
    """An absolute pressure becomes a gauge pressure by the air's pressure, and the words say so."""
    amount = parse(text, "pressure", "psi")
    assert amount.value == near(58.2 * PSI - 101325)
    assert "absolute, with the air at 101 kPa" in amount.understood
    high = parse(text, "pressure", "psi", atmosphere=84_000)
    assert high.value == near(58.2 * PSI - 84_000)


@pytest.mark.parametrize(
    ("text", "value"), [("4 bar abs", 4e5), ("4 bara", 4e5), ("400 kPa abs", 4e5), ("400 kPa(a)", 4e5)]
)
def test_other_absolute_marks(text: str, value: float) -> None:
    """bar and kPa have absolute marks too."""
    assert parse(text, "pressure", "bar").value == near(value - 101325)


def test_the_three_pressures_turn_into_each_other() -> None:
    """35 kPa absolute, the vacuum below the air and the negative gauge pressure are one state."""
    assert parse("35 kPa abs", "vacuum").value == near(66325)
    assert parse("35 kPa abs", "pressure").value == near(-66325)
    assert parse("66.325 kPa vacuum", "absolute pressure").value == near(35000)
    assert parse("0 psig", "absolute pressure").value == near(101325)


def test_inches_of_mercury_as_a_pressure_say_which_side() -> None:
    """Without the word vacuum, inHg where a pressure is asked for is taken above atmosphere, and the words say it."""
    amount = parse("20 inHg", "pressure", "psi")
    assert amount.value > 0
    assert "above atmosphere (for below write 20 inHg vacuum)" in amount.understood


@pytest.mark.parametrize("text", ["dash 6", "-6", "Dash-6", "AN6", "6AN", "-6 AN", "AN-6", "#6", "dash 6 hose"])
def test_dash_sizes_say_which_bore_was_taken(text: str) -> None:
    """A dash size has no single bore: the braided hose is taken, the interval spans the families, the words say it."""
    amount = parse(text, "bore", "mm")
    assert (amount.low, amount.value, amount.high) == (near(0.0079), near(0.0087), near(0.0095))
    assert amount.understood.startswith("dash 6: bore taken as 8.7 mm (braided hose), could be 7.9 to 9.5 mm")


def test_two_dash_sizes_span_both() -> None:
    """Minus six to minus eight reaches from the smallest bore of the one to the largest of the other."""
    amount = parse("-6 to -8", "bore", "mm")
    assert (amount.low, amount.high) == (near(0.0079), near(0.0127))


def test_about_may_stand_before_the_time() -> None:
    """A pint in about 30 s is as vague as about a pint in 30 s."""
    assert parse("1 pint in about 30 s", "flow").low == near(parse("about 1 pint in 30 s", "flow").low)


def test_tube_has_a_wall() -> None:
    """A tube is named by its outside: the bore has an interval from thick to thin wall."""
    amount = parse("3/8 in tube", "bore", "mm")
    assert amount.low < amount.value < amount.high < 0.009525
    assert "outside, bore taken as 7.7 mm with a 0.035 in wall" in amount.understood


def test_caught_flow_may_be_an_interval() -> None:
    """25 to 30 seconds for a pint: the middle time gives the value, the ends the interval."""
    amount = parse("1 pint in 25 to 30 s", "flow", "L/h")
    assert amount.low == near(4.73176473e-4 / 30)
    assert amount.high == near(4.73176473e-4 / 25)
    assert amount.value == near(4.73176473e-4 / 27.5)


def test_imperial_measures_when_the_case_says_so() -> None:
    """With imperial set, a bare pint or gph is imperial, and a US one stays US."""
    assert parse("1 pint in 30 s", "flow", imperial=True).understood.startswith("1 imperial pint in 30 s")
    assert parse("1 US pint in 30 s", "flow", imperial=True).understood.startswith("1 US pint in 30 s")
    assert parse("160 gph", "flow", imperial=True).value == near(160 * 4.54609e-3 / 3600)
    assert parse("1 pint", "volume", imperial=True).value == near(4.54609e-3 / 8)


def test_mass_and_volume_flow_are_joined_by_the_density() -> None:
    """lb/h as a volume flow uses the fuel's density, and L/h as a mass flow too."""
    assert parse("500 lb/h", "flow", density=790).value == near(500 * 0.45359237 / 3600 / 790)
    assert parse("600 L/h", "mass flow").value == near(600e-3 / 3600 * 740)


def test_an_open_meter_is_a_bound() -> None:
    """OL on the meter is a resistance above a megohm."""
    amount = parse("OL", "resistance", "ohm")
    assert (amount.bound, amount.value) == ("above", 1e6)


def test_temperature_spread_is_in_degrees() -> None:
    """About 20 C reaches one degree each way, not five per cent of 293 K."""
    amount = parse("about 20", "temperature", "C")
    assert (amount.low, amount.high) == (near(292.15), near(294.15))


def test_the_amount_keeps_the_text() -> None:
    """The typed text is kept as typed, on one line."""
    amount = parse(" 43.5  psi", "pressure")
    assert isinstance(amount, Amount)
    assert (amount.text, amount.unit) == ("43.5 psi", "psi")


# Text, kind, unit, what the message says.
REFUSED = [
    ("", "pressure", "psi", "Nothing was typed for a pressure. Type it like 43.5 psi."),
    ("  ", "flow", "", "Nothing was typed for a flow."),
    ("hello", "pressure", "psi", "'hello' is not a pressure. Type it like 43.5 psi."),
    ("nan", "pressure", "psi", "'nan' is not a pressure."),
    ("inf", "pressure", "psi", "'inf' is not a pressure."),
    ("1e400 psi", "pressure", "psi", "cannot be right for a pressure"),
    ("1e9 psi", "pressure", "psi", "cannot be right for a pressure here (-14.7 psi to 363 psi). Check the number"),
    (
        "5 ft",
        "pressure",
        "psi",
        "'5 ft' is a length, not a pressure. Type it like 43.5 psi; units known here: psi, bar",
    ),
    ("over 5 ft", "pressure", "psi", "is a length, not a pressure"),
    ("12 bar", "length", "m", "'12 bar' is a pressure, not a length."),
    ("43 psi", "flow", "L/h", "'43 psi' is a pressure, not a flow."),
    ("43.5 pis", "pressure", "psi", "'pis' is not a unit of pressure. Did you mean psi?"),
    ("31 inHg", "vacuum", "inHg", "'31 inHg' is deeper than the air is heavy (29.9 inHg)."),
    ("5 psi boost", "vacuum", "inHg", "is above atmosphere, so it is no vacuum."),
    ("-5 kPa", "absolute pressure", "kPa", "an absolute pressure cannot be negative"),
    ("-30 psi", "pressure", "psi", "is deeper than a perfect vacuum"),
    ("-6 mm", "bore", "mm", "cannot be right for a bore here (0 mm to 100 mm)"),
    ("dash 7", "bore", "mm", "No bore is known for dash 7. Known are dash 4, 6, 8, 10, 12, 16"),
    ("1 mm OD", "bore", "mm", "too thin for a fuel tube"),
    ("1,234 kPa", "pressure", "kPa", "'1,234 kPa' can be read in two ways. Type 1234 or 1.234."),
    ("40/45", "pressure", "psi", "'40/45' is not a pressure"),
    ("43.5psi at idle", "pressure", "psi", "holds more than a value. Type the value alone, like 43.5 psi."),
    ("2 x 1.5", "wire", "mm2", "is not a unit of wire"),
    ("6 x 3", "bore", "mm", "leaves no bore"),
    ("1.2.3", "pressure", "psi", "'1.2.3' is not a pressure"),
    ("1,2,3", "pressure", "psi", "'1,2,3' is not a pressure"),
    ("3/0", "bore", "mm", "'3/0' is not a bore"),
    ("50 MOHM", "resistance", "ohm", "Did you mean milliohm or megohm?"),
    ("4.5", "count", "", "'4.5' is not a whole number."),
    ("4 psi", "count", "", "'4 psi' is a pressure, not a count."),
    ("25", "fraction", "", "Did you mean 25 %?"),
    ("150 %", "fraction", "", "cannot be right for a share here (0 to 1)"),
    ("-200 C", "temperature", "C", "cannot be right for a temperature here (-70 C to 1000 C)"),
    ("1:0", "ratio", "", "divides by zero"),
    ("1 pint in 0 s", "flow", "L/h", "is not a flow. Type the volume and the time"),
    ("?", "pressure", "psi", "is no value. Leave it empty when it is not known"),
    ("don't know", "pressure", "psi", "is no value."),
    ("\x1b[31m40", "pressure", "psi", "There is a control character U+001B (escape) in this value."),
    ("4" * 81, "pressure", "psi", "This is too long for a pressure."),
    ("16 SWG", "wire", "mm2", "'SWG' is not a unit of wire"),
    ("about", "pressure", "psi", "'about' is not a pressure"),
    ("38 to", "pressure", "psi", "not a unit of pressure"),
    ("over", "pressure", "psi", "'over' is not a pressure"),
]


@pytest.mark.parametrize(("text", "kind", "unit", "message"), REFUSED)
def test_refusals_are_one_clear_line(text: str, kind: str, unit: str, message: str) -> None:
    """What cannot be understood or cannot be true is asked back: field, what is wrong, what to type instead."""
    with pytest.raises(QuantityError) as caught:
        parse(text, kind, unit, where="Rail pressure")
    line = caught.value.one_line()
    assert line.startswith("Rail pressure: ")
    assert message in line
    assert "\n" not in line
    assert caught.value.hint


def test_unknown_kinds_and_units_are_the_rule_books_mistake() -> None:
    """A kind or default unit that does not exist names the nearest known one."""
    with pytest.raises(UnknownNameError, match=r"no kind of quantity called 'presure'\. Did you mean pressure"):
        parse("1", "presure")
    with pytest.raises(UnknownNameError, match="no unit of pressure called 'ft'"):
        parse("1", "pressure", "ft")
