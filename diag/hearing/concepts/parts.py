"""What there is to speak of. Data only; see ``diag.hearing.concepts``."""

from __future__ import annotations

PARTS: dict[str, str] = {
    "fuel": r"fuel|petrol|gas(?:oline)?|juice|methanol|ethanol|e ?85|unleaded|super|spirit|go juice|motion lotion|"
        r"mogas|fourstar|four star",
    "pump": r"(?:fuel |in ?tank |lift |petrol )?pumps?|fuel pump\w*",
    "relay": r"relays?",
    "fuse": r"fuses?|fuze",
    "key": r"key|ignition",
    "connector": r"connectors?|(?:fuse |relay )?(?:plug|socket|holder|terminal)s?|multi ?plug|fuse ?box|wires?|"
        r"wiring|loom|relay|spade|pins?|plug|spade|crimp|splice|terminals?|pigtail|bullet|contacts?|lead",
    "rail": r"rail|injectors?(?: seals?| o ?rings?)?|o ?rings?|fuel log",
    "regulator": r"regulator|regs?|fpr|pressure valve|regulators|fuel pressure (?:reg|valve)|pressure reg|"
        r"relief valve",
    "cover seam": r"cap|cover|lid|seam|screws|crimp|top|diaphragm|vent hole|weep hole",
    "return": r"return(?:s)?(?: line| hose| pipe| side)?|spill (?:pipe|line)|line back|pipe back|way back|(?:hose|"
        r"pipe|line)(?: \w+){0,5} back to (?:the )?tank|to the tank from the regulator",
    "feed": r"(?:feed|supply|delivery|pressure)(?: line| hose| pipe| side)|feed|supply line",
    "strainer": r"strainers?|sock|pick ?up (?:filter|screen|sock|gauze)|inlet (?:filter|screen|gauze|sock)|"
        r"in ?tank filter",
    "fuse box": r"fuse ?box(?:es)?|relay box|relay (?:panel|board)",
    "air filter": r"air (?:filter|cleaner|box)|airbox",
    "cap loose": r"(?:undo|undid|undoing|loosen\w*|open(?:s|ed|ing)?|crack\w*|remov\w*|take|took|"
        r"pop\w*) (?:off )?(?:the |my )?"
        r"(?:filler |tank |fuel |petrol |gas )?cap|cap (?:off|loose|undone|open\w*|removed)",
    "filter": r"filters?|cartridge",
    "tank": r"(?:fuel |gas |petrol )?tanks?(?: unit)?|sender(?: ring)?|filler neck|filler (?:hose|pipe)|cell|"
        r"fuel cell|petrol tank|swirl pot",
    "cap": r"(?:filler|tank|gas|fuel|petrol) ?caps?|fillercap|cap off the (?:tank|filler)|cap",
    "joint": r"joints?|unions?|fittings?|connections?|couplings?|hose ends?|clips?|jubilee\w*|clamps?|banjos?|"
        r"barbs?|quick connects?|nuts?|flares?|tee|line|lines|pipes?|hoses?",
    "hose": r"hoses?|pipes?|lines?|tub(?:e|es|ing)",
    "ref hose": r"(?:vacuum|reference|vac) (?:nipple|port|spigot)|(?:vacuum|vac|reference|ref|signal|thin|small|"
        r"little|rubber|manifold|sense|sensing|"
        r"boost)(?: reference)? (?:hose|line|pipe|tube|feed)|(?:pipe|hose|line|tube) (?:of|at|to|on|off|from|"
        r"into) the (?:regulator|reg|manifold)|regulator (?:hose|pipe|line|nipple|nose)|(?:vacuum|breather|small|"
        r"thin) (?:pipes?|hoses?|lines?|tubes?)|vac(?:uum)? (?:advance )?(?:line|pipe|hose)|"
        r"pipe from the (?:manifold|"
        r"plenum)|little pipe|signal line|spigot",
    "plugs": r"(?:spark(?:ing)? ?)?plugs?|electrodes",
    "oil": r"(?:engine )?oil|sump|dipstick|crank ?case|(?:the )?stick|dip ?sticks?|oil level|oil filler|oil cap|"
        r"sump oil|crankcase",
    "one": r"plug (?:one|two|three|four|five|six|seven|eight|\d)|(?:number |no |cylinder )(?:one|two|three|four|"
        r"five|six|seven|eight|\d)|one (?:of (?:the|them)|plug|cylinder|pot|hole|is|was|looks)|a single|the (?:front|"
        r"rear|back|end|end ?most|last|first) (?:one|plug|cylinder)|two of (?:the|them)|one|(?:number|no|"
        r"cyl(?:inder)?) ?(?:\d|one|two|three|four|five|six)(?: is)?|one (?:plug|injector|cylinder|pot|lung)|"
        r"just one|"
        r"only one|odd one|the (?:odd|middle|nearest|furthest|other) one",
    "gauge": r"gauges?|needle|dial|clock|reading|figure|number|display|clock|dial|manometer|tester|the meter|graph|"
        r"trace|log|trace",
    "pressure": r"pressures?|psi|rail|bar|pounds",
    "trim": r"(?:fuel |long(?: term)? |short(?: term)? )?trims?|(?:long|short) terms?|[sl]tft|[sl]tfts|correction|"
        r"adaption|adaptation|fuel correction",
    "lambda": r"lambda|wide ?bands?|afr|air fuel|mixture|o2|oxygen sensor|mixture (?:gauge|meter)|sniffer|"
        r"gas tester|analyser",
    "engine light": r"(?:light|lamp) (?:of|for) the (?:engine|motor)|(?:engine|check|check engine|warning|fault|"
        r"management|malfunction|eml|amber|orange|"
        r"yellow)(?: management| warning)? (?:lights?|lamps?|symbol|icon|picture)|check engine|\bcel\b|\bmil\b|"
        r"engine management light|light (?:is )?on the dash|tell ?tale|engine tell ?tale|(?:engine|warning|check|"
        r"fault|orange|amber|yellow|management) (?:tell ?tale|light|lamp|symbol|thing)|dash light|idiot light|"
        r"eml|mil|"
        r"cel|dtc|fault codes?|codes?(?= (?:stored|came|p\d))|orange (?:engine|thing|light)|"
        r"engine (?:shaped )?(?:symbol|light|lamp|outline)",
    "battery light": r"(?:battery|charge|charging|alternator|ignition|generator|red) (?:warning )?(?:lights?|lamp)|"
        r"not charging|(?:battery|charge|red) (?:symbol|tell ?tale|lamp)",
    "adjuster": r"adjust(?:er|ing screw|ment screw|ing|ment)?|(?:set ?|grub )?screw|(?:wind|turn|screw)\w* (?:it|"
        r"the (?:adjuster|screw|regulator))(?: (?:in|out|up|down))?|knob|spindle",
    "starter": r"starter(?: motor)?|solenoid|key",
    "security": r"(?:alarm|security|immobili[sz]er|anti ?theft|theft|padlock|key)(?: \w+)? (?:lights?|lamp|symbol|"
        r"sign|icon|picture|warning|led)|padlock|immobili[sz]er|red (?:led|light) (?:on the dash )?(?:flash|"
        r"blink)\w*|"
        r"key (?:symbol|picture)|(?:little |red |flashing )?(?:padlock|car with a key|key symbol|security|"
        r"immobiliser|"
        r"alarm|theft)(?: \w+)? ?(?:flash\w*|blink\w*|stays on|on|lit)?|(?:red |little |small |flashing |"
        r"picture of a )+key(?: \w+){0,2} flash\w*|key(?: \w+){0,2} (?:flash|blink)\w*",
    "rev counter": r"rev ?counter|tacho(?:meter)?|tach|rev needle|revs needle|rev ?meter|rpm (?:gauge|needle|"
        r"display)|revs (?:gauge|display)|rev clock",
    "intake": r"(?:through|in|into|up|out of|back (?:through|up|into|out of)) (?:the )?(?:intake|inlet|air ?box|"
        r"air (?:filter|cleaner|horn|intake)|throttle body|throttle bod(?:y|ies)|trumpets?|plenum|carb\w*|"
        r"bellmouths?)|intake|inlet|airbox|trumpets?|throttle body|trumpets?|stacks?|bell ?mouths?|air (?:filter|box|"
        r"horn)|throttle bod\w+|manifold|inlet",
    "exhaust": r"exhausts?|tail ?pipes?|zorst|silencer|muffler|back box|out (?:of )?the back|behind (?:it|me|us)|"
        r"rear|pipe|silencer|tail ?pipe|back box|downpipe|out the back|out of the back|end can",
    "cabin": r"(?:in|inside) the house|cabin|cab|inside(?: the (?:car|truck|van|boot|house))?|boot|trunk|interior|"
        r"cockpit|back seat|in the car|carpet|through the vents|heater|passengers?|in with (?:us|me)|luggage|hatch|"
        r"saloon|saloon|passenger (?:side|seat|compartment)|windows down|wind the windows|windows open|inside|"
        r"the kids|back seats?|upholstery|clothes|headache|in the (?:van|truck|car|cab|camper)|cockpit|car",
    "ground": r"(?:the|on|garage|my|workshop) floor|ground|drive(?:way)?|concrete|tarmac|road|"
        r"under(?:neath)?(?: the car| it| her)?|below|garage floor|car park|pavement|sump guard|axle|wheel|chassis|"
        r"floor|under the car|beneath|the drive|slabs|yard|cardboard|newspaper|tray|bucket under|driveway|underneath",
    "engine bay": r"engine(?: bay)?|bonnet|hood|bay|block|manifold|head",
    "mileage": r"mileage|m ?p ?g|consumption|economy|miles (?:to|per) (?:the |a )?gallon|(?:fuel|petrol|gas) bill|"
        r"range|litres per|consum\w+|thirst\w*|(?:gas )?guzzl\w*|gas hog|drink(?:s|ing)|drunk|gulps? (?:fuel|"
        r"petrol)|swallow\w*|"
        r"(?:get|goes|going|go|went)(?:ting|ing)? through|(?:uses?|using|burns?|burning) (?:\w+ ){0,3}(?:fuel|petrol|"
        r"gas|more)|tank (?:lasts|does|used)|filling (?:it )?up (?:more|twice)|thirsty|heavy on|going out of fashion|"
        r"fill(?:ing)? (?:it )?(?:up )?(?:every|twice|more)|(?:to|per) the gallon|miles per|cost(?:s|"
        r"ing)? (?:a fortune|me)|eats?|eating|necking|(?:uses|drinking|drinks|getting through|goes through|"
        r"burning) (?:a lot|loads|more|twice|double|far)|fuel (?:use|economy|consumption)|(?:doubled|halved)|"
        r"petrol (?:money|bill)|fuel gauge (?:drops|goes down|falls)|tank (?:a|every) (?:day|week)|heavy on (?:juice|"
        r"fuel|petrol|gas)|litres (?:on|per|for|in) (?:a |the )?hundred|l ?/ ?100",
    "turbo": r"turbo\w*|supercharg\w*|blower|blown(?! fuse)",
    "lamps": r"(?:head|tail|dash|interior|brake)?(?:lights?|lamps?|lighting)|headlamps?|headlights?|bulbs?",
    "test lamp": r"test (?:lamp|light|bulb)|(?:lamp|bulb|light)|probe",
    "injector": r"injectors?",
    "surge pot": r"surge (?:tank|pot)s?|swirl pots?|catch pot",
}  # fmt: skip
