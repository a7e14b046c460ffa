"""What must never be missed and never be made up: fire, fuel vapour around people, somebody hurt.

Each is offered on its own words and on no others: "starts" is no fire though an engine fires, "goes like stink" is no
smell. Where its own words were said it is always offered, however little else fits. Common practice, no source.
"""

from __future__ import annotations

import re
from dataclasses import replace

from diag.hearing.understood import Heard, Item
from diag.rulebook.findings import PRESENT
from diag.rulebook.model import RuleBook
from diag.support.text import one_line


def _says(*patterns: str) -> re.Pattern[str]:
    return re.compile(rf"\b(?:{'|'.join(patterns)})(?!\w)", re.IGNORECASE)


_VAPOUR = r"smell\w*|smelt|stinks?|stank|stinking|reeks?|reeking|fumes|stench|pongs?|whiff|vapou?rs?"
_ROOM = (
    r"cabin|boot|trunk|inside|interior|cockpit|passengers?|heater|(?:back|rear|front) seats?|clothes|carpet|"
    r"headache|saloon|cab|"
    r"windows?|(?:in|inside) the (?:van|truck|camper|car)|kids?"
)
_PERSON = r"my|me|mi|his|her|our|their|the (?:\w+ )?(?:driver|passenger|boy|girl|child|lad|kid)(?:'s)?"
_SMOKER = (
    r"(?:i|we|they|he|who|(?:neighbou?r|mate|friend|brother|bloke|guy|man|dad|boss|helper|customer|owner|wife|husband|"
    r"son|lad|colleague|anyone|anybody|someone|somebody|people))(?:'s|'m|'re| is| are| am| was| were)? "
    r"(?:\w+ )?(?:smok(?:es|ing)|vap(?:es|ing))"
)
"""A person who smokes; an engine that does is called "it" or "she"."""
OWN_WORDS: dict[str, tuple[re.Pattern[str], ...]] = {
    "fire-or-smoke": (
        _says(
            r"flam(?:e|es|ing)", r"ablaze", r"alight", r"smoulder\w*", r"burst into fire", r"blaz(?:e|es|ing)",
            r"(?:on|caught|catch|catches|catching|a|an|small|the|engine|electrical|and|or|of) fire(?! (?:up|s|on))",
            r"fire (?:under|in the (?:engine|car|boot|bay|bonnet)|near|from|and|or|brigade|extinguisher)",
            r"fire(?=\W*$)(?<!not fire)(?<!n't fire)(?<!t fire)(?<!it fire)(?<!to fire)(?<!never fire)(?<!she fire)",
            r"is burning(?: under| in|$)", r"burning (?:under|near|wire|wiring|plastic|rubber)",
            r"(?<!black )(?<!blue )(?<!white )(?<!grey )(?<!sooty )(?<!dark )smok(?:e|es|ing)(?! test| machine)",
        ),
    ),
    "fuel-in-cabin": (_says(_VAPOUR, r"petrol|gas(?:oline)?|fuel"), _says(_ROOM)),
    "person-affected": (
        _says(
            r"dizzy|giddy|faint(?:ed|s|ing)?|unwell|nause\w*|vomit\w*|throwing up|threw up|passed out|unconscious",
            r"(?:feel|feels|feeling|felt|been|is|was) (?:\w+ )?(?:sick|ill|queasy|poorly)|swallowed|mouthful",
            r"sprayed (?:me|him|her|us|in|my|his|her)|splash\w* (?:me|him|her|in)",
            rf"(?:in|on|into|onto|over|down|up|across) (?:{_PERSON}) (?:\w+ )?(?:eyes?|face|skin|hands?|mouth|arms?)",
            rf"(?:burn(?:t|ed|s)?|hurt) (?:{_PERSON}|myself|himself|herself)|headache|in the eyes?|got sprayed",
        ),
    ),
    "flame-or-spark-near": (
        _says(
            r"weld\w*", r"grind(?:ing|er)\b", r"cigar\w*", _SMOKER,
            r"(?:fag|cig\w*|smoke|roll-?up|pipe|vape) (?:on|lit|going|in (?:his|her|their|my) (?:mouth|hand))(?! the)",
            r"smoking (?:a|near|beside|next to|over|right by)|smokers?",
            r"(?:having|have|has|had|lit|lights?|lighting) (?:a|up|another) (?:smoke|fag|cig\w*|roll-?up|pipe|vape)",
            r"(?:heater|boiler|stove|candle|burner|blow ?lamp|torch(?= flame)|"
            r"pilot light)s?", r"sparks? (?:fly\w*|near)",
            r"naked (?:flame|light)|bare (?:lamp|bulb)", r"sparking|lighter|barbecue",
        ),
    ),
}  # fmt: skip
SURE = 0.6  # what fits worse than this gives way to an alarm that was told
_SMOKING = _says(_SMOKER)
_CERTAIN = _says(r"flames?", r"(?:on|caught|catching|catches) fire", r"ablaze", r"swallowed", r"passed out")
_EXHAUST = _says(r"exhaust|tail ?pipe|out of the back|behind (?:it|me|us|the car)|when i (?:pull|accelerate|rev)")
_LIKE = re.compile(
    r"\b(?:like|as) (?:stink|smoke|fire|a house on fire|hell|an? (?:\w+ )?\w+)\b|"
    r"\bno smoke without fire\b",
    re.IGNORECASE,
)
_DENIED = re.compile(r"\b(?:no|not|never|without|neither|nor|isn'?t|wasn'?t|doesn'?t|any|free of)\b[^,.;]{0,28}$", re.I)
_SMOKE = re.compile(r"^smok", re.IGNORECASE)


def without_likeness(words: str) -> str:
    """Some words without what a thing is only likened to: "goes like stink"."""
    return _LIKE.sub(" ", words)


def _meant(name: str, words: str) -> str:
    """The words without likenesses, and for a fire without people who smoke."""
    plain = without_likeness(words)
    return _SMOKING.sub(" ", plain) if name == "fire-or-smoke" else plain


def said(name: str, words: str) -> bool:
    """Whether some words speak of an alarm themselves, denied or not."""
    plain = _meant(name, words)
    return all(pattern.search(plain) for pattern in OWN_WORDS[name])


def _told(name: str, words: str) -> bool:
    """Whether they say that it is so, or was."""
    plain = _meant(name, words)
    first = OWN_WORDS[name][0].search(plain)
    if first is None or not said(name, words) or _DENIED.search(plain[: first.start()]):
        return False
    if name == "fuel-in-cabin" and not _says(_VAPOUR).search(plain):
        return False
    return not (name == "fire-or-smoke" and _SMOKE.match(first[0]) and _EXHAUST.search(plain))


def only_own_words(heard: list[Heard]) -> tuple[list[Heard], list[str]]:
    """The pieces without alarms that nobody said, and the words of those of which nothing is left.

    Those that were said are never only among the doubtful.
    """
    kept, left = [], []
    for piece in heard:
        items = tuple(i for i in piece.items if i.id not in OWN_WORDS or i.kind != "sign" or said(i.id, piece.words))
        if not items:
            left.append(piece.words)
            continue
        first = items[0] is piece.items[0]
        alarm = any(i.id in OWN_WORDS and i.answer == PRESENT and _told(i.id, piece.words) for i in items)
        ticked = piece.ticked and first
        # An alarm that was told must not drop out of a list that shows the likeliest few.
        if alarm and not ticked:  # and stands first where nothing else was told in words of its own either
            told = tuple(i for i in items if i.id in OWN_WORDS and i.answer == PRESENT)
            items = (*told, *(i for i in items if i not in told)) if items[0].confidence < SURE else items
        kept.append(replace(piece, items=items, ticked=ticked, ask=(piece.ask and first) or (alarm and not ticked)))
    return kept, left


def missed(sentence: str, heard: list[Heard], book: RuleBook) -> list[Heard]:
    """Alarms that a sentence tells in their own words and that no piece offers; certain ones are ticked."""
    offered = {item.id for piece in heard for item in piece.items if item.kind == "sign"}
    found = []
    for name in OWN_WORDS:
        if name in offered or name not in book.signs or not _told(name, sentence):
            continue
        item = Item("sign", name, PRESENT, "", f"{one_line(book.signs[name].title)}: yes", 0.8)
        certain = _CERTAIN.search(sentence) is not None
        found.append(Heard(" ".join(sentence.split()), (item,), certain, not certain))
    return found
