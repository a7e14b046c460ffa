"""Desk answer about a sensor or gauge that may tell the wrong figure."""

from __future__ import annotations

from diag.design.answer import Answer, Curve, Table, Units, Working
from diag.fuelsystem.constants import BAR, INHG, PSI, SEA_LEVEL
from diag.fuelsystem.instruments import sealed_case_altitude, sealed_case_hot, sensor_reading, sensor_volts
from diag.quantities import show
from diag.support.errors import QuantityError

_SPANS = (60 * PSI, 75 * PSI, 100 * PSI, 145 * PSI, 150 * PSI, 200 * PSI, 5 * BAR, 7 * BAR, 10 * BAR)


def sensor_scale(true: float, built: float, entered: float, supply: float = 5.0, units: Units | None = None) -> Answer:
    """What a sensor shows whose span was entered wrongly or whose supply is not 5 V.

    Args:
        true: pressure really there, gauge Pa.
        built: span of the sensor that is fitted, Pa.
        entered: span the control unit was told, Pa.
        supply: volts really on the sensor while the control unit counts on 5.

    Raises:
        QuantityError: for spans or volts that cannot be, or a pressure beyond the sensor.
    """
    u = units or Units()
    for name, span in (("Span of the sensor", built), ("Span entered", entered)):
        if not 0.5 * BAR <= span <= 100 * BAR:
            raise QuantityError(f"{u.pressure_text(span)} is no span of a fuel-pressure sensor.", "Check it.", name)
    if not 3.0 <= supply <= 6.0:
        raise QuantityError(f"{supply:g} V cannot feed such a sensor.", "Give about 5 V.", "Sensor supply")
    if not -0.05 * built <= true <= 1.1 * built:
        raise QuantityError(
            f"{u.pressure_text(true)} is beyond a sensor of {u.pressure_text(built)}.", "Check both figures.", "Sensor"
        )
    points = tuple(built * i / 10 for i in range(11))

    def shows(pressure: float) -> float:
        return float(sensor_reading(sensor_volts(pressure, built, supply), entered))

    shown = shows(true)
    line = tuple(shows(x) for x in points)
    volts = float(sensor_volts(true, built, supply))
    return Answer(
        "What a mis-scaled sensor shows",
        (
            f"With {u.pressure_text(true)} really there the display says {u.pressure_text(shown)}.",
            f"With nothing there it says {u.pressure_text(shows(0.0))}.",
            f"The display runs at {entered / built * supply / 5.0:.3f} times the truth"
            + ("." if supply == 5.0 else ", with an offset."),
        ),
        (
            Working("Sensor", "volts = supply x (0.1 + 0.8 x pressure / span)",
                    f"{supply:g} V x (0.1 + 0.8 x {u.pressure_text(true)} / {u.pressure_text(built)}) = {volts:.3f} V",
                    "ratiometric transfer function"),
            Working("Control unit", "pressure = entered span x (volts / 5 - 0.1) / 0.8",
                    f"{u.pressure_text(entered)} x ({volts:.3f} / 5 - 0.1) / 0.8 = {u.pressure_text(shown)}",
                    "the same, with 5 V assumed"),
        ),
        ("A sound sensor is within about 1 to 2 % of its span (from memory).",),
        table=Table(("Really there", "Shown"), tuple((u.pressure_text(x), u.pressure_text(y))
                                                      for x, y in zip(points[1::2], line[1::2], strict=True))),
        curve=Curve("Shown over true pressure", "true", "pressure", "shown", "pressure", points, line, line, line,
                    marks=(("here", true, shown),)),
    )  # fmt: skip


def odd_reading(
    shown: float, expected: float, units: Units | None = None, case: float | None = None, height: float | None = None
) -> Answer:
    """Which plain mistake of unit, reference or scale would explain a figure that is far off.

    Args:
        shown, expected: gauge Pa.
        case: temperature of a sealed, liquid-filled gauge, K; None for a gauge that is not asked about.
        height: metres above the place where such a gauge was sealed.

    Raises:
        QuantityError: when the expected pressure is not above zero.
    """
    u = units or Units()
    if expected <= 0.0:
        raise QuantityError("The expected pressure must be above zero.", "Give what the rail should read.", "Expected")
    sealed, low = _sealed(case, height, u)
    found = mix_ups(shown, expected)
    if low > 0.5 * PSI and abs(expected - low - shown) <= max(0.03 * expected, PSI):
        found = (*found, f"A sealed gauge: it reads about {u.pressure_text(low)} low as it is now.")
    ratio = shown / expected
    return Answer(
        "What mistake would explain this figure",
        (
            f"Shown {u.pressure_text(shown)}, expected {u.pressure_text(expected)}: {ratio:.3f} times, "
            f"{u.pressure_text(shown - expected)} apart.",
            *sealed,
            *(found or ("No plain mistake of unit, reference or scale explains it: take the figure as it is.",)),
        ),
        (
            Working("Ratio", "shown / expected, against known conversions and pairs of sensor spans", f"{ratio:.3f}",
                    "NIST SP 811 conversions; ratiometric transfer function"),
            Working("Distance", "shown - expected, against one atmosphere", u.pressure_text(shown - expected),
                    "standard atmosphere"),
            *([Working("Sealed case", "air left in the case: warmed, squeezed by the filling, or brought up a hill",
                       f"{u.pressure_text(low)} low", "gas law, glycerine 0.0005 per kelvin, case filled to 85 %")]
              if sealed else []),
        ),
        ("Each explanation is good to 3 %; check the zero with the line open and a second gauge before believing it.",),
        verdict="yes" if found else "no",
    )  # fmt: skip


def _sealed(case: float | None, height: float | None, u: Units) -> tuple[list[str], float]:
    """What warmth and height do to a sealed gauge, in sentences, and how much too low it reads in all, Pa."""
    said, low = [], 0.0
    if case is not None:
        warm = float(sealed_case_hot(case - 273.15))
        said.append(f"A sealed, filled gauge at {show(case, 'temperature')} reads {_off(warm, u)}.")
        low += warm
    if height is not None:
        up = float(sealed_case_altitude(height))
        said.append(f"{height:.0f} m above where it was sealed it reads {_off(up, u)}.")
        low += up
    return said, low


def _off(low: float, u: Units) -> str:
    return f"{u.pressure_text(abs(low))} {'low' if low >= 0.0 else 'high'}"


def mix_ups(shown: float, expected: float, atmosphere: float = SEA_LEVEL, tolerance: float = 0.03) -> tuple[str, ...]:
    """Plain instrument mistakes that would turn ``expected`` into ``shown`` (gauge Pa), each one sentence.

    ``tolerance`` is relative; an empty tuple means that none of the known mistakes fits.
    """
    if expected <= 0.0 or abs(shown - expected) <= tolerance * expected:
        return ()
    found = []

    def near(value: float) -> bool:
        return abs(shown - value) <= tolerance * max(abs(value), 0.05 * expected)

    if near(expected + atmosphere):
        found.append("It shows absolute pressure: one atmosphere more than a gauge.")
    if near(expected - atmosphere):
        found.append("An absolute figure was expected: a gauge shows one atmosphere less.")
    for factor, words in (
        (BAR / PSI, "Figures in psi were read as bar, or the other way round."),
        (PSI / BAR, "Figures in bar were read as psi, or the other way round."),
        (INHG / PSI, "Figures in inHg were read as psi, or the other way round."),
        (PSI / INHG, "Figures in psi were read as inHg, or the other way round."),
    ):
        if near(expected * factor):
            found.append(words)
    ratio = shown / expected
    for built in _SPANS:
        for entered in _SPANS:
            if built != entered and abs(ratio - entered / built) <= 0.4 * tolerance * ratio:
                found.append(
                    f"A sensor of {built / PSI:.0f} psi span was entered as {entered / PSI:.0f} psi: ratio {ratio:.2f}."
                )
    return tuple(dict.fromkeys(found))[:4]
