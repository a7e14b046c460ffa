"""How it is, and what was done. Data only; see ``diag.hearing.concepts``."""

from __future__ import annotations

MANNER: dict[str, str] = {
    "fine": r"fine|ok(?:ay)?|good|great|normal\w*|lovely|perfect\w*|sweet\w*|well|right|all ?right|strong\w*|"
        r"clean\w*|smooth\w*|a dream|like (?:a train|a rocket|a good one|it should|clockwork|silk|a sewing machine)|"
        r"no (?:problem|trouble|bother|issue|worries|complaints)s?|spot on|happy|happily|beautiful\w*|healthy|"
        r"no issues|a treat|as it should|bang on|in spec|hunky dory|mint|pulls? hard|happily",
    "at once": r"(?:first|straight|right|instantly|immediately|at once)(?: (?:time|turn|touch|go|kick|push|flick|up|"
        r"away|off|pop|press|of the key))?|instant\w*|on the (?:button|key)|no bother|(?:fine|well|perfect\w*|great|"
        r"lovely|sweet|good|ok|easily)|half a turn|one turn|first",
    "high": r"(?:too |far too |way too |much too |well )?(?:high|above|over)|too much|sky high|through the roof|"
        r"up at|off the (?:clock|scale)|excessive|double what|(?:far|way) up",
    "low": r"(?:too |far too |way too |well )?(?:low|below|under|down)|too little|not (?:enough|much)|poor|weak|"
        r"hardly any|short of|lacking|only (?:making|half|gets)|pathetic|half (?:of )?what|less than|will not (?:make|"
        r"reach|get to)",
    "rise": r"ris(?:e|es|ing)|rose|climb\w*|creep\w*|crept|goes up|going up|go up|went up|come up|comes up|came up|"
        r"increas\w*|builds?|move",
    "fall": r"fall\w*|fell|drop\w*|sag\w*|sink\w*|sank|fad(?:e|es|ing|ed)|bleed\w*(?: off| down| away)?|bled(?: off|"
        r" down)?|leak\w* (?:down|off|away)|goes (?:down|off|away|to (?:nothing|zero))|went (?:down|to (?:nothing|"
        r"zero))|disappear\w*|gone|vanish\w*|dies (?:away|off)|div(?:es|ed|ing)|nose ?div\w*|collaps\w*|tumbl\w*|"
        r"plummet\w*|tails? off|ebbs?|does not hold|will not hold|not hold(?:ing)?",
    "nochange": r"(?:makes?|made|making|have|has|had|sees?|saw)? ?(?:no|not any|zero|bugger all|sod all|"
        r"absolutely no|not the slightest|little) (?:difference|odds|effect|change|reaction|response|movement)|"
        r"(?:does|do|did|will|has) not (?:change|move|budge|react|respond|do (?:anything|a thing|jack|much)|shift|"
        r"alter|flinch|twitch|stir|care)|nothing (?:changes|changed|moves|moved|happens|happened)|stays? (?:put|"
        r"the same|exactly|where)|stayed|no (?:better|worse|different)|the same|same (?:either|whether|with|on|hose)|"
        r"like it is not connected|does nothing|did nothing|identical|either way|ignores|dead to it|not a (?:flicker|"
        r"twitch)|unmoved|sits? (?:there|still)|whichever|regardless",
    "silent": r"silen\w+|dead(?: quiet| silent)?|(?:not|never) (?:a (?:sound|peep|hum|buzz|whisper|whirr?|murmur|"
        r"thing)|hear\w*|heard|run\w*|prim\w*|buzz\w*|hum\w*|make a (?:sound|noise)|come on)|can ?not hear|(?:no|zero|"
        r"without|any) (?:hum|buzz|whirr?|sound|noise|prime|priming|life|whine|whisper|peep)|nothing (?:from|out of|"
        r"at|to hear)|hear nothing|quiet as|no longer (?:hear|hums|buzzes)|does not (?:run|prime|spin|hum|buzz|work|"
        r"turn)|mute",
    "loud": r"loud\w*|nois\w+|scream\w*|whin\w+|howl\w*|growl\w*|groan\w*|moan\w*|screech\w*|squeal\w*|wail\w*|"
        r"shriek\w*|grinding|coffee grinder|drone|droning|singing|like a (?:bee|wasp|hair ?dryer|jet|siren|banshee|"
        r"dentist|circular saw)|buzz(?:es|ing)? (?:like|loud\w*)",
    "whine": r"scream\w*|whin\w+|howl\w*|screech\w*|squeal\w*|wail\w*|shriek\w*|siren|banshee|high pitched|"
        r"dentist\w*",
    "wet": r"wet\w*|damp\w*|leak\w*|weep\w*|wept|seep\w*|ooz\w+|sweat\w*|soak\w*|moist|stain\w*|drip\w*|dribbl\w*|"
        r"spray\w*|squirt\w*|piss\w*|spurt\w*|pour\w*|trickl\w*|beads?|drops of|droplets?|lets by|letting by|"
        r"glisten\w*|shiny|damp",
    "dry": r"dry|bone dry|no (?:leaks?|drips?|puddles?|wet(?:ness)?|damp|weeps?|stains?|seep\w*|"
        r"signs? of (?:a )?(?:leak|fuel|wet)\w*)|not (?:leak\w*|wet|damp|weep\w*|drip\w*)|tight|leak free|"
        r"free of leaks",
    "drip": r"drip\w*|drops of|puddles?|pools?|patch(?:es)?|dribbl\w*|trickl\w*|spots?|leak\w*|pour\w*|lake|run(?:s|"
        r"ning) (?:out|down|onto|on to)|gush\w*|piss\w*",
    "rich": r"rich\w*|over ?fuel\w*|loads? up|loading up|too much (?:fuel|petrol|gas)|four strok\w+|dumping fuel|"
        r"soot\w*|eye ?water\w*|eyes (?:water|burn|sting|stream)\w*|burns? (?:your|my|the) eyes|smells? rich",
    "lean": r"lean\w*|weak(?: mixture)?|starv\w*|too little (?:fuel|petrol)|short of (?:fuel|petrol)|goes thin|"
        r"white as",
    "black": r"black\w*|soot\w*|coal|carbon\w*|dark as|fluffy|like (?:coal|liquorice|soot)",
    "foul": r"foul\w*|wet\w*|soak\w*|drenched|dripping|swimming|damp|drowned",
    "warm": r"(?:too )?hot\w*|warm|melt\w*|burn(?:t|ed|s|ing)?|toast\w*|brown(?:ed)?|scorch\w*|cook\w*|char(?:red)?|"
        r"fried|discolou?red|blister\w*|distort\w*|singed",
    "crack": r"crack\w*|perish\w*|split\w*|swollen|soft|sticky|hard(?:ened)?|chaf\w*|rotten|brittle|spongy|gooey|"
        r"cra[zc]ed|worn through|rubbed through|bulg\w*|worn|knackered|aged|shot",
    "kink": r"kink\w*|crush\w*|squash\w*|flat(?:tened)?|pinch\w*|crimp\w*|nipped|trapped|folded|bent|jacked|"
        r"squeez\w*|dented|doubled over",
    "good came": r"(?:and |then |just |straight |it |she |all |right |now |that )*(?:started?|fired?(?: right|"
        r" straight)?(?: up)?|fires|starts|runs?|ran|running|went|goes|works|worked|took off|sprang|burst|woke|wakes|"
        r"came (?:to life|alive|back|good|on)|comes (?:to life|alive|back|on)|hums|sings|sang|kicked in|kicks in|"
        r"cured?|fixed|fine|perfect|good as gold|right as rain|away|cured it|sorted)",
    "sudden air": r"hiss\w*|suck\w*|whoosh\w*|gasp\w*|rush(?:es|ing)?(?: of air)?|vacuum|inrush|gulps?|air (?:goes|"
        r"going|rushes|rushing) in|pfff\w*|sigh\w*|psss?h\w*",
    "keyoff": r"(?:switch|turn|shut|key|engine)\w*(?: \w+){0,2} off|after (?:i )?(?:switch|shut|turn|park)\w*|"
        r"shut ?down|parked|standing|stop(?:s|ped|ping)? (?:the engine|it)|five minutes|ten minutes|left standing|"
        r"over ?night",
    "volts": r"volts?|voltage|supply|juice|power",
    "sound": r"sounds?|hum(?:s|ming)?|buzz\w*|prim\w*|noise|run(?:s|ning)?|hear|whirr?s?",
    "blown": r"blow\w*|blew|pop(?:s|ped|ping)?|burn(?:t|ed)|gone|went|dead|knackered|melt\w*|eats|eating|takes out|"
        r"shot",
    "compression": r"compressions?",
    "dark": r"dark|off|not on|out|does not come",
    "dirty": r"dirt\w*|block\w*|clog\w*|chok\w*|packed|muck\w*|full of",
    "renewed": r"new|renewed|replac\w*|chang(?:ed|ing)|fitted|swapped|brand new|put (?:a|another)|stuck (?:a|"
        r"another)|rebuilt|overhauled|freshly|had (?:a|the)|just (?:had|done|did)",
    "just": r"just|now|ever since|since|right after|yesterday|today|this morning|last (?:week|night)|"
        r"(?:a )?few miles|an hour",
    "stood long": r"(?:sat|stood|sit|stand|sitting|standing|parked|laid|stored|not (?:run|started|driven|used|"
        r"turned a wheel)|off the road|unused)(?: \w+){0,6} (?:years?|months?|winters?|decades?)|barn(?: find)?|"
        r"laid up|hibernat\w*|storage|mothball\w*|old (?:petrol|fuel|gas)|(?:last year|year old|months old|"
        r"years old)(?: is)? (?:petrol|fuel|gas)",
    "racing": r"rac(?:e|ed|es|ing)(?: it| her)?|track (?:days?|car|use)|hill ?climb\w*|sprints?|autocross|rally\w*|"
        r"competition|drag strip|dragster|circuit",
    "repeat": r"again|another|new|keeps?|every|each|second|next|straight away|one after",
    "worse": r"wors\w+|more often|acts? up|plays? up|happens|does it|trouble|problem|only|bad",
    "stale": r"sour|stale|varnish\w*|paint\w*|old|off|rancid|turpentine|turps|cheesy",
    "needle": r"needle|gauge|dial|trace|log",
    "rebuilt": r"rebuil\w*|overhaul\w*|reconditioned|new diaphragm|repair kit|from a kit|apart",
    "bigger": r"bigger|larger|uprated|high flow|race pump",
    "tap": r"tap\w*|hit\w*|thump\w*|knock(?:ed|ing)|bang\w*|whack\w*|bash\w*|belt\w*|clout\w*|kick\w*|thwack\w*|"
        r"beat(?:ing)? on|smack\w*|wallop\w*|rap(?:ped)?",
}  # fmt: skip
