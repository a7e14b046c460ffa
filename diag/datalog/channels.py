"""The channels that a fuel-pressure log can hold, and how a column's heading is matched to them by meaning.

Headings differ from logger to logger. They are cut into words, and a channel is recognised by the words that the
trade uses for it, in English and in the languages of loggers sold beside it; the unit must fit the kind of quantity.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass

from diag.datalog.heading import Heading

TIME, RAIL, MANIFOLD, DIFFERENCE = "time", "rail pressure", "manifold pressure", "pressure difference"
RPM, THROTTLE, BATTERY, PUMP_VOLTS = "engine speed", "throttle", "battery volts", "pump volts"
FLOW, DUTY, COOLANT, FUEL_HEAT, AIR = "fuel flow", "injector duty", "coolant heat", "fuel heat", "air pressure"


@dataclass(frozen=True, slots=True)
class Channel:
    """One thing a log can hold. ``kind`` is its family of units; ``words`` are alternatives, each a set of words."""

    id: str
    title: str
    kind: str
    words: tuple[frozenset[str], ...]
    against: frozenset[str] = frozenset()  # words that make it another channel


def _channel(id_: str, title: str, kind: str, words: str, against: str = "") -> Channel:
    return Channel(
        id_, title, kind, tuple(frozenset(part.split()) for part in words.split(",")), frozenset(against.split())
    )


CHANNELS: dict[str, Channel] = {
    c.id: c
    for c in (
        _channel(TIME, "Time", "time",
                 "time,timestamp,elapsed,seconds,clock,zeit,temps,tiempo,tempo,t,sec,msec,millis,uhrzeit",
                 "injector pulse dwell delay ignition spark lap reaction dead"),
        _channel(RAIL, "Rail pressure", "pressure",
                 "fuel pressure,fuel press,fuel pres,fuel p,fuelpressure,fuelpress,rail pressure,rail press,rail p,"
                 "rail,fp,fpress,fuelp,railpressure,kraftstoffdruck,benzindruck,kraftstoff druck,pression carburant,"
                 "pression essence,presion combustible,pressione carburante,pressione benzina",
                 "differential difference diff delta oil tank return pump"),
        _channel(DIFFERENCE, "Pressure across the injectors", "pressure",
                 "fuel differential pressure,fuel diff pressure,fuel pressure differential,fuel pressure diff,"
                 "fuel delta pressure,injector differential pressure,fuel pressure delta,differential fuel pressure,"
                 "injector pressure,differenzdruck kraftstoff", "oil"),
        _channel(MANIFOLD, "Manifold pressure", "pressure",
                 "map,manifold pressure,manifold absolute pressure,manifold press,manifold,manifold p,boost,"
                 "boost pressure,boost press,inlet pressure,inlet manifold pressure,intake pressure,plenum pressure,"
                 "vacuum,manifold vacuum,saugrohrdruck,ladedruck,pression admission,presion admision,"
                 "pressione collettore,pressione aspirazione",
                 "temperature temp solenoid duty exhaust oil fuel control"),
        _channel(RPM, "Engine speed", "speed",
                 "rpm,engine speed,engine rpm,revs,engine revs,enginespeed,motordrehzahl,drehzahl,regime,regime moteur,"
                 "giri,giri motore,regimen",
                 "wheel gear prop pump turbo fan limit"),
        _channel(THROTTLE, "Throttle", "percent",
                 "throttle,throttle position,tps,throttle angle,pedal,drosselklappe,papillon,mariposa,farfalla",
                 "target"),
        _channel(BATTERY, "Battery volts", "voltage",
                 "battery,battery volts,battery voltage,vbat,batt,batt volts,batt v,battery v,supply voltage,"
                 "system voltage,volts,voltage,ubatt,batteriespannung,bordspannung,tension batterie,tension bateria,"
                 "tensione batteria",
                 "sensor pump lambda tps map reference"),
        _channel(PUMP_VOLTS, "Volts at the pump", "voltage",
                 "pump volts,pump voltage,pump v,fuel pump volts,fuel pump voltage,pumpenspannung,tension pompe,"
                 "tensione pompa,tension bomba", "water"),
        _channel(FLOW, "Fuel flow", "flow",
                 "fuel flow,fuel rate,fuel consumption,injector flow,fuelflow,kraftstoffverbrauch,debit carburant,"
                 "portata carburante", "pressure return"),
        _channel(DUTY, "Injector duty", "percent",
                 "injector duty,inj duty,duty cycle injector,injector duty cycle,idc,inj dc,injector dc,duty inj,"
                 "einspritz tastverhaltnis", "boost pump idle wastegate"),
        _channel(COOLANT, "Coolant temperature", "temperature",
                 "coolant,coolant temp,coolant temperature,ect,clt,engine temp,engine temperature,water temp,"
                 "water temperature,kuhlmitteltemperatur,wassertemperatur,temperature eau,temperatura agua,"
                 "temperatura acqua", "fan"),
        _channel(FUEL_HEAT, "Fuel temperature", "temperature",
                 "fuel temp,fuel temperature,kraftstofftemperatur,temperature carburant,temperatura combustible,"
                 "temperatura carburante", ""),
        _channel(AIR, "Air pressure", "pressure",
                 "baro,barometric pressure,barometer,barometric,ambient pressure,atmospheric pressure,luftdruck,"
                 "umgebungsdruck,pression atmospherique", ""),
    )
}  # fmt: skip
"""Every channel by id."""

_WANTED_WORDS = (
    "target aim desired setpoint set demand commanded command wanted error trim correction corr comp compensation "
    "status flag warning alarm limit protection min max peak average avg state switch relay enable table multiplier "
    "modifier oil brake tyre tire coolantpressure exhaust clutch gearbox crankcase soll ziel consigne"
)  # what the control unit wants or does, and other fluids: never the measured thing itself
_WANTED = frozenset(_WANTED_WORDS.split())
_NOISE_WORDS = ("sensor ch channel input analog analogue in 1 a raw value ecu log engine the of gauge abs absolute "
                "g rel relative measured actual live filtered")  # fmt: skip
_NOISE = frozenset(_NOISE_WORDS.split())
_CAMEL = re.compile(r"(?<=[a-z])(?=[A-Z])|(?<=[A-Za-z])(?=\d)|(?<=\d)(?=[A-Za-z])")


def plain_words(text: str) -> list[str]:
    """A heading as plain lower-case words: accents dropped, cut at signs, figures and changes of case."""
    flat = unicodedata.normalize("NFKD", _CAMEL.sub(" ", text)).encode("ascii", "ignore").decode().lower()
    return re.findall(r"[a-z]+|\d+", flat)


def likeness(heading: Heading, channel: Channel) -> float:
    """How well a heading names a channel, 0 to 1; 0 as well when its unit is of another kind."""
    if heading.unit and channel.kind not in heading.kinds:
        return 0.0
    # "Pump volts" says its unit and its name with one word, so the whole heading is tried as well.
    found = max(_named(plain_words(text), channel) for text in (heading.name, heading.text))
    return min(found + (0.05 if heading.unit and found else 0.0), 1.0)


def _named(words: list[str], channel: Channel) -> float:
    have = set(words)
    if have & (_WANTED | channel.against) and not _said_whole(have, channel):
        return 0.0
    telling = [w for w in words if w not in _NOISE] or words
    best = 0.0
    for said in channel.words:
        if said <= have or "".join(words) == "".join(said):
            named = sum(w in said for w in telling) if said <= have else len(telling)
            best = max(best, (named + 0.2 * len(said)) / (len(telling) + 0.2 * len(said) + 0.3))
    return best


def _said_whole(have: set[str], channel: Channel) -> bool:
    """Whether a word that usually means another thing is part of this channel's own name."""
    return any(said <= have and not (have - said) & (_WANTED | channel.against) for said in channel.words)


def matched(headings: Sequence[Heading]) -> dict[str, list[int]]:
    """For every channel the columns that may be it, best first; a column is offered to its best channel only."""
    marks: dict[str, list[tuple[float, int]]] = {}
    for at, heading in enumerate(headings):
        scored = [(likeness(heading, channel), channel.id) for channel in CHANNELS.values()]
        score, name = max(scored, key=lambda pair: pair[0])
        if score > 0.35:
            marks.setdefault(name, []).append((score, at))
    return {name: [at for _, at in sorted(found, key=lambda p: (-p[0], p[1]))] for name, found in marks.items()}
