"""An answer given in a person's own words to a question with choices: the choice whose words it shares. Pure."""

from __future__ import annotations

from collections import Counter

from diag.hearing.words import words_of
from diag.rulebook.findings import Sign
from diag.session.answers import said

LEAST = 0.5  # share of what was said, by weight, that a choice must hold
LEAD = 1.4  # by how much it must hold more than any other
_NO_CHOICE = frozenset(["yes", "no", "u", "unknown", "not", "known"])


def choice_in_words(sign: Sign, text: str) -> str | None:
    """The one choice that a person's words mean; None for a question without choices, or where none or two fit.

    A word that only one choice has says more than one that most have: each is weighed by how few choices hold it.
    """
    told = said(text).text
    if not sign.choices or told.casefold() in _NO_CHOICE or not told:
        return None
    spoken = {word.stem: word.denied for word in words_of(told)}
    lines = {
        choice.id: [
            {word.stem: word.denied for word in words_of(line)}
            for line in (choice.words, choice.id.replace("-", " "), *choice.phrases)
        ]
        for choice in sign.choices
    }
    holders = Counter(stem for every in lines.values() for stem in {stem for line in every for stem in line})
    weight = {stem: 1.0 / holders[stem] if stem in holders else 0.5 / len(sign.choices) for stem in spoken}
    total = sum(weight.values())
    if not total:
        return None
    shares = {
        name: max(sum(weight[s] for s, denied in spoken.items() if line.get(s) == denied) for line in every) / total
        for name, every in lines.items()
    }
    (best, share), (_, second) = sorted(shares.items(), key=lambda pair: -pair[1])[:2]
    return best if share >= LEAST and share >= LEAD * second else None
