"""What an engine does. Data only; see ``diag.hearing.concepts``."""

from __future__ import annotations

ENGINE: dict[str, str] = {
    "crank": r"crank\w*|turn(?:s|ing)? over|turned over|spin(?:s|ning)?(?: over)?|spun(?: over)?|churn\w*|wind(?:s|"
        r"ing)(?: over| round)?|(?:grind\w*|lean\w*) on the (?:starter|key)|on the starter|"
        r"starter (?:motor )?(?:spins|turns|whirs|whizzes|goes round|going|winding|works)|rolls over|motors over|"
        r"(?:turns|goes) round(?: and round)?|whirls?|whirring over|seconds of (?:starter|key)|(?:starter|"
        r"engine) turns",
    "start": r"start(?:s|ed|ing)?(?! (?:of|at|on|off)\b)|fir(?:e|es|ed|ing)(?: up| off)?|catch(?:es)?|caught|"
        r"light(?:s)? (?:up|off)|lit (?:up|off)|kick(?:s|ed)? (?:over|in|into life)|(?:bursts?|roars?|springs?|"
        r"coughs?|comes?|splutters?|sprang|came) (?:in)?to life|get (?:it )?going|take off|took off|wakes? up|woke up|"
        r"pick(?:s|ed)? up and run\w*|comes? alive|came alive",
    "run": r"run(?:s|ning)?|ran|keep(?:s)? going|stays? (?:alive|running|lit)|go(?:es)?(?= (?:like|well|fine|lovely|"
        r"sweet))|pulls?",
    "die": r"die[sd]?|dying|cut(?:s|ting)? (?:right |clean |straight |dead )?out|cuts?(?= (?:dead|in|on|over|"
        r"under))|conk\w*(?: out)?|stall\w*|quit\w*|croak\w*|shut(?:s|ting)? (?:itself )?(?:off|down)|pack(?:s|ed|"
        r"ing)? (?:up|in)|g[ia]ves? up(?: the ghost)?|(?:goes|went|going|go) (?:out|dead|off)(?! the)|stop(?:s|"
        r"ped)? (?:dead|running|altogether)|(?:drop|flake|peg|keel|peter|fizzle|snuff)(?:s|ed)? (?:out|over|dead)|"
        r"expire[sd]?|switch(?:es|ed)? itself off|(?:rolls?|coasts?|comes?|came|rolled|coasted) to a (?:halt|"
        r"stop)(?= (?:at the side|by itself|on the))|leaves? (?:me|us) (?:stranded|sat|at the)|left (?:me|"
        r"us) (?:stranded|at the)|breaks? down|broke down|just stops?|just stopped|cuts? off|falls? over dead|"
        r"clonks? out",
    "bog": r"bog(?:s|ged|ging)?(?: down)?|stumbl\w+|stagger\w*|falter\w*|hesitat\w+|(?:flat|dead) spots?|gulp\w*|"
        r"chok(?:es|ing)|gasp\w*|trip(?:s|ping) (?:up|over)|thinks? about it|(?:holds?|takes?|catches) (?:its|it is|"
        r"her|a) breath|dithers?|dithering|(?:big|massive|nasty|little|a|the) (?:hole|lag|delay)|fall(?:s|"
        r"ing)? (?:flat )?on (?:its|it is|her) face|pauses?|(?:nothing|dead)(?: happens)? for (?:a|half a|"
        r"one) (?:moment|second|beat)|splutters? before|nods? its head",
    "jerk": r"buck\w*|jerk\w*|kangaroo\w*|surg\w+|lurch\w*|(?:bunny )?hop(?:s|ping)?|snatch\w*|judder\w*|hiccup\w*|"
        r"shunt\w*|yo ?yo\w*|rocking horse|pulses? along|nods? (?:along|its head|away)|pitch\w* (?:back|to)|"
        r"fits and starts|jolt\w*|twitch\w* along",
    "flat": r"nos(?:es|ing|ed) over|gutless|no (?:guts|go|poke|urge|oomph|pull|puff|legs|punch|grunt|power|top end|"
        r"beans)|fall(?:s|ing)? flat|goes flat|went flat|runs? flat|flat as a \w+|run(?:s|ning)? out of (?:puff|"
        r"breath|steam|go|legs|ideas|revs|power|grunt|lungs)|out of (?:puff|breath|steam)|dead (?:legs|slow)|sign(?:s|"
        r"ed) off|fizzles? out|lies? down|lays? down|laid down|wheez\w*|breathless|strangled|struggl\w+|labour\w*|"
        r"strain(?:s|ed|ing)|dies away|fades? away|tails? off|fall(?:s|ing)? off|drop(?:s|ping)? off|(?:will|does|did|"
        r"can|would|could) not (?:pull|rev|pick up|take|accept|go past|go over|go above|get past|accelerate)(?: \w+)?|"
        r"(?:lack|loss|loses?|losing|lost|down|short)(?: \w+)? (?:on |of )?(?:power|pull|urge|puff)|(?:flat|dull|lazy|"
        r"sluggish|lethargic|asleep|weak|slow|gone soft|feeble|breathless|hopeless|useless)(?! spot)|"
        r"hits? a (?:brick )?wall|(?:hardly|barely) (?:pulls?|climbs?|moves)|power (?:goes|drops|falls|disappears|"
        r"dies)|nothing left|(?:has|got) nothing|half (?:the|its) power|hold(?:s|ing) back|held back|strangles|"
        r"down on (?:power|grunt)|(?:gone|lost its) edge",
    "miss": r"miss(?:es|ing|ed)?(?! the)|misfir\w+|stutter\w*|splutter\w*|sputter\w*|br(?:eaks?|eaking|oke) up|"
        r"drop\w* a (?:cylinder|pot)|(?:on|only) (?:two|three|five|seven) (?:cylinders|pots|of them)?|chug\w*|"
        r"skip(?:s|ping)?|fluff\w*|not firing on|popp?ing and banging|hit and miss|cough\w*|(?:fires|running|"
        r"runs) on (?:two|three|five)|a (?:cylinder|pot) (?:down|out|short)|flutters?",
    "shake": r"rough\w*|lump\w*|shak\w+|shook|shudder\w*|shiver\w*|lop(?:e|es|ing|ey)|rock(?:s|ing)(?! horse)|"
        r"uneven\w*|erratic\w*|trembl\w+|vibrat\w+|wobbl\w+|chug\w*|like a (?:\w+ )?(?:bag|tractor|pig|dog|diesel|"
        r"sack|cement mixer|washing machine|threshing machine)|judder\w*|hit and miss|jump(?:s|ing) about|"
        r"dances? about|galumph\w*|like (?:garbage|rubbish|crap|a dog)",
    "hunt": r"hunt\w*|up and down|see ?saw\w*|yo ?yo\w*|wander\w*|rac(?:es|ing)|surg\w+|(?:too )?(?:high|fast)|"
        r"between \w+(?: hundred)? and|(?:climbs?|rises?|runs?) (?:by itself|away)|oscillat\w+|will not settle|"
        r"never settles",
    "knock": r"knock\w*|ping(?:s|ing|ed)?|pink(?:s|ing|ed)?|rattl\w+|marbles|tinkl\w+|detonat\w+|gravel|"
        r"like (?:nails|pebbles|peas|ball bearings)",
    "pop": r"spit(?:s|ting)?(?: back)?|spat back|sneez\w+|pop(?:s|ping|ped)?|backfir\w*|cough\w*|bang(?:s|ing)?|"
        r"shot ?gun|gunshot|cracks? like",
    "flood": r"drown\w*|swamp\w*|(?<!the )flood\w*",
    "again": r"(?:start|fire|go|run|catch|come|work|carrie)\w* (?:up |back )*(?:again|once more|as if nothing)|"
        r"carr(?:y|ies|ied) on|re ?start\w*|comes? back(?: to life| by itself| on its own| to me)?|came back|"
        r"off (?:it|she|we|you|i) (?:goes?|went)|(?:starts?|fires?|started|fired) (?:right|"
        r"straight) (?:back )?up(?: again)?|as if nothing|like nothing|good as gold|right as rain|away (?:it|she|"
        r"we) (?:goes?|went)|goes again|ok again|fine again|back to normal|drives home|starts? back up|recovers?|"
        r"recovered",
    "smell": r"sm[eo]l[lt]\w*|stink\w*|stank|stunk|reek\w*|pong\w*|whiff\w*|fum(?:e|es|y)|odou?rs?|stench|vapou?rs?|"
        r"niff\w*|hums(?= of)|get a (?:whiff|noseful)|nose(?:ful)?",
    "black smoke": r"black (?:smoke|clouds?|puffs?|fog)|smok\w+ black|(?:puffs?|clouds?|plumes?|wall|trail|"
        r"smoke screen|bellows?|belch\w*|chuck\w*|blow\w*)(?: out)?(?: of)? (?:black|soot\w*|dark smoke)(?: \w+)?|"
        r"rolling coal|like a (?:steam engine|coal (?:fire|train)|chimney|tyre fire)|soots? up the|clags?",
}  # fmt: skip
