"""A question answered in the words of the thing asked: "whole" to "is the fuse blown", "dry" to "is it wet". Pure.

A question that names a fault has a natural pair of words: what the thing is called when it has the fault, and when it
is sound. Both answer it, each with "not" before it the other way round. "It does", "they are" and the like answer every
question. A plain yes or no that leads decides: what follows may add to it, or contradict it, which answers nothing, but
never turns it. Common practice of speech, no source.
"""

from __future__ import annotations

import re
from dataclasses import dataclass


def _words(text: str) -> frozenset[str]:
    return frozenset(text.split())


@dataclass(frozen=True, slots=True)
class _Pair:
    """How a question names the fault, what the faulty thing is called, and the sound one."""

    asked: re.Pattern[str]
    faulty: frozenset[str]
    sound: frozenset[str]


def _pair(asked: str, faulty: str, sound: str) -> _Pair:
    return _Pair(re.compile(rf"\b(?:{asked})", re.IGNORECASE), _words(faulty), _words(sound))


_PAIRS = (
    # how the question names the fault; what the thing with the fault is called; the sound thing
    _pair(
        r"blown(?! through)|blow again",
        "blown burnt burned gone popped melted open dead fused",
        "whole unblown",
    ),
    _pair(
        r"wet\b|damp\b|stain|leak|weep|drip|puddle|seep|liquid fuel|beads?\b",
        "wet damp leaking leaks weeping weeps dripping drips soaked stained moist seeping sweating oozing",
        "dry tight clean bone-dry",
    ),
    _pair(
        r"cracked|split|swollen|perish|torn|chafed|cut,|soft,",
        "cracked split swollen perished torn chafed soft sticky hard brittle cut rotten",
        "supple whole uncracked",
    ),
    _pair(
        r"kinked|crushed|clamped,? or|flattened|bent too",
        "kinked crushed squashed flattened flat pinched bent trapped",
        "straight clear free round",
    ),
    _pair(
        r"dirt|clog|block|chok|packed|rust",
        "dirty filthy blocked clogged choked packed black mucky rusty full",
        "clean clear free spotless open",
    ),
    _pair(
        r"too hot|hotter|warm, brown|unusually hot|melted",
        "hot warm melted brown burnt scorched discoloured",
        "cool cold",
    ),
    _pair(
        r"loose|latched|locked|slack",
        "loose slack unlatched wobbly",
        "tight snug latched locked secure",
    ),
    _pair(
        r"silent|stay dead|not click|no sound|any sound",
        "silent dead quiet nothing",
        "click clicks clicking hum hums humming buzz buzzing alive",
    ),
    _pair(
        r"(?:stay|go|goes) dark",
        "dark unlit dead out nothing",
        "lit glowing bright lights on",
    ),
    _pair(
        r"(?:light|lamp)\b (?!.*\bdark).*\b(?:on|lit|flash)",
        "lit glowing flashing blinking on",
        "dark out off unlit",
    ),
    _pair(
        r"tripped",
        "tripped popped sprung",
        "set untripped reset",
    ),
    _pair(
        r"pump off|is a wire",
        "off broken hanging unplugged snapped",
        "on plugged connected attached",
    ),
    _pair(
        r"shak|rough|uneven|unsteady",
        "rough lumpy shaky uneven unsteady shaking",
        "smooth steady even",
    ),
    _pair(
        r"older|how old",
        "old ancient original",
        "new recent fresh",
    ),
    _pair(
        r"soot|black",
        "black sooty sooted",
        "tan grey clean biscuit light",
    ),
    _pair(
        r"rich|smell|stink",
        "stinks smelly reeks strong rich stinking",
        "odourless clean",
    ),
    _pair(
        r"weak|flat at|less power|breathless",
        "weak flat gutless sluggish",
        "strong lively",
    ),
    _pair(
        r"stuck|seized|stick",
        "stuck seized sticking solid",
        "free moving",
    ),
    _pair(
        r"worn|groove|damag|rough or scored|burr",
        "worn scored damaged grooved pitted rough",
        "smooth unmarked",
    ),
)  # fmt: skip
_VERB = re.compile(r"(?:is|are|was|were|does|do|did|has|have|can|will|were)\b", re.IGNORECASE)
_GOOD_COMES = re.compile(
    r"\b(?:holds?|cures?|calm\w*|recovers?|fire at once|start when|better|run again|go still|becomes? clean|stay away|"
    r"bring it back|come up|right when|right with|go on running|runs? well|dry up)\b",
    re.IGNORECASE,
)
_SOUND = _words(
    "fine ok okay good sound intact healthy normal perfect undamaged unharmed right alright spotless great lovely well "
    "usual"
)
_FAULTY = _words(
    "bad shot knackered duff faulty gone kaput buggered ruined toast had-it no-good rubbish broken wrecked"
)
_FILLER = _words(
    "it its is are was were they them theyre that thats she he looks look looking seems seem the a an still "
    "quite very "
    "really bit completely just perfectly totally pretty to me now here and or i see can as far both each one "
    "fuse hose pipe "
    "line filter pump relay plug plugs wire wires tank joint rail one's there inside outside too yes well with "
    "wrong at all whatsoever "
    "absolutely definitely clearly certainly by eye feels feel sounds sound smells bone"
)
_NOT = _words("not no never isnt arent wasnt werent doesnt dont didnt hasnt aint without neither nor none")
_AFFIRMS = re.compile(
    r"(?:oh |yes |well )?(?:it|they|she|he|there|that|we|i|you)(?: \w+ly)? (?:sure |certainly |indeed |just )?"
    r"(?:does|do|did|is|are|was|were|has|have|will|would)(?: indeed| yes| so)?|"
    r"(?:sure|certainly|definitely|absolutely|indeed|correct|right|true|affirmative|aye|of course|exactly|yup|"
    r"yes indeed|"
    r"sure (?:does|is|did|has)|(?:yes|yeah|yep|aye) (?:it|they|she|there|we|i) \w+|a bit|a little|slightly|very "
    r"much so|"
    r"very|lots|plenty)",
    re.IGNORECASE,
)
_DENIES = re.compile(
    r"(?:oh |no |nope )?(?:it|they|she|he|there|that|we|i|you) (?:does|do|did|is|are|was|were|has|have|will|"
    r"would)(?: not|nt)"
    r"(?: \w+)?|(?:not (?:at all|really|that i (?:can see|know|noticed)|a bit|any|one|in the least|so|yet|now)|"
    r"nah|negative|"
    r"none|nothing|nowhere|never|no sign(?: of (?:it|one|any))?|no (?:it|they|she|there|we|i) \w+(?: not)?|"
    r"none (?:at all|whatsoever)|not)",
    re.IGNORECASE,
)


_LEADS = re.compile(
    r"(?P<yes>yes|y|yeah|yep|yup|aye|ja)(?![\w'-])|(?P<no>no|n|nope|nah)(?![\w'-])",
    re.IGNORECASE,
)
_MARK = re.compile(r"\s*(?:[,;:.!]|\s-+(?=\s))[\s,;:.!-]*")
_JOINS = re.compile(r"(?:(?:and|but|or|so|just|well|oh|though)\b[\s,]*)+", re.IGNORECASE)
# After a bare "no" these begin a clause of their own; any other word is what there is none of: "no leaks".
_CLAUSE = _words(
    "it its it's they theyre they're that thats that's this these those the there theres there's he she we i i've all "
    "everything both each looks look seems seem is was are were not never nothing none still quite perfectly "
    "completely absolutely definitely certainly as but and just only bone yes no nope nah"
)
_HEARD_OR_SEEN = _words("sound light lights click clicks hum buzz")  # things, although they also say how a thing is
_NOTHING_AT_ALL = re.compile(
    r"(?:none|nothing|nowhere|never|not (?:any|one)|not a \w+)(?: (?:at all|whatsoever|there))?", re.IGNORECASE
)
_ASKS_FOR_LACK = re.compile(
    r"\b(?:no|not|never|nothing|neither|without|missing|fails?|stays?|dead|silent)\b", re.IGNORECASE
)
_STRESS = re.compile(
    r"(?:sure|certainly|definitely|absolutely|indeed|correct|right|true|exactly|of course)(?: not)?", re.IGNORECASE
)
_BOTH = "both"
_Verdict = bool | str | None


def in_own_words(question: str, told: str) -> bool | None:
    """Whether the answer says yes or no to a question; None where it does neither, or both.

    Args:
        question: as it is asked of the person.
        told: what was typed.
    """
    verdict = _verdict(question, _tidy(told))
    return verdict if isinstance(verdict, bool) else None


def says_both(question: str, told: str) -> bool:
    """Whether an answer says yes or no and then the opposite of it, so that it has to be asked again."""
    return _verdict(question, _tidy(told)) == _BOTH


def after_the_lead(told: str) -> str:
    """What was said after a plain yes or no; empty where nothing was, or no such word led."""
    lead, rest = _led(_tidy(told))
    return rest if lead is not None else ""


def _tidy(told: str) -> str:
    return " ".join(told.casefold().replace("\u2019", "'").rstrip(".! ").split())


def _led(told: str) -> tuple[bool | None, str]:
    """The plain yes or no that leads, None where none does, and what follows it."""
    found = _LEADS.match(told)
    if found is None:
        return None, told
    rest = told[found.end() :]
    mark = _MARK.match(rest)
    if mark is not None:
        rest = rest[mark.end() :]
    rest = rest.strip()
    first = rest.split(" ", 1)[0].strip(",;:.!") if rest else ""
    if found["no"] and mark is None and first and first not in _CLAUSE and not _says_sound(first):
        return None, told
    return bool(found["yes"]), _JOINS.sub("", rest, count=1) if _JOINS.match(rest) else rest


def _says_sound(word: str) -> bool:
    return word not in _HEARD_OR_SEEN and word != "good" and word in _ANY_SOUND  # "no good" is a word for bad


_ANY_SOUND = _SOUND.union(*(pair.sound for pair in _PAIRS)) | _words("usual")


def _verdict(question: str, told: str) -> _Verdict:
    lead, rest = _led(told)
    if lead is None:
        return _unled(question, told)
    if not rest or _STRESS.fullmatch(rest) or (lead and _NOTHING_AT_ALL.fullmatch(rest)):
        return lead
    more = _verdict(question, rest)
    if more is None and not lead and _names_fault(question, rest):
        more = _BOTH
    return lead if more is None or more is lead else _BOTH


def _unled(question: str, told: str) -> _Verdict:
    """What words without a leading yes or no say."""
    plain = " ".join(told.replace("'", "").replace(",", " ").split())
    if plain.startswith("no good") or plain in ("right", "well"):
        return None  # "no, good" or "bad"; "that is right" or "all is right"
    named = _called(question, plain)
    if named is not None:
        of_a_thing = plain.startswith("no ") and not set(plain.split()[1:]) <= _HEARD_OR_SEEN | _words(
            "at all whatsoever"
        )
        return None if named and of_a_thing else named  # "no fuse is whole" may be meant either way
    if _NOTHING_AT_ALL.fullmatch(plain) and _ASKS_FOR_LACK.search(question):
        return None  # "nothing" may well be what was asked about
    if _DENIES.fullmatch(plain):
        return False
    return True if _AFFIRMS.fullmatch(plain) else None


def _names_fault(question: str, rest: str) -> bool:
    """Whether the rest calls something by a word for the fault asked about, without denying it."""
    faulty = frozenset[str]().union(*(pair.faulty for pair in _asked_pairs(question)))
    before = ""
    for word in re.findall(r"[a-z-]+", rest.replace("'", "")):
        if word in faulty and before not in _NOT:
            return True
        before = word
    return False


def _asked_pairs(question: str) -> list[_Pair]:
    """The pairs of words that answer a question; none where it asks for something good, or names no fault."""
    asked = question
    while "," in asked and not _VERB.match(asked):  # "With the engine warm, ..." is how to look, not what to look for
        asked = asked.partition(",")[2].strip()
    return [] if _GOOD_COMES.search(asked) else [pair for pair in _PAIRS if pair.asked.search(asked)]


_IDIOMS = (("bone dry", "bone-dry"), ("had it", "had-it"), ("no good", "no-good"), ("nothing wrong", "fine"))


def _called(question: str, plain: str) -> bool | None:
    """What the words for the thing say, where the question names a fault and nothing else was said."""
    pairs = _asked_pairs(question)
    if not pairs:
        return None
    faulty = frozenset().union(*(pair.faulty for pair in pairs)) | _FAULTY
    sound = (frozenset().union(*(pair.sound for pair in pairs)) | _SOUND) - {w for pair in pairs for w in pair.faulty}
    answers: set[bool] = set()
    denied = False
    for said_as, word in _IDIOMS:
        plain = plain.replace(said_as, word)
    for word in plain.split():
        if word in _NOT:
            denied = True
        elif word in faulty or word in sound:
            answers.add((word in faulty) != denied)
            denied = False
        elif word not in _FILLER:
            return None
    return answers.pop() if len(answers) == 1 else None
