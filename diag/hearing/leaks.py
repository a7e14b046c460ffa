"""Liquid fuel outside: whoever says so must never be passed over, however it was said and wherever it runs.

A leak is the one complaint of which the words are hardly ever the book's: it drips "on the exhaust", runs "down the
block", squirts "out by the injectors". The verb and the fuel decide that something is wet, the place only which entry
is the nearest: the place it comes from before the one it lands on, the rail for what stands about the engine, under the
car otherwise. Common practice, no source.
"""

from __future__ import annotations

import re
from dataclasses import replace

from diag.hearing.claims import claimed
from diag.hearing.understood import Heard, Item
from diag.rulebook.findings import PRESENT
from diag.rulebook.model import RuleBook
from diag.support.text import one_line


def _says(*patterns: str) -> re.Pattern[str]:
    return re.compile(rf"\b(?:{'|'.join(patterns)})(?!\w)", re.IGNORECASE)


_FUEL = _says(r"petrol", r"fuel", r"gas(?:oline)?", r"juice", r"methanol", r"ethanol", r"e ?85")
_LEAVES = (
    r"rain(?:s|ing) (?:fuel|petrol|gas)|"
    r"drip\w*|spray(?:s|ed|ing)?|squirt\w*|spurt\w*|leak\w*|gush\w*|weep\w*|wept|ooz\w+|seep\w*|dribbl\w*|trickl\w*|"
    r"pour\w*|piss\w*|pee(?:s|ing)|spill\w*|splash\w*|jets? out|jetting|bleeds? out|spew\w*|hos(?:es|ing) out|pool\w*"
)
_FLOWS = r"runs?|ran|running|comes?|came|coming|flows?|flowed|flowing|goes|went|going|shoots?|shot|flies|flew|blows?"
_WAY = (
    r"(?:right |all |straight |just |back )?(?:down(?: (?:the|my|on|onto|to|along|over|past|behind)|$)|onto|on to|"
    r"over (?:the|my)|all over|"
    r"everywhere|out(?! of (?:fuel|petrol|gas|puff|steam))|off (?:the|my|an?)|from (?:the|my|an?|one|under|below|"
    r"between|behind|"
    r"around|round|somewhere)|along the|across the|past the|under (?:the|my))"
)
_LEAVES_SAID = _says(_LEAVES)
_FLOWS_SAID = re.compile(rf"\b(?P<verb>{_FLOWS})\s+{_WAY}(?!\w)", re.IGNORECASE)
# What flows away from a running pump is the liquid itself; a word for a part after "fuel" makes it the part's.
_LIQUID = re.compile(
    r"\b(?:petrol|fuel|gas(?:oline)?|juice)(?:'s| is| was| just| still| keeps| now| has been| had been| starts?| "
    r"started|"
    r" keeps on)*\s+$",
    re.IGNORECASE,
)
_IT = re.compile(r"(?:^|[,;:.]\s*|\b(?:and|but|then|now|because|so|where)\s+)(?:it|that|the stuff)(?:'s| is| just| "
r"still| "
                 r"keeps| now| was| has been)*\s+$", re.IGNORECASE)  # fmt: skip
# Fuel that lies or stands where it should not, without any verb: "petrol all over the engine", "wet with petrol".
_LIES = re.compile(
    r"(?<!little )(?<!much )(?<!enough )(?<!less )(?<!more )(?<!adding )(?<!adds )\b"
    r"(?:petrol|fuel|gas(?:oline)?)(?:'s| is| was)? (?:standing |lying |sitting )?(?:everywhere|all (?:over|down|"
    r"round)|"
    r"(?:on|over) (?:the|my|a) (?:\w+ ){0,2}(?:exhaust|manifold|floor|ground|engine|block|turbo|headers?|carpet|drive|"
    r"road|"
    r"concrete|starter|alternator|battery|bulkhead|gearbox))(?!\w)|"
    r"\b(?:wet|soaked|soaking|swimming|drenched|covered|awash)(?: through)? (?:with|in) (?:petrol|fuel|"
    r"gas(?:oline)?)(?!\w)|"
    r"\b(?:puddles?|drops|pools?|beads?|lake|film) of (?:petrol|fuel|gas(?:oline)?)(?!\w)",
    re.IGNORECASE,
)
_INSIDE = _says(
    r"plugs?", r"bores?", r"cylinders?", r"jar", r"sample", r"can", r"oil", r"dipstick", r"tissue", r"paper"
)
_NO_LEAK_OF_FUEL = _says(
    r"(?:vacuum|vac|air|boost|exhaust|intake|inlet|manifold|compression|oil|water|coolant|smoke|head ?gasket) leak\w*",
    r"(?:oil|water|coolant|antifreeze|rain|condensation|brake fluid)(?: \w+)? (?:drip|leak|weep|pour|spray|seep|ooz|"
    r"dribbl|trickl|gush|spill|run|com|splash|pool)\w*(?: \w+){0,3}",
    rf"(?:{_LEAVES}) (?:\w+ )?(?:oil|water|coolant|antifreeze|air|vacuum|boost|exhaust gas|pressure|compression)",
    r"(?:exhaust|vacuum|boost|intercooler|radiator|head gasket|roof|sunroof|sump|oil|water|coolant)(?: \w+)?(?:'s| is|"
    r" was)? "
    r"leak\w*",
    r"leak(?:s|ed|ing|age)?[ -]?(?:down(?! (?:the|my|onto|on to|over|behind)\b)|off(?! the\b)|back|past|through|"
    r"rates?|tests?|free|spray)(?: \w+)?",
    r"(?:pressure|vacuum|check valve|non ?return valve|seat|diaphragm)(?: \w+){0,2} (?:leak|bleed|drip)\w*",
    r"(?:spray|squirt|splash|pour|put|spill)(?:s|ed|ing)? (?:some |a |the |a bit of |a little )?(?:\w+ )?(?:cleaner|"
    r"starter fluid|easy ?start|soap\w*|water|wd|lube|brake clean\w*|carb clean\w*|cold spray|freez\w+|silicone)\b",
    r"(?:pour|splash|spill)(?:ed|ing)? (?:in )?(?:some |a |a bit of |a little |more |five |ten |fresh )?(?:\w+ )?"
    r"(?:petrol|fuel|gas|litres?|gallons?|can)(?: of \w+)? (?:in|into)",
    r"(?:pour|gush|stream|com|flow|run|spray|squirt|dribbl|trickl)\w*(?: \w+){0,3} (?:in|into|to) (?:a |an |the |my )?"
    r"(?:\w+ )?(?:can|jug|bottle|jar|bucket|container|tin|tank|measuring|cylinders?|bores?|engine|intake|port)\b",
    r"returns?(?: (?:at|in|to|into) the tank| end)?(?:'s| is| was)?(?: only| just| barely| really)? (?:gush|trickl|"
    r"dribbl|pour|"
    r"splash|spray|squirt)\w*(?! (?:onto|on to|on the|down|all over|everywhere|under|off))",
    r"(?:dribbl|trickl|gush)\w* (?:\w+ )?back", r"(?:spark ?)?plugs?(?: are| is|'s)? dripping",
    r"splash\w*(?: back)? (?:\w+ )?(?:at|in|from|inside) (?:the )?(?:filler|cap|tank|above)",
    r"(?:pour|gush|run|com|flow|go)\w* back\b", r"leak (?:detector|spray)", r"spray (?:pattern|cones?|nozzles?|bar)",
    r"injectors? (?:all |do |does |still )?(?:spray|squirt)s?(?= (?:fine|well|ok|okay|good|when|while|evenly))",
)  # fmt: skip
_TEST_STREAM = _says(
    r"with the rail (?:lifted|up|off|out)", r"(?:lift|lifted|pull|pulled) the rail", r"on the (?:flow )?bench",
    r"(?:out of|from) the (?:opened |open )?return(?! (?:hose|line|pipe|union|joint|fitting))", r"injector tips?",
)  # fmt: skip
_NOT = (
    r"no|not|never|without|neither|nor|none|nothing|nowhere|isn'?t|wasn'?t|aren'?t|doesn'?t|don'?t|didn'?t|hasn'?t|"
    r"haven'?t|won'?t|can'?t|cannot|couldn'?t|free of|nobody"
)
_DENIED = re.compile(
    rf"\b(?:{_NOT}|any)\b(?! only| stop| just)(?:(?! but | and | though | yet | while | until | when | because | "
    rf"since | so | stop )[^,.;:]){{0,34}}$",
    re.I,
)
_ASKED = re.compile(r"\b(?:(?<!what )if|whether|in case|should|must|would)\b[^,.;:]{0,20}$", re.IGNORECASE)
_AFTER_IT = re.compile(r"^[^,.;:]{0,24}\b(?:nowhere|nothing|not at all)\b", re.IGNORECASE)

_FROM = r"(?:from|out of|off|at|by|round|around|between|under|of|where)"
PLACES: tuple[tuple[str, str], ...] = (
    ("fuel-at-test-port", r"test port|schrader|service valve|tyre valve"),
    ("damper-lid-wet", r"damper|round (?:can|tin)"),
    ("fuel-in-reference-hose", r"(?:vacuum|vac|reference|small|thin|little) (?:hose|pipe|line|tube)"),
    ("return-joint-wet", r"return(?: \w+)?"),
    ("fuel-at-filter", r"(?:fuel )?filter"),
    ("fuel-at-cap", r"regulator|reg|fpr"),
    ("fuel-at-pump", r"(?:fuel )?pump"),
    ("fuel-at-tank", r"tank|filler|sender"),
    ("fuel-at-rail", r"rail|injectors?|o ?rings?|seals?"),
    ("fuel-at-joint", r"unions?|joints?|fittings?|hoses?|pipes?|lines?|clips?|couplings?|connections?|tees?|banjo"),
)
_ENGINE = _says(
    r"exhaust", r"(?:hot )?manifold", r"headers?", r"down ?pipe", r"turbo", r"block", r"cylinder head", r"head",
    r"engine", r"starter(?: motor)?", r"alternator", r"dynamo", r"bell ?housing", r"gearbox", r"plugs?", r"coils?",
    r"distributor", r"plenum", r"inlet", r"intake", r"bonnet", r"hood", r"bulkhead", r"firewall", r"rocker cover",
    r"cam cover", r"valve cover", r"sump", r"battery", r"loom", r"radiator", r"fan", r"belts?", r"heat ?shield",
)  # fmt: skip
DRY_SIGNS = frozenset(
    {"fuel-smell", "fuel-in-cabin", "smell-at-reference-hose", "level-falls-standing", "wet-only-when-pump-runs"}
)
"""Signs of a leak that do not say by themselves that liquid fuel stands outside."""

_WET_BESIDE = frozenset({"injector-tip-drips", "splash-at-filler"})  # liquid to be seen, though no leak


def told_at(sentence: str) -> list[re.Match[str]]:
    """The words of a sentence that say, undenied, that liquid fuel leaves where it should stay."""
    plain = _NO_LEAK_OF_FUEL.sub(lambda found: " " * len(found[0]), sentence)
    found = [m for m in _LEAVES_SAID.finditer(plain) if not _TEST_STREAM.search(plain)]
    for flow in _FLOWS_SAID.finditer(plain):
        before = plain[: flow.start()]
        lands = _ENGINE.search(plain, flow.end() - 4) or re.search(r"\b(?:floor|ground|car)\b", plain[flow.end() - 4 :])
        if _LIQUID.search(before) or (_IT.search(before) and lands and not re.search(r"\b(?:out|from)$", flow[0])):
            found.append(flow)
    lies = _LIES.search(plain)
    if lies and not _INSIDE.search(sentence):
        found.append(lies)
    return [m for m in found if not _denied(plain, m)]


def _denied(text: str, found: re.Match[str]) -> bool:
    before = text[: found.start()]
    return bool(_DENIED.search(before) or _ASKED.search(before) or _AFTER_IT.search(text[found.end() :]))


def nearest(sentence: str) -> tuple[str, ...]:
    """The entries for a place that some words name, the nearest first; the last is always under the car."""
    named = [
        (m.start(), sign) for sign, words in PLACES
        for m in [_says(rf"{_FROM} (?:the |a |my |one |that |its )?(?:\w+ ){{0,2}}?(?:{words})").search(sentence)] if m
    ]  # fmt: skip
    any_named = [(m.start(), sign) for sign, words in PLACES if (m := _says(words).search(sentence))]
    found = [sign for _, sign in sorted(named)[:1]] or [sign for _, sign in sorted(any_named)[:1]]
    if _ENGINE.search(sentence):
        found.append("fuel-at-rail")
    return tuple(dict.fromkeys([*found, "fuel-under-car", "fuel-at-joint"]))


def never_missed(sentence: str, heard: list[Heard], book: RuleBook) -> list[Heard]:
    """The pieces with a wet sign ticked or asked back wherever liquid fuel outside was told.

    One that stands first in its piece is enough; it is asked where it was not ticked. Otherwise the nearest places are
    put before everything else that was heard, ticked where the fuel itself was named and seen.
    """
    if not told_at(sentence):
        return heard
    wet = [at for at, piece in enumerate(heard) if _is_wet(piece.best, book)]
    if wet:
        sure = any(heard[at].ticked for at in wet)
        return [
            piece if sure or at not in wet else replace(piece, ask=True) for at, piece in enumerate(heard)
        ]  # fmt: skip
    items = tuple(
        Item("sign", name, PRESENT, "", f"{one_line(book.signs[name].title)}: yes", 0.8 - 0.2 * (at > 0))
        for at, name in enumerate(nearest(sentence)[:3])
        if name in book.signs
    )
    if not items:
        return heard
    seen = _FUEL.search(sentence) is not None and not claimed(sentence)
    return [Heard(" ".join(sentence.split()), items, seen, not seen), *heard]


def _is_wet(item: Item, book: RuleBook) -> bool:
    if item.kind != "sign" or item.answer != PRESENT or item.id in DRY_SIGNS:
        return False
    return book.signs[item.id].wet or item.id in _WET_BESIDE
