"""What was said, cut into the pieces that mean one thing each: the cut that explains most of the words best."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass

from diag.hearing.matching import Match
from diag.rulebook.findings import ABSENT

_SENTENCE = re.compile(r"(?<=[.!?;])\s+|\n+|(?<=[a-z])\.\s*(?=[A-Z])")
_JOINT = re.compile(
    r"\s*(?:,|:|;|\u2013|\u2014|\(|\)|\s-\s)\s*|\s+(?=(?:and|but|then|while|yet|though|so|because|which|until|although|since|plus)\b)"
)
_PAIR = re.compile(
    r"\b(?P<again>\w{3,}) and (?=(?P=again)\b)|\bbetween (?:\w+ ){1,3}and |"
    r"\b(?:on and off|up and down|back and forth|to and fro|now and (?:then|again))",
    re.I,
)
_UNDER_LOAD = re.compile(
    r"\b(?:(?:at|under|in|on|over|above|past) (?:\S+ ){0,2}?boost|under (?:full )?(?:load|power)|"
    r"at (?:full|wide open) throttle|flat out|(?:give|gave|giving) it (?:some )?boost|"
    r"(?:when|until|once|as) (?:the )?boost (?:comes|builds)|on (?:a|the|every|long|hard) (?:\w+ )?(?:hill|pull)s?)\b",
    re.IGNORECASE,
)
_OTHER_STATE = re.compile(
    r"\b(?:idl\w*|tick ?over|cruis\w+|start\w*|crank\w*|cold|warm|hot|otherwise|afterwards|"
    r"engine off|key on)\b|^(?:but|then|until|while|yet)\b",
    re.IGNORECASE,
)
_TURNS = re.compile(r"(?:but|yet|though|although|until)\b", re.IGNORECASE)
_ANSWER = re.compile(  # what answers or begins a telling, and tells nothing by itself
    r"(?:no|nope|yes|yeah|well|so|ok|okay|right|now|look|listen|oh|actually|mind you|i mean|sorry|wait|"
    r"anyway)",
    re.IGNORECASE,
)
MOST_JOINED = 4
ARISES = 1.25  # a meaning that none of the joined pieces has alone: "fine for ten minutes, then it loses power"
LOADED = 0.72  # what fits this well together with the load that was named is meant of that load
_JOINING = 0.93  # joining pieces must explain them better, not just as well
_GLUE = re.compile(r"^(?:and|but|then|while|yet|so|because|which|although|plus)\s+", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Piece:
    """One piece of speech with what it may mean, best first."""

    words: str
    found: tuple[Match, ...]
    seen: bool = True  # whether somebody saw it, and did not only conclude, suppose, ask or pass it on
    load: str = ""  # the load named earlier that its meaning rests on as well


def sentences(text: str) -> list[str]:
    """The sentences of a text."""
    return [part.strip() for part in _SENTENCE.split(text) if part.strip(" .!?;,")]


def fragments(sentence: str) -> list[str]:
    """The smallest pieces a sentence may be cut into, in order."""
    return [_paired(sentence)[start:end].strip() for start, end in parts_at(sentence)]


def parts_at(sentence: str) -> list[tuple[int, int]]:
    """Where each of the smallest pieces stands in the sentence, as (start, end), in order."""
    kept = _paired(sentence)
    joints = [joint.span() for joint in _JOINT.finditer(kept)]
    starts = [0, *(end for _, end in joints)]
    ends = [*(start for start, _ in joints), len(kept)]
    spans = [(a, b) for a, b in zip(starts, ends, strict=True) if kept[a:b].strip(" .,!?;")]
    told = [span for span in spans if not _ANSWER.fullmatch(kept[slice(*span)].strip(" .,!?;"))]
    return told or spans


def _paired(sentence: str) -> str:
    """The same length of text with no joint inside a fixed pair of words."""
    return _PAIR.sub(lambda found: found[0].replace(" and ", "  &  "), sentence)


def cut(
    parts: list[str],
    listen: Callable[[str], tuple[tuple[Match, ...], float]],
    claimed: list[bool] | None = None,
    alone: Callable[[str], bool] = lambda part: False,
) -> list[Piece]:
    """The best way to join neighbouring fragments, by dynamic programming; what was seen is never joined to a claim.

    Args:
        parts: the fragments.
        claimed: of each, whether nobody saw it; None when all was seen.
        listen: what a piece may mean, best first, and how much its words weigh.
        alone: whether a fragment is never joined to others.
    """
    load = loads(parts)
    best: list[tuple[float, list[Piece]]] = [(0.0, [])]
    for end in range(1, len(parts) + 1):
        options = []
        for start in range(max(0, end - MOST_JOINED), end):
            if claimed is not None and len(set(claimed[start:end])) > 1:
                continue
            if end - start > 1 and any(alone(part) for part in parts[start:end]):
                continue
            words = " ".join(parts[start:end])
            found, weight = listen(words)
            under = ""
            if load[start]:
                beside, _ = listen(f"{load[start]} {_GLUE.sub('', words)}")
                fits = beside[0].score if beside else 0.0
                if fits >= LOADED or fits > score_of(found):
                    found, under = beside, load[start]
            score = score_of(found)
            if _arises(found, parts[start:end], listen):
                score *= ARISES
            value = score * weight * _JOINING ** (end - start - 1)
            before, pieces = best[start]
            seen = claimed is None or not claimed[start]
            options.append((before + value, [*pieces, Piece(_GLUE.sub("", words).strip(" ,.;"), found, seen, under)]))
        best.append(max(options, key=lambda option: option[0]))
    return best[-1][1]


def _arises(
    found: tuple[Match, ...], parts: list[str], listen: Callable[[str], tuple[tuple[Match, ...], float]]
) -> bool:
    """Whether joined pieces mean what none of them means alone, and nothing between them turns the sentence."""
    if len(parts) < 2 or score_of(found) < LOADED or any(_TURNS.match(part) for part in parts[1:]):
        return False
    alone = [match for part in parts for match in listen(part)[0][:1]]
    meant = (found[0].thing.id, found[0].answer)
    return meant[1] not in (ABSENT, "no") and all((m.thing.id, m.answer) != meant for m in alone)


def score_of(found: tuple[Match, ...]) -> float:
    """How well the best of some matches fits; 0 without one."""
    return found[0].score if found else 0.0


def loads(parts: list[str]) -> list[str]:
    """Of each fragment, the load that an earlier one of its sentence named and that still holds; mostly empty.

    "At 10 psi boost it knocks and it goes lean" goes lean in boost.
    """
    found, now = [], ""
    for part in parts:
        own = _UNDER_LOAD.search(part)
        if own or _OTHER_STATE.search(part):
            found.append("")
            now = "" if own is None else "in boost" if "boost" in own[0].lower() else own[0]
        else:
            found.append(now)
    return found
