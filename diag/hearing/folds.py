"""The trade's many phrases for one thing, each folded into one word before words are looked at. Data only.

``NAMES`` and then ``PHRASES`` are folded as whole words in a text that is lower case and free of apostrophes, each in
one walk through the text, in what is said and in the rule book's lines alike. Common practice of speech, no source.
"""

from __future__ import annotations

NAMES: tuple[tuple[str, str], ...] = (
    # the small hose with many names
    (r"(?:vacuum|vac|reference|ref|signal|manifold|boost|small|little|thin|reg(?:ulator)?) "
     r"(?:reference )?(?:hoses?|lines?|pipes?|tubes?|tubing)", "refhose"),
    (r"(?:hose|pipe|tube) (?:to|of|at) the (?:pressure )?reg(?:ulator)?", "refhose"),
    (r"fire or smoke", "flames smoke"),
    (r"(?:(?:is|was|it|car|bonnet) on|caught|catch(?:es|ing)?|a|small|big|electrical) fire(?! up)|"
     r"fire(?= under| in the (?:engine|car|boot|bay)| near|$)(?<!not fire)(?<!it fire)(?<!to fire)(?<!never fire)|"
     r"on fire|ablaze|alight", "flames"),
    (r"(?:goes |went |pulls |runs )?like (?:stink|the clappers|hell|mad|a rocket|a train|a dream)", "strong"),
    (r"on or off|on and off|on off|off or on|with and without|hose on,? hose off", "onoff"),
    (r"(?<=hose )(?:is |was |pulled |taken |cut )?(?:off|disconnected|unplugged)", "hoseoff"),
    (r"(?<=hose )(?:is |was )?(?:on|connected|back on)", "hoseon"),
    (r"(?:ran|run|runs|running) (?:right |clean )?(?:out of (?:fuel|petrol|gas)|out|dry)|out of (?:fuel|petrol|"
        r"gas)(?! tank)",
     "ranout"),
    (r"fuel rails?", "rail"),
    (r"fuel pressure regulators?|pressure regulators?|fpr|\bregs?\b", "regulator"),
    (r"filler caps?|tank caps?|gas caps?|fuel caps?|petrol caps?|cap of the tank|cap on the tank", "fillercap"),
    (r"(?:regulator )?(?:cap|cover|lid) screws?|screws? (?:on|of) the (?:cap|cover)", "capscrews"),
    (r"adjust(?:ing|ment|er)? ?screws?|set ?screws?|adjusters?|screws?(?= (?:in|out|right|does|will|makes|has|is))|"
     r"the screws?|regulator screws?", "adjuster"),
    (r"lock ?nuts?", "locknut"),
    (r"spark(?:ing)? ?plugs?|\bplugs\b", "sparkplug"),
    (r"rev(?:olution)? ?counters?|tacho(?:meter)?|\btach\b|rpm gauges?", "revcounter"),
    (r"(?:engine )?(?:warning|check)(?: engine)? (?:lamps?|lights?)|engine (?:lamps?|lights?)|check engine",
     "enginelamp"),
    (r"(?:battery|charge|charging|alternator) (?:lamps?|lights?)", "batterylamp"),
    (r"head ?(?:lamps?|lights?)|tail ?(?:lamps?|lights?)|(?:lamps?|lights?) (?:go |going |are |is |look )?dim|"
     r"dim (?:lamps?|lights?)", "lamps"),
    (r"key (?:symbol|picture|lamp|light|sign)s?|padlock(?: \w+)?|immobili[sz]er(?: \w*(?:lamp|light))?|"
     r"security (?:lamp|light)", "security"),
    (r"(?:air ?flow|air ?mass|air|maf|map) (?:meter|sensor)s?|manifold pressure sensors?", "airsensor"),
    (r"(?:lambda|oxygen|o2) sensors?", "lambdasensor"),
)  # fmt: skip

PHRASES: tuple[tuple[str, str], ...] = (
    # what the engine does
    (r"turns? over|turning over|spins? over|spinning over|churn\w*|winds? (?:over|on the starter)|"
     r"starter (?:spins|turns|motor turns)|spins fine|spins well", "crank"),
    (r"(?:fires?|fired|starts?|started) (?:straight|right|first) (?:up|off|time|turn|touch|go)(?: of the key)?|"
     r"fires? up|fired up|kick(?:s|ed)? over|burst(?:s)? into life|catch(?:es)?|caught|c[ao]mes? to life|"
     r"spr[iau]ngs? (?:in)?to life|w[ao]kes? up|woke up", "start"),
    (r"(?:just |only )?(?:cranks?|spins?|turns?|churns?|winds?) (?:and|&) (?:cranks?|spins?|turns?|churns?|winds?)",
     "crank not start"),
    (r"(?:coughs?|splutters?|struggles?|stumbles?|roars?|bursts?) (?:in)?to life", "start"),
    (r"(?:about )?(?:a dozen|a score|many|countless|ten|twelve|fifteen|twenty) (?:turns|revolutions|tries|"
     r"goes)", "long"),
    (r"spins? (?:for|like|away|on)|spinning (?:for|away)", "crank"),
    (r"no life in (?:it|her)|no sign of life", "not start"),
    (r"will not go(?= this| today| at all|$| any)", "will not start"),
    (r"(?:lets?|letting) (?:go of )?(?:the )?key(?: go)?(?: back)?|key (?:springs?|goes|comes) back|"
     r"releas\w+ (?:of )?the key|key is released|hold the starter|"
     r"(?:key|starter) is held", "keyrelease"),
    (r"conk\w* out|cuts? (?:right |straight |clean )?out|cutting out|cuts? dead|gives? up|packs? up|"
     r"gave up|giving up|packed (?:up|in)|packs? in|cut (?:right |clean )?out|went (?:dead|out)|go(?:es|"
     r"ing)? (?:dead|out)|"
     r"shuts? (?:itself )?down|shut itself (?:off|down)|switches itself off|expire[sd]?|stops? dead|stopped dead|"
     r"died|dies|dying|stalls?|stalled|stalling|falls? on its face|drops? dead|quits?", "die"),
    (r"full throttle|full load|full power|full chat|full bore|flat out|floor(?:s|ing)? (?:it|her)|wide open(?: "
     r"throttle)?|\bwot\b|floored|"
     r"foot (?:down|to the floor)|foot flat|high revs|high rpm|high load|hard pulls?|heavy throttle|"
     r"(?:at the )?top end|maximum load|when pushed", "fullload"),
    (r"los(?:es?|t|ing) (?:all )?(?:its|all|his|her) (?:puff|breath|steam|go|pull|urge|strength|legs|edge)|"
     r"will not (?:take|accept) (?:any |full )?(?:throttle|gas)|nothing (?:left )?in reserve", "flat"),
    (r"no power|lacks? power|down on power|less power|los(?:es?|t|ing) (?:some |its |all )?power|power loss|"
     r"loss of power|short of power|low on power", "flat power"),
    (r"out of breath|no go\b|wheez\w+|struggl\w+|strain\w+|dawdl\w+|no (?:urge|go|pull|poke|oomph|puff)(?: left|"
     r" any ?more)?|"
     r"out of (?:steam|puff)|"
     r"(?:just )?(?:lies|lays|lay) down|lost its (?:go|edge|urge|pull)|short of (?:power|breath|go)|"
     r"(?:hardly|barely) (?:pulls?|pick(?:s|ed)? up|climbs?)|will not pick up|does not pick up|"
     r"gutless|breathless|no grunt|will not pull|does not pull|flat as a \w+|falls? flat|goes flat|gasps?", "flat"),
    (r"(?:pottering|gentle driving|round town|around town|in town|light throttle)(?: about)?", "gentledriving"),
    (r"tick(?:ing)? ?over|idl(?:es|ing|ed)|at idle", "idle"),
    (r"up and down(?: by itself)?", "hunt"),
    (r"opens? (?:it|the throttle|her) (?:up )?(?:quick\w*|fast|suddenly|sharply)|opened quickly|"
     r"throttle is opened quickly|"
     r"stab(?:bing|bed)? (?:at )?the (?:throttle|pedal|gas)|snap(?:ping|ped)?(?: open)?(?: the)? throttle|tip ?in|"
     r"snapped open|blip(?:s|ped)? the throttle|(?:stamp|tread|jump|boot|stand|mash|punch|bury)(?:s|ing|ed)? (?:on )?"
     r"(?:the |my )?(?:pedal|throttle|gas|accelerator|loud pedal|it)|trod on it|put(?:s|ting)? my foot down|"
     r"boots? it", "snap"),
    (r"(?:flat|dead) spots?|(?:a|the) hole(?= before| when| in the (?:power|middle|rev)| as| off)|takes? a breath|"
     r"dead moment|moment of nothing", "stumble"),
    (r"(?:put|pours|poured|tips|tipped|added|splashed|sloshed|threw|gave it) (?:in )?(?:(?:a|some|\w+) )?"
     r"(?:can|jerry ?can|drop|litres?|liters?|gallons?|petrol|fuel|gas)(?: of (?:petrol|fuel|gas))?"
     r"(?: in(?:to (?:it|the tank))?)?(?: from a (?:can|jerry ?can))?|fuel (?:was|is) added", "fueladded"),
    (r"bunny ?hop\w*|lurch\w*|snatch(?:es|ing)|jerk(?:s|ing)? along|nods? along|hiccups?|hiccuping", "surge"),
    (r"speed (?:bump|hump)s?|cattle grids?|rough roads?|level crossings?|rumble strips?|pot ?holes?|cobbles|"
        r"ramps?|ruts?",
     "bump"),
    (r"with (?:my|a|the|his|her) boot|gave it the boot", ""),
    (r"(?:engine|orange|amber|yellow|fault) (?:\w+ )?(?:picture|symbol|icon)s?|warning (?:symbol|"
        r"icon)s?", "enginelamp"),
    (r"lifts? (?:my foot|off)|lift ?off|when i lift|over ?run|clos\w+ (?:of )?the throttle|"
        r"throttle is (?:just )?closed|"
     r"throttle is let go|let the throttle go|back off|off the gas|come off the throttle", "liftoff"),
    (r"out of (?:the )?(?:back|tail ?pipe|exhaust)|tail ?pipes?|exhaust pipes?", "exhaust"),
    (r"black smoke|smokes? black|black (?:cloud|exhaust)s?|sooty exhaust", "blacksmoke"),
    (r"(?:gets?|got|getting|goes|going|went) through (?:a lot|twice|double|half as much|more|far more|so much)"
     r"(?: as much| more)?(?: of)?", "consumption"),
    (r"uses? (?:a lot|twice|double|more|too much|far more|clearly more)(?: \w+){0,2}|fuel consumption|consumption|"
     r"mileage|\bmpg\b|drinks?|drinking|drunk|thirsty|gas mileage|economy", "consumption"),
    (r"makes? (?:your|my|the) eyes water|eyes? (?:water|sting|burn)\w*|stings? (?:in )?the eyes?", "eyeswater"),
    (r"back ?fir\w+", "pop"),
    # when
    (r"(?:takes?|took|needs?|needed|after) (?:\w+ or )?(?:\w+ )?(?:goes|tries|attempts|turns of the key|stabs)\b",
     "long crank"),
    (r"of the day|first thing(?: in the morning)?|in the mornings?|over ?night|all night|whole night|from cold|"
     r"when cold|"
     r"next morning|stood all night", "cold"),
    (r"(?:short|quick|brief) stops?|half an hour after a drive|fuel stops?|shop stops?|after a drive|"
     r"stopping for fuel|when i stop for fuel|heat ?soak\w*|hot ?soak\w*", "hotstop"),
    (r"at night|after dark", "dark"),
    (r"pressure ?wash\w*|jet ?wash\w*|after washing|steam clean\w*|washed", "rain"),
    (r"fill(?:s|ed|ing)? (?:it |her )?up|fill(?:ed|ing)? the tank|fill of (?:fuel|petrol|gas)|last fill|re ?fuel\w*|"
     r"petrol stations?|gas stations?|tank ?ful|tank of (?:fuel|petrol|gas)|brim\w*", "refuel"),
    (r"tank (?:is )?(?:only |just |about |down to |at )*(?:under |below )?(?:a )?(?:quarter|third)(?: full)?|"
     r"(?:quarter|low|nearly empty|almost empty) tank|tank (?:is )?(?:getting |runs )?low|low on (?:fuel|petrol|gas)|"
     r"little fuel|(?:quarter|half) (?:of a )?tank|tank is low", "lowtank"),
    (r"full tank|tank (?:is )?full|tank three quarters full|well filled", "fulltank"),
    (r"left ?hand\w*|right ?hand (?:bend|corner)s?|right ?handers?|roundabouts?|hairpins?|chicanes?|corners?|"
        r"cornering|bends?(?= )|braking|brakes?(?= hard)|"
        r"hard start",
     "corner"),
    # nothing changes
    (r"nothing (?:at all )?(?:changed|changes|was different|different|improved)|same (?:thing|story|result|"
     r"as before|again)|no better(?: for it)?|none the better", "nochange"),
    (r"whatever (?:i|you|we) (?:do|try)|no matter what(?: i do)?", "still nochange"),
    (r"leak(?:s|ed|ing)? (?:down|off)|bleed(?:s|ing)? (?:down|off)|bled (?:down|off)", "leakdown"),
    (r"(?:rock|dead|absolutely|perfectly) (?:solid|steady|still)|steady as a rock|does not (?:flicker|"
     r"waver)", "steady"),
    (r"(?:makes?|made|has|had|have) (?:no|not any) (?:difference|odds|effect|change)|no (?:difference|odds|effect|"
     r"change)|makes? nothing|does nothing|did nothing|(?:stays?|stayed|sits?|sat|stands?) (?:put|the same|where it "
     r"(?:is|was)|dead still|still|there)|"
     r"same whether|(?:do|does|did|will) not (?:move|change|budge|react|respond|do anything)|hardly (?:moves?|"
     r"changes?)|"
     r"barely (?:moves?|changes?)|never (?:moves?|changes?)|makes? it no different|ignores?|"
     r"whatever (?:i do|the throttle does)", "nochange"),
    (r"pulled off|taken off|took (?:\w+ ){0,2}off|i pulled(?: it)?|when i pull(?:ed)?", "pulledoff"),
    (r"comes? off|came off|come off|had come off|fell off|fallen off|popped off|slipped off|is off|blown off",
     "cameoff"),
    (r"wind(?:ing)? (?=the adjuster|in|out|it)|turn(?:s|ing|ed)? (?=the adjuster|in|out|it)|tak(?:e|es|"
        r"ing) (?=it out)",
     "turn "),
    (r"(?:all the way|right|fully|completely) out|backed (?:right )?off|right back|fully backed off|"
        r"screw out", "rightout"),
    (r"(?:will not|does not|can not|did not) (?:come|go|get|drop|bring it|bring|go any) ?(?:down|lower|below)?|"
     r"stuck high|can not lower|too much pressure|lowest (?:i|it) can(?: be)?(?: set)?|stuck at", "wontdrop"),
    (r"no idea|nobody knows|do not know|god knows|unknown", "noidea"),
    (r"never (?:been )?(?:changed|touched|done|renewed|replaced)|not (?:been )?changed (?:for|"
        r"in) \w+", "neverchanged"),
    (r"brand new|is new|new one|just renewed", "new"),
    (r"by mistake|wrong fuel|instead of", "mistake"),
    (r"every (?:single )?time|each time|always", "everytime"),
    (r"once (?:it|she) (?:has|had|is|gets)? ?(?:been )?(?:running|warm|hot)? ?(?:for )?(?:a while|a bit)|"
     r"after (?:a while|(?:\w+ )?(?:minutes|mins))|for (?:\w+ )?(?:minutes|mins)(?: then)?|minutes (?:of|into)",
     "minutes"),
    (r"(?:\w+ )?seconds?|\bsecs?\b|a moment|straight away|right away", "seconds"),
    (r"quarter of an hour|minutes? (?:rest|wait|later)|rest(?:s|ed|ing)?\b|wait a (?:bit|while)|sits? a while|"
     r"leave it|let it (?:sit|stand|rest)|sit by the road|after a wait", "rested"),
    (r"(?:like|as if) nothing (?:had )?(?:happened|been|was wrong)", "runsagain"),
    (r"comes? (?:off|from) the (?=(?:\w+ ){0,2}(?:pipe|manifold|plenum|intake|hose))", "goesto "),
    (r"then (?:it )?(?:runs|goes|starts|fires) again|runs again|(?:off|away) (?:it|she|he) (?:goes|"
        r"went)(?: again)?|comes? back|starts? again|"
     r"re ?start\w*(?: later)?|runs well again|goes again|start again", "runsagain"),
    (r"all of a sudden|suddenly|out of the blue|without warning|for no reason|now and then|at random|intermittent\w*|"
     r"every now and again|from one second to the next", "sudden"),
    (r"over (?:the )?(?:last |past )?(?:few )?(?:weeks|months|years?|summer|winter|autumn|spring)|slowly worse|"
     r"bit by bit|gradual\w*|getting (?:slowly )?worse|little by little",
     "slowlyworse"),
    (r"(?:since|after|when) (?:i |we |he |they |somebody |someone |the garage |the shop )?(?:changed|fitted|did|"
     r"worked on|work on|touched|"
        r"had|put|"
     r"replaced|the (?:\w+ ){1,3}(?:was|were|went|came) (?:off|in|out|changed))|since the (?:\w+ )?(?:work|job)|"
     r"straight after work", "afterwork"),
    (r"(?:bridg|jump|bypass)(?:e|ed|ing|es|s)? the (?:pump )?(?:relay|socket|relay socket)|"
     r"(?:relay|socket) (?:bridged|jumped|bypassed)", "direct"),
    (r"(?:stood|sat|parked|left|rested) (?:\w+ ){0,5}?(?:for )?(?:\w+ )?(?:years|months)|stood (?:all winter|"
     r"for|two|three|four|a year|\w+ years|\w+ months)|has stood|sat (?:all|for|in a barn)|"
     r"(?:in|laid up|stored) (?:a |the )?barn|laid up|in storage|stored", "stoodlong"),
    (r"how it should(?: be)?|as it should|like (?:it )?(?:always did|always|before|ever)|as usual|its usual|"
        r"the usual",
     "usual"),
    (r"louder than|a lot louder|noisier|noisy|making more noise|makes? more noise|noise than", "loud"),
    (r"scream\w*|siren|whin(?:e|es|ing|ed)|howl\w*|wail\w*|squeal\w*|high pitch\w*", "whine"),
    (r"not a (?:sound|peep|hum|buzz)|dead quiet|dead silent|silent|no (?:pump )?(?:sound|noise|hum|buzz|whir\w*)|"
     r"no priming (?:noise|sound)|no prime|can not hear(?: the)?|nothing to (?:be )?hear\w*|do not hear(?: the)?|"
     r"does not (?:run|prime|hum|buzz)(?: at all)?|hear nothing|nothing from", "silent"),
    (r"(?:with |after )?(?:the )?(?:key|ignition|engine) (?:is |was |turned |switched |has been )?(?:off|out)|"
     r"(?:with |and )?(?:the )?keys? (?:is |are )?in (?:my|his|her) (?:pocket|hand|bag)|without (?:the|a) key|"
     r"tak(?:e|es|ing|en) the key out|took the key out|pull(?:ed)? the key(?: out)?|"
     r"switch(?:ed|ing)? (?:it |her |the engine |everything )?off|switch ?off|turn(?:ed|ing)? (?:it|her|the key) off|"
     r"shut(?:ting)? (?:it|her|the engine) (?:off|down)|park(?:ed)? up", "keyoff"),
    (r"(?:with )?(?:it|the pump|pump|the engine|engine) running|key on|ignition on|switch(?:ed)? (?:it )?on|"
        r"turn the key|with the key(?: on)?(?! off| out| in)", "keyon"),
    (r"sees? only|only sees?", "only"),
    (r"led into|runs? into|goes into|"
     r"(?:drop(?:ped)?|stuck|put) (?:it|them|the (?:hose|return|end)) (?:in|into)(?! and)",
     "into"),
    (r"bone dry|all dry|dry inside|dry as a bone", "dry"),
    (r"let off|released|bled off", "letoff"),
    (r"teed? off|shared with|shares? (?:a |its )?(?:tee|hose|nipple)?|same nipple as", "shared"),
    (r"ahead of|before|upstream of|in front of", "ahead"),
    (r"between (?:the )?intercooler (?:and |& )?(?:the )?throttle|charge pipes?|throttle body|intercooler pipe",
     "aheadthrottle"),
    (r"squashed|crushed|flattened|pinched|trapped|kinked|kinks?|squeez(?:ed|es)|bent tight\w*|run over|"
     r"jacked on", "kink"),
    (r"as (?:it|she|he) warms|heats? up|warms? up|bay (?:gets )?(?:hot|warm)s?|with heat|when hot|"
        r"in the heat", "hot"),
)  # fmt: skip
