"""Words of everyday speech for the search, as stems: what is empty, what is the same, what only sets the scene."""

from __future__ import annotations


def _words(text: str) -> frozenset[str]:
    return frozenset(text.split())


EMPTY = _words(
    "a an and are as at be but by car do does did for from get got has have he i in is it its just me my no not of on "
    "or our s she so t that the there they this to up was we when with you your"
)
"""Words that carry no meaning here; dropped unless nothing else was typed."""

SAME = {
    "gas": "petrol", "gasoline": "petrol", "stink": "smell", "die": "stall", "dead": "no", "hard": "long",
    "bog": "hesitate", "pipe": "line", "idl": "idle", "drip": "leak", "weep": "leak", "amp": "current",
    "whin": "whine", "nois": "sound", "noisy": "sound", "knob": "screw", "adjuster": "screw",
    "sag": "fall", "sink": "fall", "tumbl": "fall", "drop": "fall", "plung": "fall",
    "dribbl": "leak", "seep": "leak", "ooz": "leak", "trickl": "leak",
    "pong": "smell", "reek": "smell", "whiff": "smell",
    "shiver": "shak", "shudder": "shak", "judder": "shak", "vibrat": "shak",
    "quit": "stall", "conk": "stall", "buz": "hum", "tickover": "idle",
}  # fmt: skip
"""Everyday words for the same thing."""

SCENERY = _words(
    "one two three four five six seven eight nine ten eleven twelve thirteen fourteen fifteen twenty thirty forty "
    "fifty sixty hundred monday tuesday wednesday thursday friday saturday sunday today yesterday week month year day "
    "winter spring autumn daughter wif husband friend motorway bypas road town home whol thing whenever however "
    "always through by along all again wheel"
)
"""What a story plays among: a word of it weighs less than one of the trade."""
