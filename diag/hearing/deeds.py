"""What a person did to the car, or has at hand: neither is a sign of the car by itself.

"I pinched the return" says how the next reading was taken and not that the return is kinked; "I've a test lamp" says
what can be measured and not that a lamp stayed dark. What came of a deed is a sign, the deed alone never is. Common
practice, no source.
"""

from __future__ import annotations

import re
from itertools import pairwise

from diag.hearing.circumstances import TOOL_WORDS
from diag.hearing.matching import Match
from diag.hearing.pieces import parts_at

AS_WELL = 0.9  # what a deed means nearly as well by itself, its outcome does not speak of

_DONE = (
    r"pinch(?:ed|ing)?|clamp(?:ed|ing)?|squeez(?:ed?|ing)|nip(?:ped|ping)?|block(?:ed|ing)?|unplug(?:ged|ging)?|"
    r"disconnect(?:ed|ing)?|pull(?:ed|ing)?|swap(?:ped|ping)?|remov(?:ed?|ing)|(?:took|taken|take|taking)|"
    r"bridg(?:ed?|ing)|jump(?:ed|ing)?|cap(?:ped|ping)?|plug(?:ged|ging)?|undid|undo|undone|unscrew(?:ed|ing)?|"
    r"loosen(?:ed|ing)?|slacken(?:ed|ing)?|crack(?:ed)? open|open(?:ed|ing)?|tap(?:ped|ping)?|thump(?:ed|ing)?|"
    r"bang(?:ed|ing)?|whack(?:ed|ing)?|bash(?:ed|ing)?|"
    r"hit|knock(?:ed|ing)?|shook|wiggl(?:ed?|ing)|press(?:ed|ing)?|blip(?:ped|ping)?|snap(?:ped|ping)?|"
    r"bled|drain(?:ed|ing)?|kink(?:ed|ing)?|bent|bend|fold(?:ed|ing)?|push(?:ed|ing)?|cut|split|warm(?:ed|ing)?|"
    r"cool(?:ed|ing)?|heat(?:ed|ing)?|shut|closed?|held|hold|tried|try|test(?:ed|ing)?|check(?:ed|ing)?|"
    r"measured|unclipped|unhook(?:ed|ing)?|connect(?:ed|ing)?|hook(?:ed|ing)?|rais(?:ed?|ing)|jack(?:ed|ing)?"
)
_PAST = (
    r"pinched|clamped|squeezed|nipped|blocked|unplugged|disconnected|pulled|swapped|removed|took|bridged|jumped|capped|"
    r"plugged|undid|unscrewed|loosened|slackened|cracked open|opened|tapped|thumped|banged|whacked|bashed|shook|"
    r"wiggled|pressed|blipped|"
    r"snapped|bled|drained|kinked|bent|folded|pushed|shut|held|tried|tested|checked|measured|unclipped|unhooked|"
    r"connected|hooked|raised|jacked|pinching|clamping|squeezing|nipping|unplugging|disconnecting|pulling|swapping|"
    r"removing|bridging|jumping|capping|plugging|tapping"
)
_WHO = (
    r"(?:i|we|he|she|they|you|(?:the|my|our|a) (?:mate|friend|neighbour|brother|lad|chap|garage|mechanic|helper|wife|"
    r"husband|son|dad|father))"
)
_HOW = r"(?:just|also|only|then|even|again|now|briefly|quickly|carefully|gently|already|have|had|did|can|could|'ve|'d)"
_LEAD = r"(?:(?:and|so|but|then|when|once|after|if|while|because|as|first|next|now|today|yesterday|ok|okay|well)\s+)*"
_THING = (
    r"(?:off |out |on |up |down |apart |back |in )?(?:the|my|its|a|an|that|this|these|those|both|each|one|it|them|her|"
    r"his|all|number|off|out|return|feed|hose|pipe|line|plug|relay|fuse|pump|injectors?|coils?|leads?)\b"
)
_DEED = re.compile(
    rf"^\W*{_LEAD}(?:{_WHO}(?:'ve|'d)?\s+(?:{_HOW}\s+)*(?:{_DONE})|(?:{_HOW}\s+)*(?:{_PAST}))\s+(?:{_HOW}\s+)*{_THING}",
    re.IGNORECASE,
)
_OUTCOME = re.compile(
    r"\s(?:there's|there is|you (?:get|hear)|i (?:get|hear|heard|got)|out comes?) |"
    r"\s(?:it|she|he|nothing|there|the (?:engine|car|pump|needle|pressure|rail|idle|gauge|tank)) (?!off|out|up|"
    r"back)\w+|\s(?:no (?:difference|change|better|odds)|same (?:thing|again|as before|story)|made? no|makes no)\b",
    re.IGNORECASE,
)
_ADDED = re.compile(
    r"\b(?:put|pour(?:ed)?|tip(?:ped)?|add(?:ed)?|splash(?:ed)?|slosh(?:ed)?|threw|gave it) (?:\w+ ){0,3}"
    r"(?:can|jerry ?can|drop|litres?|liters?|gallons?|petrol|fuel|gas)\b",
    re.IGNORECASE,
)
_GLUE = re.compile(r"^\s*(?:and|then|but|so|,|\s)+\b", re.IGNORECASE)
_BARE_OUTCOME = re.compile(
    r"(?:and |then |but |so |still )*(?:(?:off|away) (?:it|she|he) (?:goes|went)|(?:it|she|he|that|"
    r"the (?:engine|car|pump)) "
    r"(?:then |just |still |even )?(?:runs?|ran|starts?|started|went|goes|was|is|works?|worked|fires?|fired|came|comes|"
    r"did|does|made|makes|helps?|helped|cured)\b(?: \w+){0,3}|nothing (?:at all )?(?:chang|happen|differ)\w*|"
    r"no (?:change|difference|better|odds|luck)(?: at all)?|(?:just )?(?:the )?same(?: thing| again| as before)?|"
    r"made no (?:odds|difference|change)|still (?:no|not|nothing|dead|silent|won'?t)(?: \w+){0,2}|"
    r"(?:and |but )?nothing(?: at all)?)",
    re.IGNORECASE,
)
_STILL = re.compile(
    r"^nothing(?: at all)?$|^still (?:no|not|nothing|dead|silent|won'?t)(?: \w+){0,2}?(?=[.,;!]|$)", re.IGNORECASE
)
_OUTCOME_WORDS = re.compile(
    r"\b(?:start\w*|runs?|ran|cure[sd]?|help\w*|better|went|goes|gone|wakes?|difference|nothing|stop\w*|right|calms?|"
    r"stills?|holds?|fine|again|comes?)\b",
    re.IGNORECASE,
)
_HELD_SO = re.compile(
    r"\bwith (?:the |my |its |a |that |this |both )?(?:\w+ ){1,3}?(?:pinched|clamped|squeezed|nipped|blocked|unplugged|"
    r"disconnected|bridged|jumped|capped|plugged|loosened|slackened|open(?:ed)?|removed|kinked|folded|shut|closed|"
    r"pulled|off|out)\b(?: off| out| shut)?",
    re.IGNORECASE,
)
_STATE_OF_TEST = re.compile(
    r"\b(?:return|feed|hose|pipe|line)(?: line| hose| pipe)? (?:is |was )?"
    r"(?:pinched|clamped|squeezed|nipped|blocked)(?: off| shut)?\b",
    re.IGNORECASE,
)
_OWNS = (
    r"(?:i|we|he|she|they|you)(?:'ve|'s|'d)?(?: only| just)?(?: have| had| has| got| own| brought| bought| borrowed)*|"
    r"there(?:'s| is| are| was)|have|got|has|here(?:'s| is| are)|with|at hand|to hand|in the (?:box|van|boot|garage)|"
    r"tools?|own|only|just|no|not|any|some|a|an|the|my|our|his|her|one|two|few|and|or|but|nor|neither|without|of|"
    r"here|also|too|besides|apart from that|that is all|that's all|all|good|old|small|big|cheap|decent|proper|pair|set|"
    r"either|kit|box|for now|with me|on me|yes|well|so|to|use|available|borrowed|do|don't|haven't|is|are|have"
)
_OWNING = re.compile(rf"\b(?:{_OWNS})\b|\bi'?ve\b|[\W\d]+", re.IGNORECASE)
_SAYS_SO = re.compile(r"\b(?:i|we|he|she|they|there|have|got|no|only|just|my|own|borrowed|a|an)\b", re.IGNORECASE)


def deeds(text: str) -> tuple[str, ...]:
    """The parts of one piece of speech that only tell what a person did, as said; empty where nobody did anything."""
    whole = _DEED.match(text)
    if whole:
        outcome = _OUTCOME.search(text, whole.end())
        return (text[: outcome.start()] if outcome else text,)
    return tuple(found[0] for found in _HELD_SO.finditer(text))


def was_test(text: str) -> tuple[str, ...]:
    """As ``deeds``, beside a figure: "60 with the return pinched", "return clamped, 70" are how it was taken."""
    return deeds(text) or tuple(found[0] for found in _STATE_OF_TEST.finditer(text))


def at_hand(text: str) -> bool:
    """Whether a piece of speech only names tools that are there or not there."""
    left = TOOL_WORDS.sub(" ", text)
    if left == text or not _SAYS_SO.search(text):
        return False
    return not _OWNING.sub(" ", left).strip()


def joined(text: str) -> str:
    """The text with every deed and the bare outcome right after it made one piece: "swapped it & off it went"."""
    spans = parts_at(text)
    for (start, end), (begin, stop) in reversed(list(pairwise(spans))):
        did = deeds(text[start:end]) == (text[start:end],) or _ADDED.search(text[start:end])
        if did and _BARE_OUTCOME.fullmatch(text[begin:stop].strip(" .,!")):
            outcome = _GLUE.sub("", text[begin:])
            text = f"{text[:end]} & {_STILL.sub('no difference', outcome)}"
    return text


def without(found: tuple[Match, ...], alone: tuple[Match, ...], outcome: bool) -> tuple[Match, ...]:
    """The meanings of a piece of speech without the signs that its deed alone would mean nearly as well.

    Facts stay, since work that was done is one; and what the book words as a deed with its outcome stays where an
    outcome was told (``outcome``).
    """
    meant = {(match.thing.id, match.answer): match.score for match in alone}
    return tuple(
        match
        for match in found
        if match.thing.kind == "context"
        or (outcome and _OUTCOME_WORDS.search(match.line))
        or meant.get((match.thing.id, match.answer), 0.0) < AS_WELL * match.score
    )
