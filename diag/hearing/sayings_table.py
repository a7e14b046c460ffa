"""The words for a thing that is well, for a deed and what came of it, and for some findings. Data only.

A target is "sign" (it is so), "!sign" (it is not so), "sign=choice" or "F:field=value". Common practice of speech in
the trade, no source.
"""

from __future__ import annotations

_ALIKE = r"(?:all )?(?:the same|alike|even|equal|identical|matched|within a (?:few|couple) \w+)"
_CLEAN = r"spotless|clean|clear|like new|spick and span|immaculate"
_STEADY = (
    r"(?:rock|dead|absolutely|perfectly)[ -]?(?:solid|steady|still)|solid as a rock|solid|steady|stays put|holds up|"
    r"holds steady|does not (?:budge|move|drop|fall|sag)|doesn'?t (?:budge|move|drop|fall|sag)|never "
    r"(?:budges|moves|drops|falls|sags)"
)
_FLAT_OUT = (
    r"full (?:throttle|load|power|chat|bore)|flat out|wide open(?: throttle)?|under load|(?:the|every) hills?|"
    r"when (?:i|you) (?:floor|boot) it|foot (?:down|flat)"
)

HEALTHY: tuple[tuple[str, str, str], ...] = (
    # the thing, the words that call it well, what they mean
    (r"sparks?", r"fat|strong|good|healthy|bright|blue|crisp|snappy|plenty of|nice|decent|proper", "!no-spark"),
    (r"(?:spark(?:ing)? ?)?plugs", r"tan|light brown|biscuit|healthy|brown|clean|good colou?r|coffee", "!black-plugs"),
    (r"trims?", r"(?:near(?:ly| enough)?|close to|about|around|almost|at|dead)? ?(?:zero|nought|nothing|0)|spot on|"
     r"normal|"
     r"within (?:two|three|four|five|\d) ?(?:per ?cent|%)?|fine|where they should be", "!trims-positive"),
    (r"compressions?", rf"{_ALIKE}|good|fine|healthy|spot on", "!compression-uneven"),
    (r"(?:rev ?counter|tacho(?:meter)?|tach)", r"keeps? (?:on )?(?:moving|twitching|flicking|reading|showing|working)|"
     r"(?:twitches|flicks|flickers|moves|wags|jumps|reads|shows) (?:while|when|as|on|during)|still (?:moves|reads|"
     r"shows|"
     r"works)", "!rev-counter-still"),
    (r"(?:test |pilot )?(?:light|lamp|bulb)(?=.{0,30}\bpump)", r"(?:comes on|lights? up|lights|lit|glows|goes on|"
     r"bright|"
     r"burns)(?: (?:at|on|across|in) the (?:fuel )?pump(?: \w+)?)?", "!lamp-dark-at-pump"),
    (r"(?:noid|injector|injector test|test) ?(?:light|lamp)", r"flash\w*|blink\w*|pulses|pulsing|flicker\w*",
     "!injector-lamp-dark"),
    (r"(?:oil|dipstick)", r"smells (?:normal|fine|ok|okay|clean|of oil|like oil)", "!oil-smells-of-fuel"),
    (r"(?:strainer|sock|pickup)", _CLEAN, "!strainer-dirty"),
    (r"(?:pressure|rail|it)", r"(?:goes up|climbs|rises|comes up|follows|tracks|goes|up) (?:exactly |just )?(?:one "
     r"(?:for|to) "
     r"one|pound for pound|psi for psi|1 (?:for|to) 1|with the boost)(?: with (?:the )?boost)?", "!no-rise-in-boost"),
    (r"(?:second|other|another|borrowed|spare|my mate'?s|new|different) gauge", r"(?:reads?|shows?|says?|gives?|is|"
     r"reading) "
     r"(?:exactly |just |pretty much )?(?:the same|alike|no different)|agrees|matches", "!gauges-differ"),
    (r"fuse", r"(?:is|'s|was|looks|tests?|checks? out) (?:fine|ok|okay|good|intact|sound|all right|alright|not blown)",
     "!fuse-blown"),
)  # fmt: skip

NOTHING_CAME = (
    r"(?:it(?:'s| is| was| made| makes|'s all)? |just |still |exactly |all |made |makes |there was )*"
    r"(?:no (?:difference|change|better|odds|joy|good|luck|improvement|effect)|the same(?! as (?:mine|the other))|same "
    r"(?:thing|again|as before|story|fault)|nothing(?! in| wrong| blocked)|did(?:n'?t| not) (?:help|change|do anything|"
    r"cure)|does(?:n'?t| not) (?:help|change|matter|do anything)|still (?:dead|won'?t|no|nothing|not|dies|does it|cuts "
    r"out|silent))"
)
GOOD = (
    r"(?:it |she |the pump |the car |the engine |that |then |just |straight |all )*"
    r"(?:came (?:back|right|good|alive|to life|on)|comes (?:back|right|good|alive|to life|on)|ran|runs?(?! out| dry| "
    r"rich| "
    r"lean| rough)|woke(?: up)?|wakes(?: up)?|start(?:s|ed)|fir(?:es|ed)|catch(?:es)?|caught|kick(?:s|ed) in|sings?|"
    r"sang|"
    r"hums?|work(?:s|ed)|(?:off|away) (?:it|she|he|we) (?:went|goes)|cure[sd]|cured|fixed|sprang to life|burst "
    r"into life|fine again|"
    r"perfect(?:ly)?|took off(?: running)?|lit up|good as gold|sorted|(?:the )?fault (?:has )?(?:cleared|gone|"
    r"rectified|absent|cured)|rectified|back to normal|"
    r"all (?:good|sorted)|(?:hasn'?t|has not|never) (?:died|done it|stopped|cut out|missed a beat)|went again|"
    r"goes again|right as rain)"
)
_RELAY = r"(?:pump |fuel |fuel pump |known good |new |another |different |other |spare |horn |good )*relay"

DEEDS: tuple[tuple[str, str, str], ...] = (
    (r"(?:new|another|a different|known good|spare|borrowed) (?:pump |fuel )?relay(?: in| fitted| tried)?",
     "relay-swap-cures", ""),
    (rf"{_RELAY}(?:'s| was| is| has been)? (?:swapped|swopped|changed|exchanged|replaced|renewed|"
     rf"substituted)(?: over)?",
     "relay-swap-cures", ""),
    # what was done, what it yields when good came of it (denied when nothing came), other words for "good came of it"
    (rf"(?:swapp?\w*|swopp?\w*|chang\w+|exchang\w+|replac\w+|tried|try|put(?: in)?|fitted|stuck(?: in)?|plugged(?: "
     rf"in)?) "
     rf"(?:in |over )?(?:the |a |an |another |my )*{_RELAY}", "relay-swap-cures", ""),
    (r"(?:(?:ran|run|running|wired|fed|feed|powered|hooked|connected|put|jumped|bridged|tried) (?:up )?(?:the |my "
     r")?(?:fuel )?pump "
     r"(?:up )?(?:straight |direct(?:ly)? )?(?:off|from|to|on|onto|across|with) (?:the |a )?(?:battery|jumper|fused)|"
     r"jumper (?:wire|lead|cable) (?:straight |direct )?(?:to|on) the pump|direct (?:feed|supply|wire) to the pump)",
     "pump-runs-direct", ""),
    (r"(?:(?:fetch|g[ia]v)\w* (?:it|the (?:fuel )?(?:pump|tank)) a (?:\w+ )?(?:clout|tap|thump|whack|kick|knock|"
     r"bang|belt|smack|"
     r"wallop|slap)|(?:tap\w*|hit\w*|thump\w*|knock(?:ed|ing)|bang\w*|whack\w*|bash\w*|belt\w*|clout\w*|"
     r"kick(?:ed|ing)) (?:on "
     r")?(?:the "
     r"(?:bottom|side|underside) of )?(?:the |my )?(?:fuel )?(?:pump|tank))\b", "tap-wakes-pump", ""),
    (r"(?:a|one|another) (?:\w+ )?(?:tap|thump|knock|clout|whack|kick|bang|smack)(?: \w+){0,4} (?:on|to|at) the "
     r"(?:\w+ )?"
     r"(?:pump|tank)", "tap-wakes-pump", ""),
    (r"(?:wiggl\w+|waggl\w+|shook|shak(?:e|ing)|mov(?:ed|ing)|push(?:ed|ing)|touch(?:ed|ing)|pull(?:ed|ing) (?:on|at)|"
     r"twist\w*|"
     r"flex\w*) (?:on |at |about )?(?:the |a |that |my )?(?:pump |fuel |relay |big |round |wiring )*(?:plug|connector|"
     r"loom|"
     r"wires?|wiring|harness|relay|lead)\b", "wiggle-changes-it",
     GOOD[:-1] + r"|cuts? (?:in and )?out|died|dies|stopp?(?:s|ed)|stumbl\w+|chang(?:es|ed)|went off|flickers?|"
                 r"came and went)"),
    (r"(?:press\w*|push\w*|reset\w*|pok\w+) (?:in )?(?:the |that |a )?(?:little |red |yellow )*(?:button|inertia "
     r"switch|cut[ -]?off"
     r"(?: switch)?|crash switch|impact switch|safety switch|inertia button)\b", "inertia-switch-tripped", ""),
    (r"(?:turn\w*|cycl\w+|switch\w*) the (?:key|ignition) (?:on and off |on |off and on )?(?:again )?(?:two|three|"
     r"four|a few|"
     r"several|twice|2|3|4|a couple of)(?: times)?", "second-key-turn-helps", ""),
    (r"(?:floor(?:ing|ed)?(?: it| the (?:pedal|throttle))?|foot (?:flat )?(?:to the floor|down)|pedal (?:to|on) the "
     r"floor|"
     r"hold\w* (?:it|the throttle) (?:wide )?open|throttle wide open) (?:while|when|and|as|during|with)(?: \w+){0,2} "
     r"crank\w*",
     "clears-with-throttle-open", ""),
    (r"spray\w* (?:some |a bit of |the )?(?:\w+ )?(?:cleaner|easy ?start|starter fluid|brake clean\w*|carb clean\w*|"
     r"propane|wd)",
     "intake-leak-found", r"(?:idle|revs|engine|note|it) (?:\w+ )?(?:chang\w+|ris\w+|rose|pick\w* up|speeds? up|"
     r"smooth\w*|"
     r"steadie[sd]|goes up|went up)"),
    (r"(?:idle|revs|engine|note) (?:\w+ )?(?:chang\w+|ris\w+|rose|pick\w* up|speeds? up|smooth\w*|steadie[sd]|goes up|"
     r"went up)",
     "intake-leak-found", r"spray\w* (?:some |a bit of |the )?(?:\w+ )?(?:cleaner|easy ?start|starter fluid|brake "
     r"clean\w*|"
     r"carb clean\w*|propane|wd)(?: \w+){0,4}"),
    (r"(?:put|poured|tipped|added|chucked|bunged) (?:in )?(?:another )?(?:\w+ )?(?:litres?|gallons?|liters?) (?:of "
     r"\w+ )?(?:in)?",
     "more-fuel-cures", r"(?:it |that |was |is |it's |been )*(?:cured|fine|right|gone|fixed|perfect|all right|never "
     r"(?:did|does)"
     r" it)"),
)  # fmt: skip

_THROUGH_RETURN = r"(?:blow|blew|blown|blowing) (?:down |through |into )+(?:the |a |it |my )?return(?: \w+){0,2}?"
_PULLED_UP = r"(?:with the rail (?:lifted|up|off|out)|(?:when|as|if) (?:i|you|we) (?:lift|pull) the rail)"
SAID: tuple[tuple[str, str], ...] = (
    (r"(?:all|everything|everywhere)(?:'s| is| was| looks| bone| nice and| perfectly| completely)* dry(?! weather)",
     "!fuel-under-car"),
    # the steady words hold denials of their own
    (rf"(?:pressure|gauge|needle|rail)(?: \w+){{0,2}} (?:{_STEADY})(?: \w+){{0,2}} (?:{_FLAT_OUT})(?:,? "
     rf"(?:{_STEADY}))?",
     "!pressure-falls-at-load"),
    (r"(?:borrowed|tried|fitted|used|put on|screwed on) (?:a|another|a second|my mate'?s|an?other) gauge(?: "
     r"\w+){0,2},? (?:and "
     r"|but )?(?:it |that )?(?:reads?|says?|shows?|gives?|showed|read|said|gave) (?:exactly |just )?the same(?: as "
     r"\w+)?",
     "!gauges-differ"),
    (rf"{_THROUGH_RETURN},? (?:and |but )?(?:(?:it |it's |it is |was |is |that's |all )*clear|(?:it )?(?:goes|blows|"
     rf"blew|went) (?:"
     r"through |straight )*(?:free\w*|easily|through)|nothing in (?:the way|it)|no (?:resistance|blockage|trouble)|"
     r"easy)",
     "!return-section-choked"),
    (r"(?:can|could) (?:hardly|barely|not|scarcely|only just) (?:get (?:any )?(?:air|breath) |blow )(?:down |through "
     r")+the return"
     r"(?: \w+)?|(?:can'?t|couldn'?t) (?:get (?:any )?air |blow )(?:down |through )+the return(?: \w+)?",
     "return-section-choked"),
    (r"(?:barely|hardly|only|just|no more than) (?:\w+ )?(?:a )?(?:dribble|trickle|drip|dribbles|trickles) (?:\w+ "
     r")?(?:out of|"
     r"from|at|in) the return(?: \w+)?|return(?:'s| is)? (?:only |just |barely )+(?:a )?(?:dribbl\w+|trickl\w+)",
     "return-stream=weak"),
    (r"return(?:'s| is| was)? (?:really |fair |fairly )?(?:gush\w+|pour\w+|stream\w+|blast\w+|running full)(?: back| "
     r"out| strong)?",
     "return-stream=strong"),
    (r"(?:second|other|another|borrowed|spare|my mate'?s|new|different) gauge (?:\w+ )?(?:reads?|shows?|says?|gives?|"
     r"is|'s|was) "
     r"(?:about |a good |\w+ )?[\w.]+ (?:psi |pounds |bar |lbs? )?(?:less|more|lower|higher|under|over|out|different)",
     "gauges-differ"),
    (r"(?:one|number \w+|a single)(?: \w+)? plug(?:'s| is| was|s)? (?:\w+ )?white(?:r)?(?:,? (?:and )?the (?:others|"
     r"rest)(?: \w+){0,2}"
     r" (?:fine|ok|okay|brown|tan|normal|good))?", "one-cylinder-lean"),
    (r"(?:water|droplets|beads of water) (?:\w+ )?(?:came out of|out of|in|ran out of|comes out of|from) the "
     r"(?:filter|tank|sample|"
     r"jar|fuel|petrol|can)", "jar-water"),
    (r"filter (?:was|is|'s) (?:\w+ )?(?:full of|packed with|solid with|choked with|caked with|blocked with|black with) "
     r"(?:\w+ )?(?:sludge|dirt|muck|crud|rust|gunge|slime|filth|mud)", "filter-dirty-inside"),
    (r"(?:fuel|petrol|gas|gasoline|it)(?:'s| has|'d)? (?:been )?(?:in there|in the tank|sat there|standing|"
     r"sitting)(?: there)? "
     r"(?:since|for) (?:last )?(?:january|february|march|april|may|june|july|august|september|october|november|"
     r"december|year|"
     r"autumn|winter|summer|spring|\w+ (?:months|years)|months|years|ages|a year|christmas)", "F:long-storage=yes"),
    (r"(?:gurgl|slosh|splash|fizz)\w*(?: \w+){0,2} (?:in|at|inside|into|from) the (?:tank|filler)", "splash-at-filler"),
    (r"(?:coolant|water|temp(?:erature)?|engine temp\w*)(?: \w+){0,2} (?:says?|reads?|shows?|showing|is|sensor|"
     r"reading|at) (?:\w+ )?"
     r"(?:minus|-) ?\w+(?: degrees)?(?: and| but| when| while| though)(?: \w+| it's){1,3} (?:boiling |red |really "
     r")?(?:hot|warm)",
     "temperature-shown-wrong"),
    (r"fuse (?:blew|blows|popp?(?:s|ed)|went|goes) again|(?:new|another|second|next) fuse (?:blew|popped|went|goes|"
     r"blows)"
     r"(?: straight away| too| as well)?", "fuse-blows-again"),
    (r"(?:rev ?counter|tacho(?:meter)?|tach)(?: \w+)? (?:drops?|falls?|goes|fell|dropped|went) (?:straight |right |"
     r"instantly )?to "
     r"(?:zero|nothing|nought|0) (?:the (?:moment|second|instant)|as soon as|when|before) it (?:dies|died|stops|cuts "
     r"out)",
     "rev-counter-falls-at-once"),
    (r"(?:nipple|spigot|connection|stub|barb) (?:on|of) the (?:regulator|reg)(?:'s| is| has| was)? (?:isn'?t|not|"
     r"nothing|open|bare)"
     r"(?: \w+){0,5}", "hose-condition=off-or-split"),
    (r"(?:hose|pipe|line) (?:on|at|to|of) the (?:regulator|reg)(?:'s| is| was| has)? (?:\w+ )?(?:split|cracked|"
     r"perished|torn|off|"
     r"fallen off|come off)(?: at the end)?", "hose-condition=off-or-split"),
    (r"(?:big|hot|wild|race|racing|lumpy|sports?|fast road|rally) cam(?:shaft)?s?", "vacuum-low-by-build"),
    (r"(?:injectors?|duty)(?: \w+){0,4} (?:hundred|100|ninety(?:[ -]\w+)?|9\d) ?(?:%|per ?cent|percent)(?: duty)?|"
     r"(?:hundred|100|9\d) ?"
     r"(?:%|per ?cent|percent) (?:duty|open)|static injectors", "injector-duty-high"),
    (r"trims?(?: \w+){0,2} (?:pulling|taking|taken|pull|take)(?: \w+){0,3} (?:out|off|away)|trims?(?: \w+){0,3} minus "
     r"\w+",
     "trims-negative"),
    (rf"(?:number (?:\w+)(?:'s| is)?|one(?:'s| is)?|injector \w+)(?: only)? (?:a )?(?:thin|weak|poor|dribbl\w+|"
     rf"less)(?: stream| jet"
     rf"| spray)?(?: \w+){{0,3}} {_PULLED_UP}", "injectors-on-bench=one-low"),
    (rf"(?:number \w+|one|injector \w+)(?: of them)? (?:drips?|dribbles?|weeps?|leaks?)(?: \w+){{0,3}} {_PULLED_UP}",
     "injector-tip-drips"),
    (r"no (?:click|clicks|clicking|tick|ticking|sound|noise) (?:\w+ )?(?:from|at|on|out of) (?:the |any |all |one "
     r")*(?:of the )?"
     r"injectors?(?: \w+)?|injectors? (?:do(?:n'?t| not)|does(?:n'?t| not)|are ?n'?t|not) (?:click|tick)\w*",
     "injector-silent"),
    (r"(?:falls?|drops?|goes|gone|bleeds?|sinks?|dies away) (?:right |straight )?(?:down )?(?:to )?(?:nothing|zero|"
     r"nought|0 psi) "
     r"(?:within|in|inside) (?:a |about |under |half a )*\w+(?: (?:minutes?|seconds?))?(?: of| after)(?: i| you)? "
     r"(?:switch|turn|shut|"
     r"stop)\w*(?: it)?(?: off)?", "pressure-leaks-down"),
    (r"runs? like a (?:pig|dog|bag of \w+|tractor)(?: at (?:idle|tickover))", "rough-idle"),
    (r"(?<!vacuum )(?<!return )(?<!reference )(?:fuel |rubber )?hoses? (?:feels?|are|is|have gone|has gone|went|gone|"
     r"look) (?:all |very "
     r"|quite )?(?:soft|sticky|tacky|gooey|spongy|swollen|mushy)(?: and \w+)?", "fuel-hose-cracked"),
    (r"(?:pulls?|goes|runs|revs) (?:clean|cleanly|hard|strong|strongly|well|sweet|sweetly|beautifully) (?:\w+ "
     r")?(?:all the way(?: (?:up|to|through))*|right "
     r"(?:up|through|to)(?: to)?)(?: (?:the|all the|its) (?:red ?line|revs|top|range|gears|limiter|rev range|"
     r"clock))?", "!flat-at-full-load"),
    (r"never (?:does|did|happens|do) (?:it |this )?(?:with|on) (?:a )?(?:full|fuller|brimmed) tank|(?:fine|perfect|"
     r"all right) (?:with|on) a "
     r"full tank", "more-fuel-cures"),
    (r"(?:when|once|if|as soon as) (?:it's|it is|it gets|the tank is|the tank's|there's|i'm|we're) (?:under|below|"
     r"less than|down to) "
     r"(?:about )?(?:a )?(?:third|quarter|half|eighth)(?: full| of a tank)?", "worse-when-tank-low"),
    (r"(?:i |we )?put the (?:hoses|pipes|lines) back(?: \w+){0,4}", "F:just-plumbed=yes"),
    (r"(?:right |straight |just )?(?:after|since) (?:i|we|he|they) (?:had|took|taken) (?:the|my) (?:rail|injectors|"
     r"pump|tank|regulator|"
     r"filter|manifold) (?:off|out|apart|down)", "how-it-began=after-work"),
    (r"gauge (?:sits|rests|reads|shows|stays|is|stands) (?:at )?[\w.]+(?: psi| pounds)? with nothing (?:hooked|"
     r"connected|plugged|screwed|"
     r"attached)(?: up| on| to it)?", "gauge-off-zero"),
    (r"(?:fires|starts|goes) (?:first (?:time|turn|touch|go)|straight up|right away|at once)(?: \w+)? (?:every |in "
     r"the |of a |each )*"
     r"(?:morning|mornings|cold|from cold)", "!long-crank-cold"),
    (r"pump (?:runs|keeps running|keeps going|goes|stays) on and on(?: \w+){0,4}|pump never (?:stops|shuts off|"
     r"switches off)",
     "pump-never-stops"),
)  # fmt: skip
