"""Shorthand of job cards, phone notes and thumbs, written out: "cust. reports extended crank w/ batt 12.4, wont rev".

Everything behind this is written for whole words; here short ones are made whole, so that no table has to know both.
Only what means one thing in a workshop is written out. Common practice, no source.
"""

from __future__ import annotations

import re

_ANY_CASE = {
    # job cards
    r"cust(?:s|omr)?": "customer", r"veh": "vehicle", r"eng(?=\.)": "engine", r"chk'?d": "checked", r"chk": "check",
    r"repl(?:'?d|\.)": "replaced", r"pwr": "power", r"accel": "acceleration", r"ign": "ignition", r"inj": "injectors",
    r"injs": "injectors", r"batt": "battery", r"rtn": "return", r"ret(?=\.? (?:line|hose|pipe|flow|pinch\w*|clamp\w*))":
    "return", r"approx": "about", r"int(?=\. )": "intermittent", r"intermit": "intermittent", r"adv(?=\. )": "advised",
    r"immed": "immediately", r"nr": "near", r"betw": "between", r"susp(?=\. )": "suspect", r"poss(?=\. )": "possibly",
    r"norm": "normal", r"o/night|o'night": "overnight", r"w/o": "without", r"temp": "temperature", r"temps":
    "temperatures", r"w(?= [a-z])": "with", r"pt throttle": "part throttle", r"yrs": "years",
    r"yr": "year", r"wk": "week", r"wks": "weeks", r"hrs": "hours", r"assy": "assembly", r"orig": "original", r"dif":
    "different", r"gnd": "ground", r"conn(?=\.)": "connector", r"elec(?=\.)": "electric", r"frnt": "front", r"wknd":
    "weekend", r"k\.?o\.?e\.?o": "key on engine off", r"k\.?o\.?e\.?r": "engine running", r"thr": "throttle",
    r"vac": "vacuum", r"ref(?= (?:off|on|pulled|connected|disconnected)\b)": "reference hose",
    # thumbs and mouths
    r"b4": "before", r"cuz|coz|bcos|becos|bc": "because", r"thru": "through", r"tho": "though", r"u": "you", r"ur":
    "your", r"idk|dunno|dont kno": "i don't know", r"gonna": "going to", r"wanna": "want to", r"gotta": "have to",
    r"kinda": "kind of", r"sorta": "sort of", r"lotta": "lot of", r"outta": "out of", r"rn": "right now",
    r"prolly|prob": "probably", r"ppl": "people", r"smth|summat": "something", r"nowt|nothin|nuffin|nuttin": "nothing",
    r"owt": "anything", r"ain'?t got no": "has no", r"petrol gas": "petrol", r"bout": "about", r"til": "until",
    r"innit|bro|lol|lmao|pls|plz|ffs|tbh|imo|btw": "", r"somethin": "something", r"everythin": "everything",
    r"startin": "starting", r"runnin": "running", r"leakin": "leaking", r"drivin": "driving", r"smellin": "smelling",
    r"hesitatin": "hesitating", r"idlin": "idling", r"crankin": "cranking", r"pullin": "pulling", r"goin": "going",
    r"doin": "doing", r"gettin": "getting", r"y'all": "you", r"em": "them",
}  # fmt: skip
_CAPITALS = {
    r"FP|F/P|RP": "fuel pressure", r"MIL|CEL": "engine light", r"(?<!\d )(?<!\d)AM": "in the morning", r"TPS":
    "throttle sensor", r"CTS|ECT": "temperature sensor", r"CKP|CPS": "crank sensor", r"PSI": "psi", r"BAR": "bar",
    r"HG": "Hg", r"EOT|EOL": "",
}  # fmt: skip
_WITHOUT_APOSTROPHE = {
    "wont": "won't", "cant": "can't", "dont": "don't", "doesnt": "doesn't", "didnt": "didn't", "isnt": "isn't",
    "wasnt": "wasn't", "arent": "aren't", "werent": "weren't", "wouldnt": "wouldn't", "couldnt": "couldn't",
    "shouldnt": "shouldn't", "hasnt": "hasn't", "havent": "haven't", "hadnt": "hadn't", "aint": "isn't",
    "im": "I'm", "ive": "I've", "theres": "there's", "thats": "that's", "whats": "what's", "shes": "she's",
    "hes": "he's", "youre": "you're", "theyre": "they're", "itll": "it'll", "weve": "we've", "youve": "you've",
}  # fmt: skip
_IT_IS = (
    r"its(?= (?:not|only|just|a|an|the|good|fine|ok|okay|bad|got|been|so|too|very|all|dead|gone|run\w*|like|always|"
    r"never|still|getting|going|doing|\w+ing)\b)"
)
_SPELLED = {**_ANY_CASE, **_WITHOUT_APOSTROPHE, _IT_IS: "it's"}


def _table(short: dict[str, str], flags: int) -> tuple[re.Pattern[str], tuple[str, ...]]:
    parts = "|".join(f"({written})" for written in short)
    # The full stop of a short form ends no sentence where small letters follow.
    return re.compile(rf"(?<![\w'/.-])(?:{parts})(?![\w'/-])(?:\.(?=\s*[a-z0-9,]))?", flags), tuple(short.values())


_WITH = re.compile(r"(?<!\w)w/ ?(?=[a-z])", re.IGNORECASE)
_COMMA = re.compile(
    r"(?<![\d,])(\d{1,3}),(\d{1,2})(?= ?(?:bar|volts?|v|psi|kpa|mm|l|lit\w*|amps?|a|kg|m)\b)", re.IGNORECASE
)
_DROPPED_G = re.compile(r"\b([a-z]{3,}in)'(?![a-z])", re.IGNORECASE)
_NUMBERED = re.compile(r"\bno\.? ?(?=[1-8]\b(?! ?(?:v|volts?|psi|bar|a|amps?|l|mm)\b))", re.IGNORECASE)
_TABLES = (_table(_CAPITALS, 0), _table(_SPELLED, re.IGNORECASE))


def written_out(text: str) -> str:
    """A text with its shorthand made whole; all else as it was said."""
    told = _WITH.sub("with ", text.replace("\u2019", "'").replace("\u00b4", "'"))
    told = told.replace(" + ", " and ")
    told = _NUMBERED.sub("number ", _DROPPED_G.sub(r"\1g", _COMMA.sub(r"\1.\2", told)))
    for pattern, meant in _TABLES:
        told = pattern.sub(lambda found, meant=meant: meant[(found.lastindex or 1) - 1], told)  # type: ignore[misc]
    return " ".join(told.split())
