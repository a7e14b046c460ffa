"""A cause whose own words name what a person would notice must be linked to it, or say why not.

What is written under ``in_words`` is read and believed; if it speaks of a knock that wakes the pump and no link does,
the reasoning counts the knock against the cause. The table holds words that mean a thing to be noticed, each with the
signs of which one must be linked by hand. What the physics decides is linked by what the cause acts on.
"""

import re
from collections.abc import Iterator

from diag.rulebook.causes import Cause
from diag.rulebook.desk import Problem
from diag.rulebook.lint.tools import advice
from diag.rulebook.load import Draft
from diag.rulebook.model import RuleBook

_MARKERS = tuple(
    (re.compile(words, re.IGNORECASE), tuple(signs.split()))
    for words, signs in (
        (r"(?:starts?|wakes?|runs?) on a (?:knock|tap)", "tap-wakes-pump tap-wakes-relay"),
        (
            r"nearly empty|low tank|little fuel|tank is low|fuller tank",
            "worse-when-tank-low runs-out-half-full more-fuel-cures cuts-in-corners fuel-added-cures",
        ),
        (r"in corners|under braking", "cuts-in-corners log-dips-with-force"),
        (r"lamps? (?:go |grow )?dim|with lamps and fans", "dims-with-loads other-lamps-dim log-against-gauge"),
        (r"\brains?\b|washing|damp weather", "worse-after-rain"),
        (r"\bbumps?\b", "cuts-over-bumps wiggle-changes-it"),
        (r"freez|frost|\bice\b", "worse-in-frost thaws-and-runs"),
        (r"\bhiss", "cap-hiss intake-leak-found charge-air-leaks"),
        (r"\bfoams?\b|\bbubbles\b|froth", "fuel-foam-in-return bubbles-before-pump pump-sound-changes pump-sound"),
        (r"\bbuzz|chatter", "regulator-buzzes hums-rail relay-silent"),
        (r"\bwhines?\b|\bloud\b|\bnoisy\b", "pump-sound pump-sound-changes hums-rail regulator-buzzes"),
        (r"spits? at the (?:cap|filler)|splash(?:es)? into the air", "splash-at-filler"),
        (r"fuse blows|blows the fuse|blows? its fuse", "fuse-blown fuse-blows-again"),
        (
            r"(?:plug|connector|contact|holder)s? (?:gets?|grows?|runs?) (?:hot|warm)",
            "warm-connector contacts-burnt-inside lid-connector-burnt cuts-out-when-hot-bay",
        ),
        (
            r"after (?:a )?(?:fill|refuel)|after brimming",
            "changed-after-refuelling brimmed-just-before rich-after-refuel receipt-other-fuel jar-wrong-fuel",
        ),
        (r"full volts at", "silent-with-volts pump-runs-direct lamp-dark-at-pump"),
        (r"rev counter falls", "rev-counter-falls-at-once"),
        (r"\bwarning (?:lamp|light)", "warning-light-on"),
        (
            r"lets? fuel (?:through )?(?:in)?to the reference hose|fuel through to the reference",
            "fuel-in-reference-hose",
        ),
        (r"(?:hose|liner)(?: is| has)? (?:swollen|swells)", "hose-condition return-hose-soft fuel-hose-cracked"),
    )
)


def find(draft: Draft) -> Iterator[Problem]:
    """Causes that tell of something to be noticed that none of their links knows."""
    book = draft.book
    for cause in book.causes.values():
        for words, signs in _MARKERS:
            told = words.search(cause.in_words)
            known = [name for name in signs if name in book.signs]
            if told and known and not any(_speaks(book, cause, name) for name in known):
                what = f"Its words tell of {told[0]!r}, and it is linked to none of {', '.join(known)}."
                hint = "Link one of them under 'shows' or 'answers', or say why not under 'silent'."
                yield advice("own-words", draft.place("causes", cause.id, "in_words"), what, hint)


def _speaks(book: RuleBook, cause: Cause, sign: str) -> bool:
    found = book.signs[sign]
    by_physics = bool(found.conditions) and (bool(cause.acts_on) or cause.is_when is not None)
    states = (book.states[name] for name in cause.shows if name in book.states)
    linked = sign in cause.shows or sign in cause.answers or sign in cause.hides
    return linked or by_physics or cause.id in found.silent or any(sign in state.seen_as for state in states)
