"""What a piece of speech means where it is put together from concepts: complaint, condition, part and how it is.

Counting shared words needs a line in the book that says it in nearly the same words. Here every word of a concept
stands for the concept, so that "noses over flat out" is read as "no power at full load" though nobody wrote it down.
What denies reaches as far as the end of its clause, see ``TURNS_BACK``.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import cache, lru_cache
from itertools import pairwise

from diag.hearing.composed_table import COMPOSED
from diag.hearing.concepts import ENGINE, PARTS, STATES, patterns
from diag.hearing.everyday import SCENERY
from diag.hearing.vocabulary import EMPTY, NEGATIVE, TURNS_BACK
from diag.hearing.words import plain_text

BASE, COVERED, EACH = 0.36, 0.40, 0.07  # judgement: what a row is worth, how much covering all words adds, each concept
MOST = 0.96
NEARLY, IN_PART, TELLING = 0.16, 0.1, 0.06  # the same for a row of which a part was said; below all that is shown
TURNED = 0.95  # the telling concept was denied, so that the opposite is meant
_WORD = re.compile(r"[a-z0-9_]+")
_CLAUSE = re.compile(r"\b(?:and|but|then|yet|though|so|because|which|until|although|since|while)\b|[,;:.()]")
_SILENT = frozenset(EMPTY | SCENERY | NEGATIVE | TURNS_BACK) | {
    "real",
    "bad",
    "badly",
    "second",
    "moment",
    "whenever",
    "when",
}
_TURNS = re.compile(r"\b(?:but|yet|though|although|whereas|however|otherwise|until|till|unless|except)\b")
_IS = re.compile(r"(?<=[a-z])['\u2019]s\b", re.IGNORECASE)
_Told = dict[str, tuple[tuple[int, int, bool], ...]]  # concept -> where it stands, and whether it is denied there
_SHOWN = frozenset({"engine light", "battery light", "security"})  # whose being there is the finding
_GOES_OUT = re.compile(
    r"(?:\s+(?:is|was|has|had|does|did|will|stays?|goes|went|are|lamp|light|lights|itself|now|just))*\s+"
    r"(?:not|never|off|out|gone|no longer)\b"
)
_NO_ENGINE = frozenset({"needle", "relay"})  # what trembles, dies or goes weak besides the engine


@dataclass(frozen=True, slots=True)
class Composed:
    """One entry that the concepts of a piece of speech make up, with how well they cover it, from 0 to about 1."""

    target: str
    score: float
    spans: tuple[tuple[int, int], ...]  # where its concepts stand

    def beside(self, other: Composed) -> bool:
        """Whether each of the two rests on words that the other does not rest on, so that both are meant."""
        return _apart(self.spans, other.spans) and _apart(other.spans, self.spans)


@dataclass(frozen=True, slots=True)
class _Row:
    target: str
    wanted: tuple[tuple[tuple[str, bool], ...], ...]  # of each place: concepts, any of which will do, and if denied
    absent: frozenset[str]
    turns: bool
    in_order: bool
    spans_a_turn: bool  # may be told as "fine here, but not there"


@cache
def _rows() -> tuple[_Row, ...]:
    found = []
    for target, written in COMPOSED:
        wanted, absent = [], set()
        parts = written.lstrip("*>").split()
        for part in parts:
            if part.startswith("~"):
                absent.add(part[1:].replace("_", " "))
            else:
                wanted.append(tuple((w.lstrip("-").replace("_", " "), w.startswith("-")) for w in part.split("|")))
        named = {name for place in wanted for name, _ in place}
        if any(name in ENGINE and name != "smell" for name, _ in wanted[0]):
            absent |= _NO_ENGINE - named
        kind = written[:1]
        found.append(
            _Row(
                target,
                tuple(wanted),
                frozenset(absent),
                kind == "*",
                kind == ">",
                "fine" in named and target[0] != "!",
            )
        )
    return tuple(found)


@lru_cache(maxsize=2048)
def spoken_of(text: str) -> _Told:
    """The concepts that a plain text speaks of: where, and whether it denies them there."""
    denied = _denied(text)
    found = {}
    for name, pattern in patterns():
        spots = tuple((m.start(), m.end(), _is_denied(m, name, denied, text)) for m in pattern.finditer(text))
        if spots:
            found[name] = spots
    return found


def _is_denied(found: re.Match[str], name: str, denied: list[tuple[int, int]], text: str) -> bool:
    """Whether a word of denial reaches a concept; what is a subject is denied behind it too: "the light is not on"."""
    if any(a <= found.start() < b for a, b in denied):
        return True
    return name in _SHOWN and _GOES_OUT.match(text, found.end()) is not None


def _denied(text: str) -> list[tuple[int, int]]:
    """The stretches that a word of denial reaches: up to a word that turns back, or the end of the clause."""
    found = []
    start = -1
    for word in _WORD.finditer(text):
        if start >= 0 and (word[0] in TURNS_BACK or _CLAUSE.match(text, word.start())):
            found.append((start, word.start()))
            start = -1
        if word[0] in NEGATIVE and start < 0:
            start = word.end()
    return [*found, (start, len(text))] if start >= 0 else found


def said_of(text: str) -> str:
    """A text as the plain text that concepts are written for; "the pump's dead" is "the pump is dead"."""
    return plain_text(_IS.sub(" is", text))


@lru_cache(maxsize=2048)
def composed(text: str) -> tuple[Composed, ...]:
    """The entries that a plain text's concepts make up, best first.

    Args:
        text: plain, as ``said_of`` gives it.
    """
    told = spoken_of(text)
    turns = [m.start() for m in _TURNS.finditer(text)]
    bounds = [0, *turns, len(text) + 1]
    sides = [_between(told, a, b) for a, b in pairwise(bounds)] if turns else [told]
    heavy = [(w.start(), w.end()) for w in _WORD.finditer(text) if w[0] not in _SILENT and not w[0].isdigit()]
    best: dict[str, Composed] = {}
    for row in _rows():
        for side in [told] if row.spans_a_turn else sides:
            met = None if row.absent & side.keys() else _met(row, side)
            if met is None:
                continue
            spans, turned = met
            target = _opposite(row.target) if turned else row.target
            covered = sum(any(a < end and start < b for a, b in spans) for start, end in heavy) / max(len(heavy), 1)
            score = min(MOST, BASE + COVERED * covered + EACH * len(row.wanted)) * (TURNED if turned else 1.0)
            if target not in best or score > best[target].score:
                best[target] = Composed(target, round(score, 6), spans)
    return tuple(sorted(best.values(), key=lambda made: (-made.score, made.target)))


def speaks_of_a_car(text: str) -> bool:
    """Whether a plain text says what an engine does, when or where it does it, or more of a part than its name."""
    told = spoken_of(text)
    return any(name in ENGINE or name in STATES for name in told) or len({spots[0] for spots in told.values()}) > 1


@lru_cache(maxsize=2048)
def nearly(text: str) -> tuple[Composed, ...]:
    """The entries of whose concepts a plain text speaks in part, best first: never sure, but better than no offer.

    Somebody's own word for what the engine does is in no table; when it does it mostly is.
    """
    told = spoken_of(text)
    best: dict[str, Composed] = {}
    for row in _rows():
        if len(row.wanted) < 2 or row.target.startswith("!") or row.absent & told.keys():
            continue
        met = [
            next(
                ((a, b) for name, no in ways for a, b, denied in told.get(name, ()) if _agrees(name, no, denied)), None
            )
            for ways in row.wanted
        ]
        spans = tuple(spot for spot in met if spot is not None)
        if not spans or len(set(spans)) < len(spans):
            continue
        score = NEARLY + IN_PART * len(spans) / len(row.wanted) + (TELLING if met[0] is not None else 0.0)
        if row.target not in best or score > best[row.target].score:
            best[row.target] = Composed(row.target, round(score, 6), spans)
    return tuple(sorted(best.values(), key=lambda made: (-made.score, made.target)))


def _between(told: _Told, start: int, end: int) -> _Told:
    """What is spoken of between two places."""
    kept = {name: tuple(spot for spot in spots if start <= spot[0] < end) for name, spots in told.items()}
    return {name: spots for name, spots in kept.items() if spots}


def _met(row: _Row, told: _Told) -> tuple[tuple[tuple[int, int], ...], bool] | None:
    """Where the wanted concepts stand, each in a place of its own, and whether the telling one was denied."""
    places = [
        [(a, b, _agrees(name, no, denied)) for name, no in ways for a, b, denied in told.get(name, ())]
        for ways in row.wanted
    ]
    if not all(places):
        return None
    telling = row.wanted[0]
    places[0] = [(a, b, no == denied) for name, no in telling for a, b, denied in told.get(name, ())]
    plain = [[(a, b) for a, b, agrees in spots if agrees] for spots in places]
    found = _apiece(plain, (), row.in_order)
    if found is not None or not row.turns:
        return None if found is None else (found, False)
    found = _apiece([[(a, b) for a, b, _ in places[0]], *plain[1:]], (), False)
    return None if found is None else (found, True)


def _agrees(name: str, wants_denial: bool, denied: bool) -> bool:
    """Whether a concept stands there as the row wants it; parts, and when something happens, are denied by no "not"."""
    return wants_denial == denied or (not wants_denial and (name in STATES or name in PARTS))


def _apiece(
    places: list[list[tuple[int, int]]], taken: tuple[tuple[int, int], ...], in_order: bool
) -> tuple[tuple[int, int], ...] | None:
    """One stretch for each place so that no two overlap; None where there is no such choice."""
    if not places:
        return taken
    for spot in places[0]:
        late = not in_order or not taken or spot[0] >= taken[-1][1]
        if late and not any(a < spot[1] and spot[0] < b for a, b in taken):
            found = _apiece(places[1:], (*taken, spot), in_order)
            if found is not None:
                return found
    return None


def _apart(some: tuple[tuple[int, int], ...], others: tuple[tuple[int, int], ...]) -> bool:
    return any(not any(a < end and start < b for a, b in others) for start, end in some)


def _opposite(target: str) -> str:
    return target[1:] if target.startswith("!") else f"!{target}"
