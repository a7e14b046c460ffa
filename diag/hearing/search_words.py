"""A text as what the search compares: meanings, plain words, and pairs of words, each kind with a weight of its own.

Three views of one text. *Meanings* are the folded stems of ``diag.hearing.words``, so that the search knows every word
that hearing knows; a denied one stands besides as ``not_STEM``. *Plain words* (``r:``) are what was really written, put
into the trade's terms, where folding made something else of it: the entry that says it in the same words comes first.
*Pairs* (``b:``) are neighbouring plain words, so that "turns over" is more than "turns" and "over".
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from itertools import pairwise

from diag.hearing.everyday import SCENERY as STORY
from diag.hearing.words import Word, stem_of, words_of, words_of_lines


def _words(text: str) -> frozenset[str]:
    return frozenset(text.split())


PLAIN, PAIR, DENIED = "r:", "b:", "not_"
WEIGHT = {PLAIN: 0.4, PAIR: 0.15}
"""Of a plain word and a pair beside a meaning. Chosen by leaving each everyday phrase of the book out in turn: whether
the search still finds its entry first moves by less than 0.01 of all phrases from half to twice of it."""

_RAW = re.compile(r"[a-z0-9]+")
_NEGATIVE = _words(
    "no not never without none nothing cannot cant wont doesnt dont didnt isnt wasnt hardly nor neither aint nowt"
)
_EMPTY = _words(
    "a an and are as at be but by car do does did for from get got has have he i in is it its just me my of on or our "
    "s she so t that the there they this to up was we when with you your how what where which should would could will "
    "can see if then some any please want"
)
_FORMS = """
wear wore worn / tear tore torn / blow blew blown / break broke broken / stick stuck / freeze froze frozen / leave left
lose lost loss / bend bent / bleed bled / burn burnt / hang hung / hold held / keep kept / fall fell fallen
rise rose risen / sink sank sunk / stand stood / sit sat / stink stank stunk / run ran / spin spun / wind wound
throw threw thrown / draw drew drawn / feed fed / hear heard / find found / build built / buy bought / catch caught
lean leant / smell smelt / spill spilt / spit spat / shake shook shaken / swell swollen / shrink shrank shrunk
drive drove driven / eat ate eaten / give gave given / die dead dying / drink drank drunk / lie lying / sweep swept
swing swung / creep crept / fly flew flown / seize siezed / bind bound / bad worse worst
"""
_IRREGULAR = {form: base for base, *forms in map(str.split, re.split(r"[/\n]", _FORMS.strip())) for form in forms}
"""Irregular forms and their base, which no stemmer knows (a grammar's table, from memory)."""
_MORE_SCENERY = "winter monday husband wife town whole thing whenever however always through by along all again wheel"
SCENERY = frozenset(stem_of(word) for word in {*STORY, *_MORE_SCENERY.split()})
"""What a story plays among, as stems: a word of it weighs less than one of the trade."""

PARTS = frozenset(
    stem_of(word)
    for word in [
        "pump",
        "return",
        "regulator",
        "injector",
        "rail",
        "filter",
        "tank",
        "hose",
        "gauge",
        "relay",
        "fuse",
        "throttle",
        "wire",
        "ground",
        "adjuster",
        "nipple",
        "spring",
        "diaphragm",
        "seat",
        "sensor",
        "intake",
        "manifold",
        "exhaust",
        "connector",
        "port",
        "cap",
        "cover",
        "lid",
        "strainer",
        "damper",
        "battery",
        "alternator",
        "coil",
        "key",
        "starter",
        "switch",
        "catalyst",
        "compression",
        "timing",
        "canister",
        "purge",
        "vent",
        "pot",
        "servo",
        "ring",
        "washer",
        "screw",
        "cam",
        "turbocharger",
        "intercooler",
        "plug",
        "spark",
        "signal",
        "controller",
        "immobiliser",
        "camshaft",
        "drop",
        "lamp",
        "oil",
        "water",
        "ethanol",
        "alcohol",
        "vacuum",
        "boost",
        "idle",
        "cylinder",
        "fitting",
        "adapter",
        "trim",
    ]
)
"""Stems of what there is to speak of: who names a part means that part, however many entries speak of it."""


def bare(token: str) -> str:
    """A token without the mark of its kind."""
    return token.removeprefix(PLAIN).removeprefix(DENIED)


def weight_of(token: str) -> float:
    """How much a token of its kind counts."""
    return WEIGHT.get(token[:2], 1.0)


def tokens_of(text: str, put: Callable[[str], str]) -> list[str]:
    """What a text is compared by, each once.

    Args:
        put: puts a text into the trade's terms.
    """
    return _tokens(words_of(text), put(text))


def tokens_of_lines(texts: list[str], put: Callable[[str], str]) -> list[list[str]]:
    """The same for many lines of a book at once."""
    return [_tokens(words, put(text)) for words, text in zip(words_of_lines(texts), texts, strict=True)]


def plain_words(text: str) -> list[str]:
    """Stems of the words as they stand, what denies as one word, without empty ones."""
    raw = _RAW.findall(text.lower().replace("'", "").replace("’", ""))
    return ["no" if word in _NEGATIVE else stem_of(_IRREGULAR.get(word, word)) for word in raw if word not in _EMPTY]


def _tokens(meanings: Iterable[Word], in_terms: str) -> list[str]:
    found: dict[str, None] = {}
    for meaning in meanings:
        found[meaning.stem] = None
        if meaning.denied:
            found[DENIED + meaning.stem] = None
    plain = plain_words(in_terms)
    for word in plain:
        found[PLAIN + word] = None
    for one, other in pairwise(plain):
        found[f"{PAIR}{one}_{other}"] = None
    return list(found)
