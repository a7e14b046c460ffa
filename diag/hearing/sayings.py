"""What is told plainly in words that no comparing of words can place: that a thing is well, and what came of a deed.

"A fat blue spark" shares its only telling word with "no spark", and "swapped the relay and it's the same" with "cured
with another relay": counted word by word, the healthy answer is heard as the fault. The tables of ``sayings_table``
therefore name the thing, the words that call it well and the entry they deny. What was placed here is taken out of the
sentence, so that it is not heard once more as something else. Common practice of speech, no source.
"""

from __future__ import annotations

import re
from functools import cache

from diag.fuelsystem.fields import FIELDS
from diag.hearing.claims import claimed, passed_on, within
from diag.hearing.sayings_found import FOUND
from diag.hearing.sayings_table import DEEDS, GOOD, HEALTHY, NOTHING_CAME, SAID
from diag.hearing.understood import Heard, Item
from diag.rulebook.findings import ABSENT, PRESENT
from diag.rulebook.model import RuleBook
from diag.support.text import one_line

SURE = 0.85  # how well it fits: written for these very words
_NEGATED = re.compile(
    r"\b(?:no|not|never|isn'?t|wasn'?t|aren'?t|doesn'?t|don'?t|didn'?t|won'?t|can'?t|cannot|hardly|barely|used to|"
    r"should|if|when it was|no longer|without|until)\b",
    re.IGNORECASE,
)
_LEAD_IN = re.compile(r"[^,.;:]{0,16}$")
_BETWEEN = r"(?:\W+(?!but\b|and\b)[\w']+){0,5}?\W+"
_AFTER_DEED = r"(?:[^.;!?]{0,60}?)"


def heard_in(sentence: str, book: RuleBook) -> tuple[list[Heard], str]:
    """What a sentence tells plainly, and the sentence with those words blanked out."""
    heard: list[Heard] = []
    left = sentence
    claims, told_on = claimed(sentence), passed_on(sentence)
    for pattern, target, guarded in _patterns():
        found = pattern.search(left)
        if found is None or (guarded and _negated(left, found)):
            continue
        item = item_of(target, book)
        if item is None:
            continue
        seen = not within(found.start(), claims) or within(found.start(), told_on)
        heard.append(Heard(" ".join(found[0].split()).strip(" ,.;"), (item,), seen))
        left = f"{left[: found.start()]}{' ' * len(found[0])}{left[found.end() :]}"
    return heard, left


def _negated(text: str, found: re.Match[str]) -> bool:
    """Whether the healthy words are themselves denied: "not a strong spark"."""
    lead = _LEAD_IN.search(text[: found.start()])
    return _NEGATED.search(found[0]) is not None or (lead is not None and _NEGATED.search(lead[0]) is not None)


@cache
def _patterns() -> tuple[tuple[re.Pattern[str], str, bool], ...]:
    """Every row as a pattern, with what it means and whether a denial within takes it back."""
    rows: list[tuple[str, str, bool]] = []
    for done, target, came in DEEDS:
        rows.append((rf"(?:{done})(?:{_AFTER_DEED})\b(?:{NOTHING_CAME})", f"!{target}", False))
        rows.append((rf"(?:{done})(?:{_AFTER_DEED})\b(?:{came or GOOD})", target, False))
    rows += [(words, target, False) for words, target in (*FOUND, *SAID)]
    for thing, well, target in HEALTHY:
        rows.append((rf"(?:{thing}){_BETWEEN}(?:{well})", target, True))
        rows.append((rf"(?:{well})(?:\s+[\w']+){{0,2}}?\s+(?:{thing})", target, True))
    return tuple((re.compile(rf"\b(?:{words})(?!\w)", re.IGNORECASE), target, g) for words, target, g in rows)


def item_of(target: str, book: RuleBook) -> Item | None:
    """The entry a row names, as tests and the book name it: "!sign", "sign", "sign=choice" or "F:field=value"."""
    if target.startswith("F:"):
        name, _, value = target[2:].partition("=")
        title = book.contexts[name].title if name in book.contexts else FIELDS[name].title if name in FIELDS else ""
        return Item("fact", name, value, "", f"{one_line(title)}: {value}", SURE) if title else None
    name, _, choice = target.lstrip("!").partition("=")
    sign = book.signs.get(name)
    if sign is None:
        return None
    answer = choice or (ABSENT if target.startswith("!") else PRESENT)
    shown = {PRESENT: "yes", ABSENT: "no"}.get(answer) or one_line(
        next((a.words for a in sign.choices if a.id == answer), answer)
    )
    return Item("sign", name, answer, "", f"{one_line(sign.title)}: {shown}", SURE)
