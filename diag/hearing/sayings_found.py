"""What was found on looking and what came of a deed, told so that no counting of words can place it. Data only.

Rows as in ``sayings_table``: the words, and what they mean. Common practice of speech in the trade, no source.
"""

from __future__ import annotations

_WORK = (
    r"(?:put|fit|fitted|chang\w+|swapp\w+|replac\w+|rebuil\w+|renew\w+|did|remov\w+|took|touch\w+|install\w+|"
    r"clean\w+)"
)
_SOMEBODY = r"(?:i|we|he|she|they|the (?:garage|shop|dealer|club)|my \w+|someone|somebody)"
_BETTER = r"(?:cur|fix|settl|calm|smooth|steadi|right|improv)\w*"
_RISES = r"(?:jump|ros|ris|pick|chang|climb|smooth|went up|go(?:es)? up|speed|surg|flar|leap|shot)\w*"
_OFF = r"(?:off|disconnected|removed|unplugged|pulled)"

FOUND: tuple[tuple[str, str], ...] = (
    # when it began
    (rf"(?:fine|ok|okay|good|great|perfect|well|right|(?:no|never \w+(?: \w+){{0,3}}?) (?:trouble|bother|"
     rf"problems?|issues?))"
     rf",? (?:till|until|up to when|"
     rf"before)(?: last \w+)?(?: when)? {_SOMEBODY} (?:had )?{_WORK}", "how-it-began=after-work"),
    # figures and how they were come by
    (rf"(?:regulator|base(?: pressure)?|pressure)(?: \w+){{0,3}}? set(?= [^.;]{{0,50}}(?:hose|line|pipe) {_OFF})",
     "how-base-was-set=hose-off"),
    (r"(?:pressure|it|rail|gauge) (?:climbs|rises|goes up|comes up|tracks|follows|up) (?:with |"
     r"against )?(?:the )?boost,? "
     r"(?:exactly |dead |just )?(?:(?:one|1) (?:for|to) (?:one|1)|pound for pound|psi for psi)", "!no-rise-in-boost"),
    (r"gauge(?:'s| is| was)? (?:\w+ )?(?:teed|tapped|fitted|screwed|plumbed|connected|hooked)(?: in| into| off|"
     r" on| at| to| up)* "
     r"(?:the )?(?:fuel )?rail", "gauge-tap-place=rail"),
    (r"gauge(?:'s| is| was)? (?:\w+ )?(?:in the feed |in the line |teed |tapped |fitted |plumbed )(?:in |"
     r"into )?(?:just )?"
     r"(?:before|ahead of|upstream of) the filter|(?:fitted|teed|put|plumbed|tapped) (?:the|my|a) gauge (?:in |"
     r"into |to )?"
     r"(?:the )?(?:feed |line |supply )?(?:before|ahead of|upstream of) the filter", "gauge-tap-place=before-filter"),
    (r"gauge(?:'s| is| was)? (?:\w+ )?(?:teed|tapped|fitted|plumbed|screwed)(?: in| into| to)* the return",
     "gauge-tap-place=in-return"),
    (r"(?:swapp?\w+|chang\w+|exchang\w+) (?:the )?gauges?,?[^.;]{0,30}(?:the same|no (?:different|difference)|"
     r"alike|agrees?)",
     "!gauges-differ"),
    (
        r"no difference(?: \w+){0,3} (?:with|on|between) (?:a |the )?(?:second|other|another|different|new|"
        r"two) gauges?",
        "!gauges-differ",
    ),
    (
        r"(?:hose|pipe|line) (?:between|from) (?:the )?tank (?:and|to) (?:the )?pump (?:collaps|suck|"
        r"flatten)\w*(?: \w+)?",
        "suction-gauge-high",
    ),
    # pressure that stays, or goes
    (r"(?:rail|pressure|gauge|it|system) (?:still )?(?:holds|keeps|stays|held|maintains|"
     r"kept)(?: \w+){0,3} (?:overnight|"
     r"all night|for (?:an )?hours?|till (?:the )?(?:next )?morning)", "!pressure-leaks-down"),
    (r"(?:rail|pressure|gauge)(?: is| does| did)? (?:not|n't|isn't|doesn't|never) (?:\w+ )?(?:go(?:ing|"
     r"es)? down|drop\w*|"
     r"fall\w*|leak\w*|bleed\w*)(?: \w+){0,2} (?:after|when|once) (?:i |we |you |it is |it's )?(?:stop|switch|"
     r"turn|shut|off)\w*"
     r"(?: (?:the )?(?:engine|motor|car|it))?(?: off)?", "!pressure-leaks-down"),
    (r"(?:with |when )?(?:the )?feed (?:is )?(?:pinched|clamped|nipped)(?: \w+){0,2} (?:drops|falls|sinks|"
     r"bleeds)(?: \w+){0,2}"
     r" (?:the same|as before|as fast|no different)", "pressure-leaks-down"),
    (r"(?:pressure|regulator|it|needle) (?:correctly |properly )?(?:tracks|follows|responds to|moves with|"
     r"changes with|drops "
     r"with|falls with) (?:the )?(?:manifold )?(?:vacuum|vac)(?: correctly| properly|"
     r" nicely)?", "!pressure-does-not-follow-vacuum"),
    (r"no (?:fuel|petrol|gas)(?= (?:getting|coming|at the (?:rail|injectors?)|to the|through|either|reaches)|"
     r" *(?:$|[,.;]))",
     "no-pressure"),
    # air, vacuum and mixture
    (rf"spray\w* (?:\w+ ){{0,6}}?(?:intake|inlet|manifold|gaskets?|plenum|throttle body)[^.;]{{0,40}}?(?:revs?|"
     rf"idle|engine|rpm|it|"
     rf"note) (?:\w+ )?{_RISES}", "intake-leak-found"),
    (rf"(?:clamp|pinch|block|squeez|plugg)\w* (?:off )?(?:the )?purge(?: \w+){{0,3}}? {_BETTER}(?: the idle)?",
     "purge-clamp-cures"),
    (r"(?:coolant|temp(?:erature)?(?: sensor)?|engine temp\w*)(?: \w+){0,2} (?:looks?|reads?|is|seems) (?:right|"
     r"fine|ok|correct|"
     r"sensible|believable|plausible|spot on)", "!temperature-shown-wrong"),
    # one cylinder
    (r"(?:pull|took|take|unplugg?)\w* (?:the )?(?:plug |ht )?(?:lead|wire|coil|injector(?: plug| lead|"
     r" connector)?) (?:off )?"
     r"(?:of |on )?(?:number |no\.? ?|cylinder )?(?:one|two|three|four|five|six|\d)\b[^.;]{0,25}?(?:nothing chang\w+|"
     r"no (?:change|difference|drop)|makes? no|made no|ran the same)", "one-cylinder-lean"),
    (r"all (?:the |of the |four |six |eight )?injectors (?:are )?(?:click|tick|buzz)\w*|(?:hear|"
     r"heard) all (?:the |of the )?"
     r"injectors(?: click\w*| tick\w*)?|injectors (?:are |do )?all (?:click|tick)\w*", "!injector-silent"),
    (r"(?:spray|pattern)\w*(?: \w+){0,3} (?:lovely|beautiful\w*|nice\w*|perfect\w*|fine|even\w*|evenly)(?= |$|[.,;])",
     "injectors-on-bench=alike"),
    (r"(?:swapp\w+|moved) (?:the )?(?:coil|plug|lead)s?(?: (?:and|"
     r"&) (?:the )?\w+)?[^.;]{0,30}?(?:still (?:on )?(?:cyl\w*|number|"
     r"the same)|stays (?:on|put|with))(?: \w+)?", "!misfire-follows-part"),
    (r"(?:cylinder|injector|number) \w+ (?:to be |was |is |were )?(?:deliver|flow|giv|"
     r"pass)\w*(?: \w+){0,3} (?:half|less|low|"
     r"a third|down)(?: the \w+)?", "injectors-on-bench=one-low"),
    # tank and return
    (r"return (?:line |hose |pipe )?(?:goes|comes|ends|runs|drops|is|enters)(?: \w+){0,7} (?:above|"
     r"over) the (?:fuel|level|"
     r"petrol|surface)", "return-end=above-fuel"),
    (r"(?:crossed|swapped|mixed up|crossed over|got) (?:the |those |my )?(?:two )?(?:hoses|lines|"
     r"pipes)(?: (?:crossed|swapped|"
     r"mixed up|wrong way round|round))?(?: at the tank| on the tank)?(?=$|[.,;])", "tank-hoses-swapped"),
    (r"(?:safety|inertia|impact|crash|cut[ -]?off|fuel cut) switch(?: \w+){0,4}? (?:had |has |was |"
     r"is )?(?:popped|tripped|jumped|"
     r"gone off|set off|sprung|up|out)", "inertia-switch-tripped"),
    (r"(?:no|without any) (?:fuel|petrol|gas)(?: \w+)? (?:visible|seen|to be seen|showing|evident)(?: at| on|"
     r" from| around)?"
     r"(?: any(?: of the)? (?:joints?|unions?|fittings?|connections?))?", "!fuel-at-joint"),
    (r"(?:fuel(?:'s| is)? |petrol(?:'s| is)? |gas(?:'s| is)? )?not getting (?:past|"
     r"through) the (?:fuel )?filter", "no-pressure"),
    (r"(?:good|strong|healthy|decent|hefty) (?:squirt|spurt|jet|gush) (?:\w+ ){0,3}(?:when|as|with)", "!no-pressure"),
    # what the car has
    (r"(?:fixed|non[ -]?adjustable|preset) (?:pressure )?(?:regulator|type|rate)|"
     r"(?<=regulator, )(?:a )?fixed(?: one)?|regulator"
     r"(?:'s| is)? (?:a )?(?:fixed|preset|not adjustable|non[ -]?adjustable)|no adjust(?:er|ment|"
     r"ing screw) on (?:it|the reg\w*)",
     "F:adjuster-fitted=no"),
    (r"(?:light|lamp) (?:of|for) the (?:engine|motor)(?: \w+){0,2} (?:on|lit|shines?|"
     r"burns?)(?: \w+)?", "warning-light-on"),
)  # fmt: skip
