"""The trade's many words for one thing, and the small words of everyday speech. Data only.

The phrases of ``folds.py`` are folded first; ``SAME`` folds single words, before stemming. Both are applied to what is
said and to the rule book's lines alike, so a fold can never hide a line. Common practice of speech in the trade, no
source.
"""

from __future__ import annotations


def _words(text: str) -> frozenset[str]:
    return frozenset(text.split())


SHORT_FORMS = {
    "wont": "will not", "cant": "can not", "cannot": "can not", "dont": "do not", "doesnt": "does not",
    "didnt": "did not", "isnt": "is not", "wasnt": "was not", "arent": "are not", "wouldnt": "would not",
    "couldnt": "could not", "hasnt": "has not", "havent": "have not", "hadnt": "had not", "aint": "is not",
    "im": "i am", "ive": "i have", "its": "it is", "thats": "that is", "theres": "there is", "whats": "what is",
    "shes": "she is", "hes": "he is", "shell": "she will", "itll": "it will", "theyll": "they will",
    "youll": "you will", "theyre": "they are", "youre": "you are", "theyve": "they have", "youve": "you have",
    "weve": "we have", "id": "i had", "ill": "i will", "were": "were",
}  # fmt: skip

SAME: dict[str, str] = {
    # fuel and its traces
    "flame": "flames", "flaming": "flames", "smoking": "smoke",
    "petrol": "fuel", "gas": "fuel", "gasoline": "fuel", "juice": "fuel",
    "stinks": "smell", "stink": "smell", "stinking": "smell", "reeks": "smell", "reek": "smell", "reeking": "smell",
    "whiff": "smell", "odour": "smell", "odor": "smell", "fumes": "smell", "pong": "smell", "smelling": "smell",
    "smells": "smell", "smelly": "smell",
    "damp": "wet", "moist": "wet", "soaked": "wet", "soaking": "wet", "weep": "wet", "weeps": "wet", "weeping": "wet",
    "seep": "wet", "seeps": "wet", "seeping": "wet", "leak": "wet", "leaks": "wet", "leaking": "wet", "leaked": "wet",
    "leaky": "wet", "oozes": "wet", "oozing": "wet", "ooze": "wet", "stained": "wet", "liquid": "wet",
    "dribble": "drip", "dribbles": "drip", "dribbling": "drip", "trickle": "drip", "trickles": "drip",
    "trickling": "drip", "noseful": "smell", "stench": "smell", "vapour": "smell", "vapours": "smell",
    "beads": "wet", "sweats": "wet", "sweating": "wet",
    "drips": "drip", "dripping": "drip", "puddle": "drip", "patch": "drip", "pool": "drip", "pooling": "drip",
    "drop": "fall", "drops": "fall", "dropping": "fall", "dropped": "fall", "sink": "fall", "sinks": "fall",
    "sinking": "fall", "sags": "fall", "sag": "fall", "sagging": "fall", "falls": "fall", "falling": "fall",
    "fell": "fall", "fades": "fall", "fade": "fall", "fading": "fall",
    "climbs": "rise", "climb": "rise", "climbing": "rise", "creeps": "rise", "creep": "rise", "creeping": "rise",
    "rises": "rise", "rising": "rise", "goes_up": "rise",
    "floor": "ground", "underneath": "under",
    "underside": "under", "below": "under", "beneath": "under", "driveway": "ground",
    "boot": "cabin", "trunk": "cabin", "inside": "inside", "interior": "cabin", "cockpit": "cabin",
    "bonnet": "bonnet", "hood": "bonnet", "bay": "bay",
    "seam": "seam", "cover": "cap", "lid": "lid", "bonnets": "bonnet",
    "fitting": "joint", "fittings": "joint", "union": "joint", "unions": "joint", "joints": "joint", "banjo": "joint",
    "clip": "joint", "clips": "joint", "clamp": "joint", "connector": "connector", "port": "port", "ports": "port",
    # hoses and lines
    "pipe": "hose", "pipes": "hose", "line": "hose", "lines": "hose", "tube": "hose", "tubes": "hose",
    "tubing": "hose", "hoses": "hose", "piping": "hose",
    "split": "crack", "splits": "crack", "cracked": "crack", "torn": "crack", "hole": "crack", "holed": "crack",
    "perished": "crack", "perish": "crack", "swollen": "soft", "spongy": "soft", "swelled": "soft",
    # starting and running
    "starts": "start", "starting": "start", "started": "start", "fire": "start", "fires": "start", "firing": "start",
    "catches": "start", "cranks": "crank", "cranking": "crank", "cranked": "crank",
    "ages": "long", "forever": "long", "longer": "long", "slow": "slow", "slowly": "slow", "slower": "slow",
    "warm": "hot", "heat": "hot", "summer": "hot", "heats": "hot",
    "morning": "cold", "chilly": "cold",
    "kangaroos": "surge", "kangarooing": "surge", "kangaroo": "surge", "bucks": "surge", "bucking": "surge",
    "surges": "surge", "surging": "surge", "jerks": "surge", "jerky": "surge", "jerk": "surge", "jerking": "surge",
    "shivers": "shake", "shiver": "shake", "shudders": "shake", "shudder": "shake", "judders": "shake",
        "judder": "shake",
    "vibrates": "shake", "quivers": "trembl", "rocks": "shake", "lumpy": "rough", "uneven": "rough",
    "hesitates": "hesitate", "hesitation": "hesitate",
    "stumbles": "stumble", "bogs": "stumble", "bog": "stumble", "stagger": "stumble", "staggers": "stumble",
    "hunts": "hunt", "hunting": "hunt", "wanders": "wander", "wandering": "wander", "drifts": "wander",
    "drift": "wander", "drifting": "wander", "moves": "move",
    "missing": "misfire", "misses": "misfire", "misfiring": "misfire", "misfires": "misfire", "splutters": "misfire",
    "sputters": "misfire", "stutters": "misfire", "breaks_up": "misfire",
    "pinks": "knock", "pinking": "knock", "pings": "knock", "detonates": "knock", "rattles": "rattle",
    "knocks": "knock", "knocking": "knock",
    "blower": "turbo", "supercharger": "turbo", "turbocharged": "turbo", "supercharged": "turbo",
    "hills": "hill", "incline": "hill", "inclines": "hill", "slope": "hill", "slopes": "hill", "climb_hill": "hill",
    "loosened": "loose", "loosening": "loose", "loosen": "loose", "slackened": "loose", "slacken": "loose",
    "undid": "loose", "undone": "loose", "leans": "lean", "leaned": "lean", "leaner": "lean",
 "gradient": "hill", "climbs_hill": "hill", "revs": "rev", "rpm": "rev",
    "spits": "pop", "pops": "pop", "popping": "pop", "spitting": "pop", "coughs": "pop",
    "inlet": "intake", "motorway": "drive", "driving": "drive", "drives": "drive",
    "sooty": "soot", "sooted": "soot",
    # sound
    "hum": "hum", "hums": "hum", "humming": "hum", "buzz": "hum", "buzzes": "hum", "buzzing": "hum", "whirr": "hum",
    "whirring": "hum", "drone": "hum", "sings": "hum", "noise": "sound", "noises": "sound", "note": "sound",
    "sounds": "sound",
    # electrics
    "lamp": "lamp", "light": "lamp", "lights": "lamp", "lamps": "lamps", "blew": "blown", "pops_fuse": "blown",
    "popped": "blown", "burnt": "melted", "brown": "melted", "clicks": "click", "clicking": "click",
    "earth": "ground_wire", "voltage": "volts", "current": "amps",
    "kerb": "kerb", "curb": "kerb", "pothole": "kerb", "swapped": "swap", "swop": "swap",
    "cures": "cure", "cured": "cure", "fixed": "cure", "fixes": "cure", "recovers": "cure", "recover": "cure",
    # figures
    "dial": "gauge", "manometer": "gauge", "clock": "gauge", "needle": "gauge",
    "quicker": "fast", "quick": "fast", "quickly": "fast", "faster": "fast",
    "seized": "seized", "stuck": "stuck",
    "exhausts": "exhaust",
}  # fmt: skip

NEGATIVE = _words("not no never nothing without none neither nor hardly barely nowhere nobody refuses lacks free")
"""Words that turn the meaning of what follows them, as far as the end of the piece."""

TURNS_BACK = _words("but yet though although except only unless just still however")
"""Words that end the reach of a negative word."""

SPEAKERS = _words("i she he we they")
"""Words that can only be who does something: the reach of a negative word ends before them."""

FINE = _words("fine ok okay good normal lovely perfect perfectly healthy well right alright strong dry")
"""Words that say of the thing beside them that nothing is wrong with it."""

OPPOSITE = {"dry": "wet", "tight": "loose", "empty": "full", "nochange": "cure", "hoseoff": "hoseon"}
"""A word for the absence of another one: said, it denies it; denied, it says it."""

STATE_WORDS = _words("hoseon hoseoff pulledoff idle crank keyon fullload refhose onoff gauge hot cold nothing")
"""How the car stood while something was seen: beside a figure these are no sign of their own."""

PARTS = _words(
    "pump return regulator injector rail filter tank hose refhose gauge pressure fuel battery alternator relay fuse "
    "throttle sparkplug wire wiring speed adjuster vacuum nipple spring diaphragm volts amps feed intake manifold "
    "lambdasensor airsensor exhaust connector joint port seal plug engine car"
)
"""What there is to speak of: the name of a part or of a quantity alone says nothing about it."""

ALIVE = _words("run runs running work works working start starts stop stops move moves turn turns hear")
"""Words that say of a part no more than that it is alive, or not."""

EMPTY = _words(
    "a an and are as at be been by car do does did for from get gets got has have had he her him his i in is it "
    "me my "
    "of on or our she so t that the there they them this to up was we were when with you your would could "
    "should will "
    "can may might must am being its if than then too very really quite bit some any just also about after before "
    "since while all thing like one again now out off into over down back what which who how here day time way lot "
    "comes come goes go going went keeps keep give gives make makes made take takes took put say says said see think "
    "seems seem whatever anywhere everything everywhere something somewhere engine motor"
)
"""Words that carry no meaning here; they count only where a line has nothing else."""

UNSURE = (
    "i think", "i guess", "i suppose", "maybe", "perhaps", "probably", "possibly", "not sure", "not certain",
    "hard to say", "hard to tell", "difficult to say", "i could be wrong", "i may be wrong", "if i am not mistaken",
    "if i'm not mistaken", "as far as i can tell", "don't quote me", "i have a feeling",
    "it may", "it might", "could be", "seems to", "i believe", "as far as i know", "might be", "may be",
)  # fmt: skip
SECOND_HAND = (
    "he says", "she says", "they say", "the wife says", "my wife says", "my husband says", "i was told", "i am told",
    "the owner says", "a friend says", "my mate says", "apparently", "somebody said", "someone said", "he reckons",
    "she reckons", "the customer says", "customer says", "the driver says", "driver says", "the seller says",
)  # fmt: skip

RELATED: dict[tuple[str, str], float] = {
    ("drip", "wet"): 0.8, ("hose", "refhose"): 0.75, ("hum", "sound"): 0.6, ("whine", "sound"): 0.4,
    ("hum", "whine"): 0.4, ("cap", "fillercap"): 0.6, ("cap", "lid"): 0.6, ("hesitate", "surge"): 0.8,
    ("hesitate", "stumble"): 0.7, ("hesitate", "misfire"): 0.4, ("surge", "stumble"): 0.5, ("flat", "power"): 0.8,
    ("lamp", "lamps"): 0.7, ("lamp", "enginelamp"): 0.5, ("cabin", "inside"): 0.8, ("joint", "port"): 0.5,
    ("joint", "connector"): 0.5, ("hot", "hotstop"): 0.7, ("fall", "low"): 0.4, ("rise", "high"): 0.5,
    ("dark", "lamps"): 0.3, ("dark", "lamp"): 0.3, ("fullload", "hill"): 0.5, ("fullload", "load"): 0.6,
    ("fullload", "power"): 0.3, ("adjuster", "locknut"): 0.4, ("lean", "weak"): 0.7, ("die", "stop"): 0.7,
    ("die", "cut"): 0.8, ("stall", "die"): 0.9, ("sudden", "seconds"): 0.2, ("crack", "off"): 0.3,
    ("melted", "hot"): 0.6, ("kerb", "bump"): 0.8, ("security", "alarm"): 0.8, ("flashing", "blink"): 0.9,
    ("foam", "bubbl"): 0.8, ("froth", "foam"): 0.9, ("cold", "stand"): 0.4, ("soot", "black"): 0.7,
    ("consumption", "fuel"): 0.3, ("weak", "flat"): 0.7, ("gauge", "pressure"): 0.5, ("wander", "hunt"): 0.5,
    ("turbo", "boost"): 0.7, ("nochange", "nothing"): 0.5, ("rested", "stand"): 0.6, ("power", "weak"): 0.4,
}  # fmt: skip
"""Pairs of folded words that are near each other without being one, with how near (1 is the same)."""
