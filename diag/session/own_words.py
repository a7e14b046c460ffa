"""A question answered in the words of the thing asked: "whole" to "is the fuse blown", "dry" to "is it wet". Pure.

A question that names a fault has a natural pair of words: what the thing is called when it has the fault, and when it
is sound. Both answer it, each with "not" before it the other way round. "It does", "they are" and the like answer every
question. Common practice of speech, no source.
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
        "silent dead quiet",
        "clicks clicking humming buzzing alive",
    ),
    _pair(
        r"(?:stay|go|goes) dark",
        "dark unlit dead out",
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
    "fine ok okay good sound intact healthy normal perfect undamaged unharmed right alright spotless great lovely well"
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
    "nothing wrong "
    "absolutely definitely clearly certainly by eye feels feel sounds sound smells bone"
)
_NOT = _words("not no never isnt arent wasnt werent doesnt dont didnt hasnt aint without neither nor none")
_AFFIRMS = re.compile(
    r"(?:oh |yes |well )?(?:it|they|she|he|there|that|we|i|you)(?: \w+ly)? (?:sure |certainly |indeed |just )?"
    r"(?:does|do|did|is|are|was|were|has|have|will|would)(?: indeed| yes| so| all right)?|"
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


def in_own_words(question: str, told: str) -> bool | None:
    """Whether the answer says yes or no to a question; None where it does neither.

    Args:
        question: as it is asked of the person.
        told: what was typed.
    """
    plain = " ".join(told.casefold().replace("\u2019", "'").replace("'", "").replace(",", " ").rstrip(".!").split())
    named = _called(question, plain)
    if named is not None:
        return named
    if _DENIES.fullmatch(plain):
        return False
    return True if _AFFIRMS.fullmatch(plain) else None


def _called(question: str, plain: str) -> bool | None:
    """What the words for the thing say, where the question names a fault and nothing else was said."""
    asked = question
    while "," in asked and not _VERB.match(asked):  # "With the engine warm, ..." is how to look, not what to look for
        asked = asked.partition(",")[2].strip()
    if _GOOD_COMES.search(asked):
        return None
    pairs = [pair for pair in _PAIRS if pair.asked.search(asked)]
    if not pairs:
        return None
    faulty = frozenset().union(*(pair.faulty for pair in pairs)) | _FAULTY
    sound = (frozenset().union(*(pair.sound for pair in pairs)) | _SOUND) - {w for pair in pairs for w in pair.faulty}
    answers: set[bool] = set()
    denied = False
    for word in plain.replace("bone dry", "bone-dry").replace("had it", "had-it").replace("no good", "no-good").split():
        if word in _NOT:
            denied = True
        elif word in faulty or word in sound:
            answers.add((word in faulty) != denied)
            denied = False
        elif word not in _FILLER:
            return None
    if "nothing wrong" in plain:
        answers.add(False)
    return answers.pop() if len(answers) == 1 else None
