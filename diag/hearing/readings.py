"""From a figure and the words around it to what was measured and in which state of the car, best guess first."""

from __future__ import annotations

import re

from diag.hearing.boost import is_boost, is_condition, number_of
from diag.hearing.figures import Figure
from diag.hearing.places import CRANK, LOADS, Place, says
from diag.hearing.volts import BATTERY, GROUND, PUMP, volts

_HOSE = (
    r"(?:(?:vacuum |reference |reg(?:ulator)? |small |thin |little )?(?:hose|pipe|line|tube)|"
    r"(?<!key )(?<!switch )(?<!turn )(?<!turned )(?<!switched )it)"
)
_BOTH = says(
    rf"{_HOSE}(?: is)? on (?:or|and) (?:hose )?off|on or off|{_HOSE} on,? {_HOSE} off|with (?:and|"
    rf"or) without (?:the |its |that )?{_HOSE}|"
    r"on and off|stays there (?:when|with|if)|hose makes no difference"
)
_OFF = says(
    rf"{_HOSE} (?:is |was )?(?:pulled |taken )?off|{_HOSE} (?:pulled|disconnected|unplugged|removed)|"
    rf"pull(?:ed|ing)? (?:off )?(?:the|that|my) {_HOSE}(?: off)?|off the hose|without (?:the )?{_HOSE}|"
    r"pull(?:ed|s)? it(?: off)?(?=$|[.,;]| and| then)|"
    rf"disconnect\w* the {_HOSE}|take the {_HOSE} off|hose off"
)
_ON = says(
    rf"{_HOSE} (?:is |was )?(?:back )?(?:on|connected|fitted|plugged in|in place|"
    r"reconnected|refitted|(?:plugged|pushed|put|slipped) back (?:on|in)|plugged on)|connected {_HOSE}|hose on|"
    r"vac(?:uum)? (?:is )?(?:on|connected)|with (?:the )?hose(?= |$)(?! (?:off|pulled|disc|removed|un))"
)
_IDLE = says(r"idl(?:e|es|ing|ed)|at idle|tick ?over|ticking over")
_LOAD = says(
    r"full (?:load|throttle|power|chat)|wide open(?: throttle)?|wot|flat out|floored|floor(?:s|ing)? (?:it|her)|hard "
    r"pulls?|under load|"
    r"foot down|"
    r"up (?:a|the|every) (?:\w+ )?hills?|at the top|high rpm|under boost|in boost|on boost|boost comes|"
    r"at \d+(?:\.\d+)? (?:psi|bar|pounds?|lbs?) (?:of )?boost|(?:when|if) (?:i|you) accelerate|on rollers|"
    r"\d{4} ?(?:rpm|revs)"
)
_CRUISE = says(r"cruis\w+|steady (?:speed|throttle|drive)|light throttle|part throttle")
_AFTER_OFF = re.compile(
    r"\b(?P<minutes>5|10) ?(?:min(?:ute)?s?)\b.{0,25}?\b(?:after|later|off|switch|stop|stand)|"
    r"\b(?:after|in|within|for) (?:about |only )?(?P<more>5|10) ?(?:min(?:ute)?s?)",
    re.IGNORECASE,
)
_SOON_OFF = says(  # what is gone within a minute is gone after five as well
    r"(?:in|within|after) (?:about |only |a |an |one |two |\d+ )*(?:s|secs?|seconds?|min(?:ute)?|moments?)"
    r"(?: \w+){0,3} (?:off|stop\w*|switch\w*|key|turn\w*)|(?:switch|turn|shut)\w* (?:it )?off|keyed? off"
)
_SOON = says(
    r"(?:in|within|after) (?:about |only |a |an |one |two |\d+ )*(?:s|secs?|seconds?|min(?:ute)?s?|"
    r"moments?)"
)
_PRIMED = says(r"key on|prim(?:e|es|ed|ing)")  # which runs the pump for seconds only
_RUNS = says(r"(?:engine |once |when |while )?running|(?:engine|motor) runs?")
_RUNNING = says(r"of (?:running|driving|pumping)|when hot|once hot|hot now|running hot")
_OPENED = says(
    r"return (?:\w+ )?(?:in|into|led (?:in|into)|to) (?:a |an |the )?(?:\w+ )?(?:can|container|bucket|bottle|"
    r"jug|tin)|"
    r"(?:can|container)(?: \w+){0,2} instead of the return|return (?:\w+ )?open(?:ed)?"
)
_PINCHED = says(
    r"(?:pinch|squeez|clamp|nip|block|kink)\w* (?:off )?(?:the |that |my )?(?:return|back (?:pipe|line|hose)|"
    r"line back)|"
    r"return (?:\w+ )?(?:pinched|clamped|squeezed)|"
    r"dead[ -]?head\w*"
)
_SCREW_OUT = says(
    r"(?:screw|adjuster) (?:\w+ )?(?:right |fully |all the way )?out|backed off|lowest (?:i|it) can(?: be)?(?: set)?|"
    r"lowest setting|(?:wind|screw|set|get|bring|turn) it (?:any )?(?:lower|below|under|down)"
)
_SCREW_IN = says(r"(?:screw|adjuster) (?:right |fully |all the way )?in")
_PUMP_ON = says(
    r"key[ -](?:it )?on|(?:switch|turn)(?:ed)? (?:it|the key|her) on|engine off|engine stopped|not running|"
    r"pump (?:is )?(?:on|running|jumped|bridged)|jump(?:ed|"
    r"ing)? the pump|"
    r"prim(?:e|es|ing)|base(?: pressure)?|static|koeo|ignition on|pump running|with it running"
)
_RETURN_PRESSURE = says(
    r"back ?pressure|return (?:line|hose|pipe|side)|(?:in|on) the return|"
    r"regulators? (?:return )?outlet|return pressure|after the regulator|"
    r"below the regulator"
)
_RETURN_FLOW = says(
    r"return|from the regulator|out of the regulator|caught|into (?:a|the) (?:can|jug|bottle|"
    r"bucket)"
)
_RAIL = says(r"(?:at|on|in) the rail|rail pressure")
_VACUUM = says(r"vac(?:uum)?(?! (?:hose|line|pipe|tube|off|on|connected|disconnected))")
_BELOW_AIR = says(r"(?:under|below) atmospher\w+|of vacuum|manifold vac(?:uum)?")
_FILTER = says(
    r"(?:over|across|through|at) the filter|filter (?:drops?|loses?|takes)|lost (?:over|in) the filter|"
    r"either side of the filter"
)
_PUMP_OUTLET = says(r"pump outlet|at the pump|before the filter|between pump and filter")
_FEED = says(r"along the feed|over the feed|feed (?:line )?(?:loses|drops)|lost in the feed")
_AT_REST = says(
    r"pressure (?:let|bled) off|no pressure|at rest|with nothing (?:connected|hooked up|plugged in|attached|on it)|"
    r"off the car|released"
)
_TARGET = says(
    r"(?<!as it )(?<!like it )(?<!where it )(?<!what it )(?<!than it )(?<!as they )should (?:be|read|have|show|"
    r"sit)|supposed to (?:be|read)|meant to be|target|the (?:book|manual|papers?|sheet) says?|"
    r"spec(?:s|ification|ified)?(?: sheet)?|data ?sheet|factory|handbook|(?:book|manual) (?:figure|value)|"
    r"(?:manual|book|papers?|handbook|maker|builder|card|label|plate|sticker|sheet) "
    r"(?:wants?|calls for|gives?|states?|quotes?|lists?|has it at)|"
    r"ought to be|asks for|always ran"
)
_SET_TO = says(
    r"base(?: fuel)?(?: pressure)? (?:is|should|:|=)|"
    r"(?:base|pressure|regulator)(?: pressure)? (?:is |was )?set (?:to|at)"
)
_BASE = says(r"base(?: fuel)?(?: pressure)?")
_AMONG_SIZES = re.compile(r"\d ?(?:mm|l ?/ ?h|lph|gph|cc)\b", re.IGNORECASE)
_MEASURED = says(
    r"gauge|reads?|reading|shows?|measured|with the|(?:key|pump) (?:is )?(?:on|running|jumped|bridged)|jump\w*|"
    r"hose|idl\w+|only|now|still|holds?|sits?"
)
_WITHOUT = says(
    r"(?:without|no) (?:the )?(?:vacuum|vac)(?: hose)?|vacuum (?:hose )?off|unplugged|static|at full throttle"
)
_SPAN = says(
    r"gauge (?:only )?(?:goes|reads|runs) (?:up )?to|scale (?:goes|ends)|(?:0|zero) to|psi gauge|full scale|"
    r"gauge up to"
)
_BOOST = says(r"boost")
_CHARGED, _RUNS_AT = says(r"blower|turbo\w*|supercharg\w*"), says(r"runs? (?:about |at )?\d+(?:\.\d+)?")
_DRAWN = says(r"current|draws?|drawing|amps? (?:meter|clamp)|clamp meter")
_NIPPLE = says(
    r"at the nipple|reference nipple|at the regulator end|end of the (?:vacuum |reference )?hose|on the nipple"
)
_GAUGE_SAID = says(r"gauge|pressure|rail|psi|needle|dial|pounds?")
_SECOND = says(r"second gauge|other gauge|another gauge")


_OF_ITS_OWN = frozenset({"five-minutes-free", "ten-minutes-free"})  # times belong to their own figure only


def places(figure: Figure, near: str, around: str, before: str = "") -> tuple[Place, ...]:
    """What a figure may be, best first; empty when it is no figure of a fuel system.

    Args:
        figure: the number with its unit.
        near: the words that belong to this figure alone.
        around: the whole sentence.
        before: the sentence before it, for what is taken for granted.
    """
    kind = figure.kind
    if kind == "vacuum" or (kind == "pressure" and _VACUUM.search(near) and _BELOW_AIR.search(near)):
        return _vacuum(near, around)
    if kind == "flow":
        return (Place("volume caught", "return-opened"),) if _RETURN_FLOW.search(near) else ()
    if kind == "voltage":
        return volts(near, around)
    if kind == "current":
        own = PUMP.search(around) or (_DRAWN.search(around) and not BATTERY.search(around))
        return (Place("pump amps", "pump-on-engine-off"),) if own else ()
    if kind == "caught":
        return (Place("volume caught", "return-opened"),)
    if kind in ("pressure", "bare"):
        return _pressure(figure, near, around, before)
    return ()


def _vacuum(near: str, around: str) -> tuple[Place, ...]:
    if _NIPPLE.search(around):
        return (Place("reference pressure", "idle-hose-on"), Place("manifold vacuum", "idle-hose-on", fit=0.7))
    return (Place("manifold vacuum", "idle-hose-on"), Place(fact="idle-vacuum", fit=0.8))


def _pressure(figure: Figure, near: str, around: str, before: str) -> tuple[Place, ...]:
    if figure.kind == "bare" and not _is_pressure(figure, near, around):
        return ()
    if is_boost(figure, near, around):
        return () if is_condition(figure, near) else (Place(fact="boost"),)
    if _TARGET.search(near) or _is_set(near, around) or _names_regulator(figure, near):
        return (Place(fact="target-pressure"),)
    if _SPAN.search(near) and figure.number >= 30:
        return (Place(fact="gauge-span"),)
    if _FILTER.search(near):
        return (Place("filter drop", "pump-on-engine-off"),)
    if _FEED.search(near):
        return (Place("feed drop", "pump-on-engine-off"),)
    if _RETURN_PRESSURE.search(near) and not (_OPENED.search(near) or _PINCHED.search(around) or _RAIL.search(near)):
        return (Place("regulator outlet pressure", "pump-on-engine-off"),)
    if _PUMP_OUTLET.search(near) and not _PUMP_ON.search(near):
        return (Place("pump outlet pressure", "pump-on-engine-off"),)
    if _AT_REST.search(around):
        return (Place("gauge at rest", "at-rest"),)
    return _rail(figure, near, around, before)


def _names_regulator(figure: Figure, near: str) -> bool:
    """Whether the figure is the name of the part: "a three bar regulator"."""
    number = re.escape(number_of(figure))
    return re.search(rf"\b{number} ?(?:bar|psi) (?:fuel )?(?:pressure )?reg", near, re.IGNORECASE) is not None


def _is_set(near: str, around: str) -> bool:
    """Whether a pressure is what the car is set to by its papers, not what a gauge shows now."""
    if _MEASURED.search(near):
        return False
    return bool(_SET_TO.search(near) or (_BASE.search(near) and _AMONG_SIZES.search(around)))


def _mixture(figure: Figure) -> bool:
    """Whether a number can be parts of air to one of fuel, as a mixture meter reads: 14.7, 12.5."""
    return 9 <= figure.number <= 20 and figure.number != int(figure.number)


def _is_pressure(figure: Figure, near: str, around: str) -> bool:
    """Whether a number without a unit is the reading of a pressure gauge."""
    if not 0 <= figure.number <= 150 or (_mixture(figure) and not _GAUGE_SAID.search(around)):
        return False
    said = says(
        r"gauge|reads?|reading|pressure|rail|hose|vacuum|psi|needle|shows?|bar|cranking|wide open|whatever i do|"
        r"drops? to|(?:drops?|dropped|falls?|fell|sags?|sinks?) from|"
        r"falls? to|sags? to|shoots? (?:up )?to|jumps? (?:straight )?to|goes to|holds?|sits|dial|below|at idle|"
        r"idles at|"
        r"it was|i (?:see|saw|get|got|read|have)|seeing|prim(?:es?|ing) to|filter|needle|"
        r"screw|full load|(?:lower|higher) than|wind it|dead[ -]?head\w*|pinch\w*|clamp\w*|squeez\w*|"
        r"target|supposed to|"
        r"base|spec\w*"
    )
    return said.search(around) is not None or bool(_IDLE.search(near))


def _rail(figure: Figure, near: str, around: str, before: str) -> tuple[Place, ...]:
    """Rail pressure: the state of the car that belongs to the figure, from its own words, then from the sentence."""
    rail = "rail pressure"
    if figure.number == 0 and (_SOON_OFF.search(around) or (_SOON.search(near) and _PRIMED.search(around))):
        return (Place(rail, "five-minutes-free"),)
    if _BOTH.search(around) and not _PUMP_ON.search(around) and not _special(near):
        return _hose_states(near, around)
    for text in (near, around):
        special = _special(text) if text is near else ""
        if special:
            return (Place(rail, special),)
        if _IDLE.search(text) or (text is around and not _PUMP_ON.search(near) and _IDLE.search(before)):
            return _hose_states(near, around)
        if _PUMP_ON.search(text):
            return (Place(rail, "pump-on-engine-off"),)
        if text is near and _RUNS.search(text):
            return _hose_states(near, around)
        if _OFF.search(text) and text is near and not _IDLE.search(around):
            return (Place(rail, "idle-hose-off"), Place(rail, "pump-on-engine-off", fit=0.9))
        if _ON.search(text) and text is near and not _IDLE.search(around):
            return (Place(rail, "idle-hose-on"),)
    if _SECOND.search(around):
        return (Place(rail, "second-gauge"),)
    elsewhere = _special(around)
    if elsewhere and elsewhere not in _OF_ITS_OWN:
        return (Place(rail, elsewhere, fit=0.7), Place(rail, "idle-hose-on", fit=0.6))
    return (
        Place(rail, "pump-on-engine-off", fit=0.62),
        Place(rail, "idle-hose-on", fit=0.6),
        Place(rail, "idle-hose-off", fit=0.5),
    )


def _special(text: str) -> str:
    """A state of the car that settles the point by itself."""
    minutes = _AFTER_OFF.search(text)
    if minutes and not _RUNNING.search(text):
        return "five-minutes-free" if (minutes["minutes"] or minutes["more"]) == "5" else "ten-minutes-free"
    for pattern, point in (
        (_OPENED, "return-opened"),
        (_PINCHED, "return-pinched"),
        (CRANK, "cranking"),
        (_LOAD, "full-load"),
        (_CRUISE, "cruise"),
        (_SCREW_OUT, "screw-out"),
        (_SCREW_IN, "screw-in"),
        (LOADS, "loads-on"),
    ):
        if pattern.search(text):
            return point
    return ""


def _hose_states(near: str, around: str) -> tuple[Place, ...]:
    rail = "rail pressure"
    on, off = Place(rail, "idle-hose-on"), Place(rail, "idle-hose-off")
    if _BOTH.search(around):
        return (on, off)  # one figure for both, which ``both_states`` tells apart from two guesses
    if _OFF.search(near) and not _ON.search(near):
        return (off,)
    if _ON.search(near):
        return (on,)
    return (on, Place(rail, "idle-hose-off", fit=0.6))


def both_states(around: str, found: tuple[Place, ...]) -> bool:
    """Whether one figure was said to hold with the hose on and with it off."""
    return len(found) == 2 and found[0].fit == found[1].fit and _BOTH.search(around) is not None


def without_both(text: str, mark: str) -> str:
    """The text with a mark where it says that a figure holds with the hose on and off: no sign of its own then."""
    return _BOTH.sub(mark, text)


def target_hose(text: str) -> str:
    """Whether some words tell a target with the reference hose "on" or "off"; empty where they do not say.

    A target at idle is what a gauge shows with the hose on; a base pressure is told with it off.
    """
    if re.search(r"\bidl\w+ (?:is |speed |was )?(?:rich|lean|rough)", text, re.IGNORECASE):
        return ""
    if _OFF.search(text) or _WITHOUT.search(text):
        return "off"
    return "on" if _ON.search(text) or _IDLE.search(text) else ""


def names_a_state(text: str) -> bool:
    """Whether some words say by themselves in which state of the car a figure was read, or what it is."""
    says = (_IDLE, _PUMP_ON, _OFF, _ON, _TARGET, _FILTER, _RETURN_PRESSURE, BATTERY, PUMP, GROUND, _BOOST)
    return bool(_special(text)) or any(pattern.search(text) for pattern in says)
