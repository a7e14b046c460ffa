"""What a typed line means: how sure, whose eyes, which of the offered answers. Pure."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from diag.casework.entries import Source, Sure
from diag.rulebook.findings import ABSENT, NOT_KNOWN, PRESENT, Sign
from diag.session.own_words import after_the_lead, in_own_words

_UNSURE = ("not sure", "not certain", "unsure", "i think", "i guess", "maybe", "perhaps", "probably", "i reckon",
           "i suppose", "i would say", "as far as i can tell", "as far as i know")  # fmt: skip
_TOLD = ("second hand", "second-hand", "hearsay", "i was told", "they say", "he says", "she says")
_YES = ("yes", "y", "yeah", "yep", "ja", "1")
_NO = ("no", "n", "nope", "2")
_UNKNOWN = ("u", "unknown", "not known", "don't know", "dont know", "do not know", "no idea", "could not see",
            "cannot see", "can't see", "cant see", "could not tell", "cannot tell", "3")  # fmt: skip


_NOT_KNOWN = re.compile(
    r"(?:sorry[,;]? )?(?:(?:i|we|he|she|they) )?(?:(?:can ?not|can'?t|could(?: not|n'?t)) (?:see|tell|say|remember)|"
    r"(?:do not|don'?t|did not|didn'?t) (?:know|remember|see|look|notice)|never (?:looked|noticed)|"
    r"have(?: not|n'?t) looked)(?: (?:it|that|them|from here|now|here|any more|right now))*|"
    r"not (?:seen|looked|looked at|visible)|no (?:clue|idea)|dunno|hard to (?:say|tell)|unseen|cannot be seen|pass",
    re.IGNORECASE,
)


@dataclass(frozen=True, slots=True)
class Said:
    """An answer without the words that weaken it."""

    text: str
    sure: Sure = "sure"
    source: Source = "own eyes"


def said(line: str) -> Said:
    """Take "unsure", "maybe", "second hand" and the like off the beginning or end of an answer."""
    text = " ".join(line.split())
    sure: Sure = "sure"
    source: Source = "own eyes"
    while True:
        rest, found = _without(text, _UNSURE)
        if found:
            text, sure = rest, "unsure"
            continue
        rest, found = _without(text, _TOLD)
        if not found:
            return Said(text, sure, source)
        text, source = rest, "second hand"


def _without(text: str, marks: Sequence[str]) -> tuple[str, bool]:
    for mark in marks:
        for pattern in (rf"(?i)^{re.escape(mark)}(?:[\s,:;]+|$)", rf"(?i)(?:^|[\s,;]+)\(?{re.escape(mark)}\)?$"):
            rest = re.sub(pattern, "", text, count=1)
            if rest != text:
                return rest.strip(" ,;:"), True
    return text, False


def sign_answer(sign: Sign, text: str, between: Sequence[str] = ()) -> str | None:
    """The answer as the book knows it, from words, a number of the list or a clear beginning; None when it is none."""
    told = " ".join(text.split()).casefold().rstrip(".!")
    if not sign.choices:
        if told.isdecimal():
            return None  # nothing is numbered where yes or no is asked
        if told in (PRESENT, *_YES):
            return PRESENT
        if told in (ABSENT, *_NO):
            return ABSENT
        if told in between:  # what this question takes between yes and no
            return told
        if not told or _is_unknown(told):
            return NOT_KNOWN
        if _is_unknown(after_the_lead(told)):
            return NOT_KNOWN if told.startswith("n") else None  # "no, can't see"; "yes, can't see" wants a question
        own = in_own_words(sign.ask, told)
        return None if own is None else PRESENT if own else ABSENT
    if told.isdecimal():
        at = int(told)
        if 1 <= at <= len(sign.choices):
            return sign.choices[at - 1].id
        return NOT_KNOWN if at == len(sign.choices) + 1 else None
    if not told or _is_unknown(told):
        return NOT_KNOWN
    spoken = {c.id: (c.id.replace("-", " ").casefold(), c.words.casefold()) for c in sign.choices}
    exact = [name for name, words in spoken.items() if told in words or told == name]
    close = exact or [name for name, words in spoken.items() if any(w.startswith(told) for w in words)]
    return close[0] if len(close) == 1 else None


def _is_unknown(told: str) -> bool:
    return told in _UNKNOWN or _NOT_KNOWN.fullmatch(told) is not None


_TO_THE_LAST = re.compile(
    r"(?P<first>.*\d.*?)[\s,]+"
    r"(?:(?:and )?(?:then |slowly )?(?:fall|drop|sink|ris|go|com|creep|climb|sagg?|fad)\w*(?: down| up| off)*"
    r"|down|up) to (?P<last>[~<>]?\s*-?\d.*)",
    re.IGNORECASE,
)
_WORDS_AFTER = re.compile(
    r",\s+(?!\d)|;\s*(?!\d)|"
    r"\s+(?=(?:after|then|and (?:steady|holding|no|stays|stayed|then)|at (?:once|first)|no change|steady|"
    r"holding|still|unchanged|the same|as before)\b)",
    re.IGNORECASE,
)
_ANOTHER_CONDITION = re.compile(
    r"\b(?:hose|reference|idle|idling|full|boost|throttle|pinched|clamped|hot|cold|gauge|engine|off|on)\b",
    re.IGNORECASE,
)


def figure_and_words(text: str, reads: Callable[[str], bool]) -> tuple[str, str]:
    """The figure of a told value, and the words told with it; the text itself where it is a figure, or none is clear.

    Of "46 falling to 44" the last counts. Words that may tell of another condition than was asked for leave the text
    as it is, so that it is asked again.

    Args:
        text: what was typed.
        reads: whether words are a value as it is asked for.
    """
    if reads(text):
        return text, ""
    falls = _TO_THE_LAST.fullmatch(text)
    told = falls["last"] if falls else text
    if falls is not None and reads(told) and reads(falls["first"]):
        unit = re.search(r"[a-z]+$", falls["first"].strip(), re.IGNORECASE)
        bare = re.fullmatch(r"[\d.]+", told.strip())
        return (f"{told.strip()} {unit[0]}" if unit and bare else told), text
    found = _WORDS_AFTER.search(told)
    if found is None:
        return text, ""
    figure, more = told[: found.start()].strip(), told[found.end() :]
    if _ANOTHER_CONDITION.search(more) or not reads(figure):
        return text, ""
    return figure, text


def picked(text: str, options: Sequence[str]) -> int | None:
    """Which of the options was meant, by number from 1, by word or by a clear beginning; None when unclear."""
    told = " ".join(text.split()).casefold()
    if told.isdecimal():
        return int(told) - 1 if 1 <= int(told) <= len(options) else None
    if not told:
        return None
    folded = [option.casefold() for option in options]
    hits = [at for at, option in enumerate(folded) if option == told]
    hits = hits or [at for at, option in enumerate(folded) if option.startswith(told)]
    return hits[0] if len(hits) == 1 else None


def yes_or_no(text: str) -> bool | None:
    """Yes, no, or neither."""
    told = text.strip().casefold().rstrip(".!")
    if told in _YES:
        return True
    return False if told in _NO else None
