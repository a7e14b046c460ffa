"""From a voltage and the words around it to what was measured, best guess first."""

from __future__ import annotations

from diag.hearing.places import CRANK, LOADS, Place, says

PUMP = says(r"pump")
BATTERY = says(r"battery|alternator|charging")
GROUND = says(r"ground|earth|negative side|minus side")
_STANDS = says(r"at rest|resting|engine off|standing|key off|before (?:start|crank)\w*")
_FEED_SIDE = says(r"feed side|positive side|plus side|plus wire|live side|along the wire")
_LOST = says(r"lost|drops? (?:of|over|across)|los(?:es?|ing)|missing|between|across|side|volt(?:age)? drop|drop")


def volts(near: str, around: str) -> tuple[Place, ...]:
    """What a voltage is, by the words that are its own and those of its sentence."""
    if GROUND.search(near) and _LOST.search(around):
        return (Place("ground volt drop", "pump-on-engine-off"),)
    if _FEED_SIDE.search(near) or (_LOST.search(near) and not BATTERY.search(near) and not PUMP.search(near)):
        return (Place("feed volt drop", "pump-on-engine-off"),)
    if BATTERY.search(near) or (BATTERY.search(around) and not PUMP.search(near)):
        if _STANDS.search(near):
            return (Place(fact="battery-volts"), Place("battery volts", "pump-on-engine-off", fit=0.6))
        where = "cranking" if CRANK.search(around) else "idle-hose-off"
        return (Place("battery volts", where), Place(fact="battery-volts", fit=0.6))
    if PUMP.search(around):
        if CRANK.search(near):
            return (Place("pump volts", "cranking"),)
        if LOADS.search(near):
            return (Place("pump volts", "loads-on"),)
        return (Place("pump volts", "pump-on-engine-off"),)
    return ()
