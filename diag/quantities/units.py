"""The units people say in this trade, and what one of each is in SI. The only place that knows conversion factors.

Factors are built from exact definitions: the international inch, pound and gallons, standard gravity and mercury of
13 595.1 kg/m3 (conventional inHg). tests/reference/test_units.py checks them against a units library and against
NIST SP 811.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

INCH = 0.0254
FOOT = 12 * INCH
POUND = 0.45359237
GRAVITY = 9.80665
MERCURY = 13595.1  # kg/m3, conventional
WATER = 1000.0  # kg/m3, conventional
US_GALLON = 231 * INCH**3
IMPERIAL_GALLON = 4.54609e-3
POUND_FORCE = POUND * GRAVITY
PSI = POUND_FORCE / INCH**2
ATMOSPHERE = 101325.0  # Pa, standard atmosphere at sea level (ISO 2533)


@dataclass(frozen=True, slots=True)
class Unit:
    """A unit: SI value = number * factor + offset. ``said`` are further spellings, ``spoken`` the words for people."""

    name: str
    factor: float
    said: tuple[str, ...] = ()
    offset: float = 0.0
    spoken: str = ""


_FOLD = re.compile(r"[\s.()^·*°_]+")


def fold(text: str) -> str:
    """A spelling with blanks, full stops, brackets and case taken out: ``kgf / cm^2`` -> ``kgf/cm2``."""
    return _FOLD.sub("", text).replace("-", "").lower()


def _u(name: str, factor: float, said: str = "", offset: float = 0.0, spoken: str = "") -> Unit:
    return Unit(name, factor, tuple(part.strip() for part in said.split(",") if part.strip()), offset, spoken)


PRESSURE = (
    _u("psi", PSI, "lb/in2,lbf/in2,lb/sqin,lbs/sqin,pounds per square inch,pound per square inch,lb,lbs,pound,pounds"),
    _u("bar", 1e5, "bars"),
    _u("kPa", 1e3, "kilopascal,kilopascals,kN/m2"),
    _u("MPa", 1e6, "megapascal,N/mm2"),
    _u("Pa", 1.0, "pascal,pascals,N/m2"),
    _u("hPa", 100.0, "hectopascal"),
    _u("mbar", 100.0, "millibar,millibars,mb"),
    _u("kgf/cm2", GRAVITY * 1e4, "kg/cm2,kp/cm2,kg,kgs,kilo,kilos,at,kg/sqcm,kgf/sqcm,kgfcm2"),
    _u(
        "inHg",
        MERCURY * GRAVITY * INCH,
        'inchhg,incheshg,inshg,inchesofmercury,inchofmercury,inchesmercury,inchmercury,"hg,inofhg',
    ),
    _u("mmHg", MERCURY * GRAVITY * 1e-3, "millimetresofmercury,millimetersofmercury,mmofmercury,torr"),
    _u("cmHg", MERCURY * GRAVITY * 1e-2, "cmofmercury"),
    _u("inH2O", WATER * GRAVITY * INCH, 'inwc,inwg,inchesofwater,inchofwater,incheswater,inofwater,inh20,"h2o,"wc'),
    _u("mmH2O", WATER * GRAVITY * 1e-3, "mmofwater,mmwc,mmwg,mmh20"),
    _u("atm", ATMOSPHERE, "atmosphere,atmospheres"),
)
# Of vacuum people say "20 inches".
VACUUM = tuple(
    Unit(u.name, u.factor, (*u.said, "in", "inch", "inches", "ins", '"')) if u.name == "inHg" else u for u in PRESSURE
)
LENGTH = (
    _u("mm", 1e-3, "millimetre,millimetres,millimeter,millimeters"),
    _u("cm", 1e-2, "centimetre,centimetres,centimeter,centimeters"),
    _u("m", 1.0, "metre,metres,meter,meters,mtr"),
    _u("km", 1e3, "kilometre,kilometres,kilometer,kilometers"),
    _u("in", INCH, "inch,inches,\",'',ins"),
    _u("ft", FOOT, "foot,feet,'"),
    _u("thou", INCH / 1000, "thous,thousandth,thousandths,mil,mils"),
    _u("um", 1e-6, "μm,micron,microns,micrometre"),
    _u("yd", 3 * FOOT, "yard,yards"),
)
TIME = (
    _u("s", 1.0, "sec,secs,second,seconds"),
    _u("min", 60.0, "mins,minute,minutes,m"),
    _u("h", 3600.0, "hr,hrs,hour,hours"),
    _u("ms", 1e-3, "millisecond,milliseconds,msec"),
    _u("days", 86400.0, "day,d"),
)
VOLUME = (
    _u("L", 1e-3, "l,litre,litres,liter,liters,ltr,ltrs,dm3"),
    _u("ml", 1e-6, "mL,millilitre,millilitres,milliliter,milliliters,cc,ccs,cm3,ccm"),
    _u("m3", 1.0, "cubic metre,cubic metres"),
    _u("mm3", 1e-9, "cubic millimetre"),
    _u("US gal", US_GALLON, "gal,gals,gallon,gallons,us gallon,us gallons,usg", spoken="US gallon"),
    _u(
        "imp gal",
        IMPERIAL_GALLON,
        "imperial gallon,imperial gallons,uk gal,uk gallon,uk gallons",
        spoken="imperial gallon",
    ),
    _u("US qt", US_GALLON / 4, "qt,quart,quarts,us quart,us quarts", spoken="US quart"),
    _u("imp qt", IMPERIAL_GALLON / 4, "imperial quart,imperial quarts,uk quart", spoken="imperial quart"),
    _u("US pint", US_GALLON / 8, "pt,pint,pints,us pt,us pints", spoken="US pint"),
    _u("imp pint", IMPERIAL_GALLON / 8, "imperial pint,imperial pints,imp pt,uk pint,uk pints", spoken="imperial pint"),
    _u("US cup", US_GALLON / 16, "cup,cups", spoken="US cup"),
    _u("US fl oz", US_GALLON / 128, "fl oz,fluid ounce,fluid ounces,oz", spoken="US fluid ounce"),
    _u("imp fl oz", IMPERIAL_GALLON / 160, "imperial fluid ounce,uk fl oz", spoken="imperial fluid ounce"),
)
_IMPERIAL = {"US gal": "imp gal", "US qt": "imp qt", "US pint": "imp pint", "US fl oz": "imp fl oz"}
FLOW = (
    _u("L/h", 1e-3 / 3600, "lph,l/hr,litres/hour,litres/h,liters/hour,litre/hour,l/hour,ltr/h"),
    _u("L/min", 1e-3 / 60, "lpm,litres/minute,litres/min,liters/minute,liters/min,l/minute,ltr/min"),
    _u("L/s", 1e-3, "l/sec,litres/second"),
    _u("cc/min", 1e-6 / 60, "ccm,ccpm,cm3/min,ml/min,mL/min,cc/minute,ml/minute,ccs/min"),
    _u("ml/s", 1e-6, "cc/s,cm3/s,ml/sec,cc/sec"),
    _u("ml/h", 1e-6 / 3600, "cc/h,cm3/h"),
    _u(
        "gph",
        US_GALLON / 3600,
        "gal/h,gal/hr,us gph,gph us,gallons/hour,us gal/h,gallon/hour,gals/hour",
        spoken="US gallons an hour",
    ),
    _u(
        "imp gph",
        IMPERIAL_GALLON / 3600,
        "gph imp,imp gallons/hour,imp gallon/hour,imperial gph,uk gph,gph uk,imp gal/h,imperial gallons/hour",
        spoken="imperial gallons an hour",
    ),
    _u("gpm", US_GALLON / 60, "gal/min,us gpm,gallons/minute,us gal/min", spoken="US gallons a minute"),
    _u("m3/h", 1 / 3600, "m3/hr"),
    _u("m3/s", 1.0, "m3/sec"),
)
MASS_FLOW = (
    _u("kg/h", 1 / 3600, "kg/hr,kg/hour"),
    _u("lb/h", POUND / 3600, "lb/hr,lbs/h,lbs/hr,pph,lb/hour,lbs/hour,pounds/hour,pound/hour"),
    _u("g/s", 1e-3, "g/sec,grams/second"),
    _u("g/min", 1e-3 / 60, "grams/minute"),
    _u("kg/s", 1.0, ""),
)
VOLTAGE = (
    _u("V", 1.0, "volt,volts,vdc,v dc"),
    _u("mV", 1e-3, "millivolt,millivolts"),
    _u("kV", 1e3, "kilovolt"),
)
CURRENT = (_u("A", 1.0, "amp,amps,ampere,amperes"), _u("mA", 1e-3, "milliamp,milliamps"))
RESISTANCE = (
    _u("ohm", 1.0, "ohms,Ω,ω,r"),
    _u("milliohm", 1e-3, "milliohms,mΩ,mohm,mohms"),
    _u("kilohm", 1e3, "kohm,kohms,kΩ,kilohms,kiloohm,kiloohms,k"),
    _u("megohm", 1e6, "megohms,MΩ,Mohm,Mohms,megaohm"),
)
TEMPERATURE = (
    _u("C", 1.0, "degc,deg c,degreesc,degrees celsius,celsius,centigrade,degreecelsius", offset=273.15),
    _u("F", 5 / 9, "degf,deg f,degreesf,degrees fahrenheit,fahrenheit", offset=273.15 - 32 * 5 / 9),
    _u("K", 1.0, "kelvin"),
)
TEMPERATURE_DIFFERENCE = (_u("K", 1.0, "kelvin"),)
POWER = (
    _u("hp", 550 * FOOT * POUND_FORCE, "bhp,whp,horsepower,horse power,horses", spoken="mechanical horsepower"),
    _u("kW", 1e3, "kilowatt,kilowatts"),
    _u("PS", 75 * GRAVITY, "cv,ch,pk,metric hp,metric horsepower", spoken="metric horsepower"),
    _u("W", 1.0, "watt,watts"),
)
COUNT = (_u("off", 1.0, "pcs,pieces,x,times,injectors,injector,cylinders,bends,bend,pumps,pump,hoses,of them"),)
SHARE = (_u("%", 0.01, "percent,per cent,pct"), _u("share", 1.0, "tank,full,of a tank,of the tank"))
AREA = (
    _u("mm2", 1e-6, "sqmm,square millimetre,square millimetres,mmsq"),
    _u("cm2", 1e-4, "sqcm"),
    _u("m2", 1.0, "sqm"),
    _u("in2", INCH**2, "sqin,square inch,square inches"),
)
WIRE = (_u("mm2", 1e-6, "sqmm,square millimetre,square millimetres,mmsq,square,mm"), _u("m2", 1.0, ""))
SPEED = (_u("rpm", 1.0, "r/min,rev/min,revs,rev,1/min,revs/min,/min"), _u("rps", 60.0, "rev/s,1/s"))
RATIO = (_u("to 1", 1.0, ":1,times,x,share"), _u("%", 0.01, "percent,per cent"))
DENSITY = (
    _u("kg/m3", 1.0, "kg/cubic metre,g/l"),
    _u("kg/L", 1e3, "g/cc,g/cm3,g/ml,sg,kg/dm3"),
    _u("lb/US gal", POUND / US_GALLON, "lb/gal"),
)
VISCOSITY = (_u("mPa s", 1e-3, "mpas,cp,cps,centipoise"), _u("Pa s", 1.0, "pas"))
STIFFNESS = (_u("N/mm", 1e3, ""), _u("N/m", 1.0, ""), _u("lbf/in", POUND_FORCE / INCH, "lb/in,lbs/in"))
COMPLIANCE = (
    _u("cc/bar", 1e-11, "ml/bar,cm3/bar"),
    _u("cc/psi", 1e-6 / PSI, "ml/psi,cm3/psi"),
    _u("mm3/kPa", 1e-12, ""),
    _u("m3/Pa", 1.0, ""),
)


def imperial_of(unit: str) -> str:
    """The imperial unit of the same name as a US one: ``US pint`` -> ``imp pint``; others unchanged."""
    return {**_IMPERIAL, "gph": "imp gph"}.get(unit, unit)
