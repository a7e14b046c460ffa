"""How often a sign is there in the jobs that the book expects: P(s) = 1 - (1 - leak) * prod over causes (1 - p_c q_cs).

One cause at a time, in the book's own frequencies, without what is known of this job: good enough to break ties.
"""

from __future__ import annotations

from collections.abc import Mapping

from diag.rulebook.model import RuleBook


def sign_chances(book: RuleBook) -> dict[str, float]:
    """Sign id -> chance, from 0 to 1, that it is there in a job; of a choice, the chance of anything unusual."""
    total = sum(cause.how_often.share for cause in book.causes.values()) or 1.0
    absent = {name: 1.0 - sign.chance for name, sign in book.signs.items()}
    for cause in book.causes.values():
        share = cause.how_often.share / total
        for name, strength in _shown(book, cause.shows).items():
            absent[name] *= 1.0 - share * strength
    return {name: 1.0 - chance for name, chance in absent.items()}


def _shown(book: RuleBook, shows: Mapping[str, float]) -> dict[str, float]:
    """Signs with their strength, hidden states followed to what they are seen as."""
    found: dict[str, float] = {}
    for name, strength in shows.items():
        if name in book.signs:
            found[name] = max(found.get(name, 0.0), strength)
        elif name in book.states:
            for sign, seen in book.states[name].seen_as.items():
                found[sign] = max(found.get(sign, 0.0), strength * seen)
    return found
