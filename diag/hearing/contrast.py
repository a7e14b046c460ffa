"""The other half of a contrast: "won't start hot, fine when it's cold", "only bad warm, cold she's a peach".

A clause that says no more than that all is well in some state of the car has its subject in the clause beside it, or in
the sentence before. Word by word it is next to nothing, and whatever line of the book has its two words would be taken
for it. Common practice of speech, no source.
"""

from __future__ import annotations

import re
from itertools import pairwise

from diag.hearing.composed import composed, said_of, spoken_of
from diag.hearing.concepts import ENGINE, PARTS
from diag.hearing.everyday import SCENERY
from diag.hearing.pieces import parts_at
from diag.hearing.vocabulary import EMPTY, NEGATIVE, TURNS_BACK

WELL_IN: dict[str, tuple[str, ...]] = {
    "cold": ("!long-crank-cold", "stalls-hot", "!worse-in-frost"),
    "frost": ("!worse-in-frost", "!long-crank-cold", "stalls-hot"),
    "hot": ("!long-crank-hot", "!stalls-hot", "long-crank-cold"),
    "hot stop": ("!long-crank-hot", "!stalls-hot", "long-crank-cold"),
    "idle": ("!rough-idle", "!stalls-at-idle", "flat-at-full-load"),
    "load": ("!flat-at-full-load", "!low-power", "!dies-under-load"),
    "cruise": ("!hesitates", "flat-at-full-load", "!low-power"),
    "full tank": ("worse-when-tank-low",),
    "low tank": ("!worse-when-tank-low",),
}
"""What may be meant where all is well in a state and nobody says what is; the likeliest first. Judgement."""

OFFERED, LESS = 0.5, 0.06  # none of these is ever sure, and each next one is less likely
_SAY_NOTHING = frozenset({"weather", "as", "long", "mostly", "usually", "always", "much", "else"})
_SILENT = EMPTY | SCENERY | TURNS_BACK | _SAY_NOTHING
_WORD = re.compile(r"[a-z0-9]+")
_ONLY = re.compile(r"\bonly\b", re.IGNORECASE)
_WELL = ("fine", "at once")
_STARTING = frozenset({"start", "crank", "long"})
_NO_WELL = re.compile(r"\b(?:well|right|clear|clean|sound|strong)\b")  # these call a part well, not the whole car


def well_in(text: str) -> str:
    """The state in which some words say that all is well, when they say no more than that; else empty."""
    told = said_of(text)
    spoken = spoken_of(told)
    fine = [spot for name in _WELL for spot in spoken.get(name, ()) if not spot[2]]
    states = [name for name in WELL_IN if name in spoken]
    if not fine or not states or _NO_WELL.search(told):
        return ""
    if any(name in ENGINE or name in PARTS for name in spoken if name not in ("run", "smell")):
        return ""
    spans = [(a, b) for name in (*_WELL, *states) for a, b, _ in spoken.get(name, ())]
    heavy = [
        word for word in _WORD.finditer(told)
        if word[0] not in _SILENT and not any(a < word.end() and word.start() < b for a, b in spans)
    ]  # fmt: skip
    return "" if heavy or any(word[0] in NEGATIVE for word in _WORD.finditer(told)) else states[0]


def where_joined(text: str) -> str:
    """The text with "hot only", told after a comma, joined to the complaint it belongs to.

    After what is denied or well it begins the complaint instead: "no trouble on the flat, only on hills".
    """
    spans = parts_at(text)
    for (begin, stop), (start, end) in reversed(list(pairwise(spans))):
        before = said_of(text[begin:stop])
        denied = any(made.target.startswith("!") for made in composed(before)[:1])
        if denied or "fine" in spoken_of(before):
            continue
        if _ONLY.search(text[start:end]) and _says_only_where(text[start:end]):
            head = text[:start].rstrip(" ,-:")
            text = f"{head} {text[start:end]}{text[end:]}"
    return text


def _says_only_where(part: str) -> bool:
    """Whether some words say in which state of the car, and nothing else."""
    told = said_of(part)
    spoken = spoken_of(told)
    spans = [(a, b) for name in WELL_IN for a, b, _ in spoken.get(name, ())]
    heavy = [
        word for word in _WORD.finditer(told)
        if word[0] not in _SILENT and not any(a < word.end() and word.start() < b for a, b in spans)
    ]  # fmt: skip
    return bool(spans) and not heavy and "fine" not in spoken


def by_heat(text: str) -> bool:
    """Whether some words say that all is well cold, or hot: the other half of a complaint, but of none that fades."""
    return well_in(text) in ("cold", "hot", "hot stop", "frost")


def complaint_of(sentence: str, part: str, before: str) -> str:
    """The word for what is well in that state, taken from the rest of the sentence or the one before; may be empty."""
    for text in (sentence.replace(part, " "), before):
        spoken = spoken_of(said_of(text))
        if _STARTING & spoken.keys() and ("start" in spoken or "crank" in spoken):
            return "starts"
        if spoken:
            return ""
    return ""


def completed(parts: list[str], sentence: str, before: str) -> dict[str, str]:
    """Of the fragments that say no more than that all is well in some state: the fragment with its subject."""
    found = {}
    for part in parts:
        if well_in(part):
            verb = complaint_of(sentence, part, before)
            if verb:
                found[part] = f"{verb} {part}"
    return found
