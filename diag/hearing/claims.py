"""Which parts of a telling were seen, and which were only concluded, supposed, believed, asked, planned or told on.

The trade asks for what was observed, not for what somebody made of it: a conclusion that is written down as a finding
hides the fault it was wrong about. Common practice, no source.
"""

from __future__ import annotations

import re

from diag.hearing.pieces import parts_at
from diag.hearing.understood import Sureness, Whose
from diag.hearing.vocabulary import SECOND_HAND, UNSURE

_HEDGE = re.compile(rf"\b(?:{'|'.join(UNSURE)})\b", re.IGNORECASE)
_OTHERS = re.compile(rf"\b(?:{'|'.join(SECOND_HAND)})\b(?: that)?", re.IGNORECASE)


def _says(*patterns: str) -> re.Pattern[str]:
    return re.compile(rf"\b(?:{'|'.join(patterns)})(?!\w)", re.IGNORECASE)


_WHO = (
    r"(?:i|we|he|she|they|you|it|that|this|which|(?:the|my|our|his|her|a|some) \w+(?: (?!it\b|that\b)\w+){0,2}?|"
    r"some(?:body|one)|people)"
)
_BELIEVES = _says(
    *(said for said in UNSURE if said not in ("maybe", "seems to")),
    r"maybe(?! (?:a|an|\d))",
    rf"{_WHO} (?:would |had |have |has |just )?(?:think|thinks|thought|guess\w*|suppos\w+|reckon\w*|believe\w*|"
    r"suspect\w*|assum\w+|figured?|wonder\w*|fear(?:ed|s)?|bet|presum\w+|expect(?:ed|s)?|conclud\w+|decided)",
    r"(?:made|makes|making|got|had|has) (?:me|us|him|her|them) (?:think\w*|believe|wonder\w*|suspect)",
    r"(?:my|our|his|her|their) (?:\w+ )?(?:guess|thought|theory|bet|money|suspicion|feeling|hunch)|"
    r"(?:thinking|guessing|wondering|assuming|suspecting)|something tells me|no doubt|presumably|"
    r"supposedly|most likely|"
    r"(?:seems?|looks?|sounds?|feels?) (?:like(?= it | he | she | the | my | there | that | some)|as if|as though)|"
    r"(?:blam\w+|diagnos\w+|condemn\w+|put (?:it|this|that) down to)",
)
_CONCLUDES = _says(
    r"(?:must|may|might|could|should|would|ought to)(?:n'?t| not)? (?:just |only |still |also |well |surely )?"
    r"(?:be|have|mean|need)|can(?:'?t| ?not) be(?! \w+(?:ed|n)\b)",
    r"(?:which|that|this|it)(?: just| only| all)? means|meaning|therefore|hence|proves?|rules? out|"
    r"points? to (?:the|a|an)|"
    r"(?:it'?s|it is|that'?s|it|that) (?:not|isn'?t|wasn'?t|ain'?t) (?:the|my) (?:fuel )?(?:pump|regulator|reg|filter|"
    r"injectors?|plugs?|coils?|relay|fuse|sensor|battery|tank|carb|ignition|ecu|wiring)(?! (?:that|which|is|has|was))",
    r"so i (?:know|knew|take it)",
)
_SO_IT_IS = re.compile(
    r"^(?:and )?so (?!far\b|much\b|that\b|when\b)(?:\w+ ){1,4}?(?:is|are|was|were|isn'?t|aren'?t|has to|have to)\b",
    re.IGNORECASE,
)
_PLANS = _says(
    r"(?:i|we|he|she|they|you)(?:'?m| am| was| were|'?re| are|'?s| is)? (?:going|about|planning|meaning|tempted|"
    r"hoping|ready) to|(?:i|we|he|they|shop|garage) (?:want|hope|plan|intend)\w* (?:me |us )?to|"
    r"on order|(?:i|we)(?:'ll| will| would|'d) (?:just |rather |have )?"
    r"(?:put|fit|order|buy|say|said|go|swap|change|try)",
)
_TOLD_ON = _says(
    *SECOND_HAND,
    r"(?:the |my |our |his |her |a |an |another |some )\w+(?: \w+)? (?:says?|said|reckons?|swears?|swore|claims?|"
    r"claimed|told|tells|insists?|mentioned)(?! (?:psi|bar|\d))",
    r"(?:he|she|they|somebody|someone|everybody|everyone|people) "
    r"(?:says?|said|reckons?|swears?|claims?|told|tells)",
    r"(?:i|we)(?:'?m| am|'?ve been| have been| was| were) told|according to|i (?:read|heard) that|heard from",
)  # fmt: skip
_READS = re.compile(
    r"\b(?:gauge|needle|dial|meter|display|it|screen|sensor|computer|tool|log|trace)"
    r"(?: \w+)? (?:says?|said|tells?|told)\b",
    re.I,
)
_DRIVES_IT = _says(
    r"(?:(?:the|my|our|her|his) )?(?:customer|client|owner|driver|wife|husband|partner|son|daughter)"
    r"(?: \w+)? (?:says?|said|tells (?:me|us)|told (?:me|us)|complain(?:s|ed)(?: of)?|reports?|reported|noticed)"
    r"(?: that)?"
)
_USED_TO = _says(r"(?:i|we) (?:usually|normally|always) (?:hear|heard|get|got|see|saw|feel|felt)", r"used to")
_ASKS = re.compile(
    r"^(?:and |but |or |so )?"
    r"(?:should|shall|can|could|would|will|do|does|did|is|are|was|has|have|may|might|must)(?:n'?t)? "
    r"(?:i|we|you|it|he|she|they|that|this|there|the|my|a|an)\b",
    re.IGNORECASE,
)
_MAY_I = re.compile(r"^(?:and |but |or |so )?(?:should|shall|can|could) (?:i|we)\b", re.IGNORECASE)
_WHY = re.compile(r"\b(?:why|how come|what makes)\b", re.IGNORECASE)  # these take for granted what they ask about
_ENDS = re.compile(r"^(?:(?:but|yet|though|although|because|since|then|while)\b|so (?:i|we) )", re.IGNORECASE)
_FILLER = re.compile(r"^(?:\W|\b(?:and|so|but|or|though|i|that|it|is|at least|now)\b)*$", re.IGNORECASE)
_BACKWARD = _says(r"i (?:think|guess|suppose|reckon|believe|assume|suspect|bet)", r"apparently|probably|maybe|perhaps")


_MISSED = re.compile(
    r"\b(?:i|we|you|one|he|she) (?:can |could |would )?(?:usually|normally|always|used to) (?:can |could )?"
    r"(?:(?P<heard>hear|heard)|get|got|see|saw|smell|feel|felt)\s+"
    r"(?:(?:a|an|the|some|that|its|his) )?(?:(?:little|short|quiet|soft|faint|bit of a|usual) )?"
    r"(?P<what>[^,;.]+?)[,;]?\s+(?:and |but |yet )?(?:today|now|this time|"
    r"this morning|lately)[, ]+(?:there(?:'s| is| was) |i (?:hear|get|got|heard) |it (?:is|was) )?"
    r"(?:nothing|none|silence|silent|not a thing|gone|no more|(?:i |it |there )?(?:don'?t|doesn'?t|can'?t|"
    r"isn'?t|do not))"
    r"(?!\w)",
    re.IGNORECASE,
)


def missed_told(sentence: str) -> str:
    """The sentence with what somebody is used to and misses told as missing.

    "I usually hear a buzz and today there is nothing" says that there is no sound of a buzz.
    """
    return _MISSED.sub(lambda f: f"no {'sound of ' if f['heard'] else ''}{f['what']}", sentence)


def claimed(sentence: str) -> list[tuple[int, int]]:
    """Where in a sentence something stands that nobody saw, as (start, end) of each such part.

    What one part supposes holds for the parts joined to it ("I think it leaks and the pump is weak") until a word such
    as "but" or "because" begins something else.
    """
    parts = parts_at(sentence)
    asked = sentence.rstrip().endswith("?") and not _WHY.search(sentence)
    if asked:
        first = next((at for at, (start, end) in enumerate(parts) if _ASKS.match(sentence[start:end])), 0)
        return parts[first:]
    found: list[tuple[int, int]] = []
    carried = False
    for at, (start, end) in enumerate(parts):
        words = sentence[start:end]
        carried = carried and not _ENDS.match(words)
        if at and _BACKWARD.search(words) and _FILLER.match(_BACKWARD.sub("", words)):
            found.append(parts[at - 1])  # "the pump is dead, I guess"
        elif is_claim(words):
            carried = True
        if carried:
            found.append((start, end))
    return found


def passed_on(sentence: str) -> list[tuple[int, int]]:
    """The parts that tell what somebody who drives or owns the car met, and claim nothing besides.

    Such a person saw it, and only the telling is second hand; what a garage or a neighbour made of it is a claim.
    """
    plain = _DRIVES_IT.sub(lambda found: " " * len(found[0]), sentence)
    if plain == sentence:
        return []
    still = claimed(plain)
    return [(start, end) for start, end in claimed(sentence) if not within(start, still)]


def without_driver(text: str) -> str:
    """The text without the words that say who met it, where that is somebody who drives or owns the car."""
    return _DRIVES_IT.sub("", text)


def is_claim(words: str) -> bool:
    """Whether some words by themselves conclude, suppose, ask, plan or pass on what others said."""
    told_on = _TOLD_ON.search(_READS.sub("", words)) is not None
    says = (_BELIEVES, _CONCLUDES, _PLANS, _USED_TO)
    return told_on or any(p.search(words) for p in says) or bool(_SO_IT_IS.match(words)) or bool(_MAY_I.match(words))


def within(at: int, spans: list[tuple[int, int]]) -> bool:
    """Whether a place in the text lies in one of the parts."""
    return any(start <= at < end for start, end in spans)


def how_sure(text: str) -> tuple[Sureness, Whose, str]:
    """How sure a person is and whose eyes saw it, and the text without the words that say so."""
    told = without_driver(_OTHERS.sub("", text))
    whose: Whose = "second hand" if told != text else "own eyes"
    bare = _HEDGE.sub("", told)
    sure: Sureness = "unsure" if bare != told else "sure"
    return sure, whose, bare
