"""How it is, and what was done. Data only; see ``diag.hearing.concepts``."""

from __future__ import annotations

MANNER: dict[str, str] = {
    "fine": r"fine|(?<=idles )all day(?: long)?|ok(?:ay)?|good|great|normal\w*|"
        r"lovely|perfect\w*|sweet\w*|well|right|all ?right|strong\w*|"
        r"clean\w*|smooth\w*|a dream|like (?:a train|a rocket|a good one|it should|clockwork|silk|a sewing machine)|"
        r"no (?:problem|trouble|bother|issue|worries|complaints)s?|spot on|happy|happily|beautiful\w*|healthy|"
        r"no issues|a treat|as it should|bang on|in spec|hunky dory|mint|pulls? hard|happily|intact|sound|champion|"
        r"belting|cracking|magic|dandy|tip ?top|no faults?|nothing wrong|not a (?:murmur|problem|thing wrong)|"
        r"as (?:good|sweet|right) as|lively|flies|flying|rips|goes (?:well|like stink|hard)|top notch|clear|solid|"
        r"purrs?|purring|sings|pulls (?:like|well|strongly)|no worries|trouble free|as new|like new|peachy|"
        r"no complaints?|behaves?|a (?:peach|gem|diamond|beauty|charm)|proper(?:ly)?|just fine|"
        r"(?<!one )(?<!two )(?<!three )(?<!four )(?<!five )(?<!six )(?<!seven )(?<!eight )grand|(?:is|are|still|"
        r"looks|"
        r"was) whole|nicely|sweetly|steadily",
    "at once": r"(?:at|on|from) (?:the )?first (?:time|try|attempt|turn)|(?:first|straight|right|instantly|"
        r"immediately|at once)(?: (?:time|turn|touch|go|kick|push|flick|up|"
        r"away|off|pop|press|of the key))?|instant\w*|on the (?:button|key)|no bother|(?:fine|well|perfect\w*|great|"
        r"lovely|sweet|good|ok|easily)|half a turn|one turn|first|(?:on|at) the first|the button|first (?:spin|pull|"
        r"swing)|every time|no trouble|instantly|at the touch|immediately|with no trouble|half a turn",
    "high": r"(?:too |far too |way too |much too |well )?(?:high|above|over)|too much|sky high|through the roof|"
        r"up at|off the (?:clock|scale)|excessive|double what|(?:far|way) up|well up|over the (?:odds|top)|way over|"
        r"way above|stuck up|pinned|double|(?:far|way) (?:over|more)|higher|up around|through the|maxed|massive|huge|"
        r"excessive\w*|elevated|out of spec high",
    "low": r"(?:too |far too |way too |well )?(?:low|below|under(?! pressure))|too little|"
        r"not (?:enough|much)|poor|weak|"
        r"hardly any|short of|lacking|only (?:making|half|gets)|pathetic|half (?:of )?what|less than|"
        r"will not (?:make|"
        r"reach|get to)|down on|well down|lower|half (?:what|of)|miles off|lagging|nowhere near|not up to|miserable|"
        r"measly|under (?:what|spec|target)|(?:will|does|can) not (?:build|reach|come up|get (?:up|to|past|near))|"
        r"only (?:making|reading|showing|reads|shows|gets|got|makes|half)|pitiful|less|(?:way|far) down|insufficient|"
        r"inadequate|deficient|out of spec low|sub ?standard",
    "rise": r"ris(?:e|es|ing)|rose|climb\w*|creep\w*|crept|goes up|going up|go up|went up|come up|comes up|came up|"
        r"increas\w*|builds?|move|follow\w*|track\w*|respond\w*|creeping up|go up|going up|higher|add\w*|move\w*",
    "fall": r"fall\w*|fell|drop\w*|sag\w*|sink\w*|sank|fad(?:e|es|ing|ed)|bleed\w*(?: off| down| away)?|bled(?: off|"
        r" down)?|leak\w* (?:down|off|away)|goes (?:down|off|away|to (?:nothing|zero))|went (?:down|to (?:nothing|"
        r"zero))|disappear\w*|gone|vanish\w*|dies (?:away|off)|div(?:es|ed|ing)|nose ?div\w*|collaps\w*|tumbl\w*|"
        r"plummet\w*|tails? off|ebbs?|does not hold|will not hold|not hold(?:ing)?|sags?|sagged|sagging|"
        r"will not (?:hold|keep|stay)|not (?:hold|keep|stay)|loses? (?:it|pressure|its)|lost|back (?:on|"
        r"to) (?:the )?(?:stop|peg|zero)|drains?|empties|slides?|slips?|droops?|drooping|crash\w*|dips?|dipped|"
        r"dipping|leaks? (?:down|off|away)|drifts? down|to nothing|to zero|goes down",
    "nochange": r"(?:makes?|made|making|have|has|had|sees?|saw)? ?(?:no|not any|zero|bugger all|sod all|"
        r"absolutely no|not the slightest|little) (?:difference|odds|effect|change|reaction|response|movement)|"
        r"(?:does|do|did|will|has) not (?:change|move|budge|react|respond|do (?:anything|a thing|jack|much)|shift|"
        r"alter|flinch|twitch|stir|care)|nothing (?:changes|changed|moves|moved|happens|happened)|stays? (?:put|"
        r"the same|exactly|where)|stayed|no (?:better|worse|different)|the same|same (?:either|whether|with|on|hose)|"
        r"like it is not connected|does nothing|did nothing|identical|either way|ignores|dead to it|not a (?:flicker|"
        r"twitch)|unmoved|sits? (?:there|still)|whichever|regardless|(?:not|no|never) a (?:blind |scrap|jot|"
        r"blind bit|"
        r"bit|hint|sausage)(?: \w+)*|sweet (?:nothing|fa)|as you were|no (?:movement|joy|result|change|good|help)|"
        r"(?:stays?|stayed|sits?|sat|holds?|remains?) (?:the same|put|still|there|dead|where|rock|on)|makes? no odds|"
        r"never (?:lifts?|moves?|changes?|twitch\w*|budges?|stirs?)|not (?:lift|twitch|stir|flick\w*)|"
        r"does not (?:lift|care|notice)|just sits there|doesnt move|frozen|stuck",
    "silent": r"silen\w+|dead(?: quiet| silent)?|(?:not|never) (?:a (?:sound|peep|hum|buzz|whisper|whirr?|murmur|"
        r"thing)|hear\w*|heard|run\w*|prim\w*|buzz\w*|hum\w*|make a (?:sound|noise)|come on)|can ?not hear|"
        r"(?:no|zero|"
        r"without|any) (?:hum|buzz|whirr?|sound|noise|prime|priming|life|whine|whisper|peep)|nothing (?:from|out of|"
        r"at|to hear)|hear nothing|quiet as|no longer (?:hear|hums|buzzes)|does not (?:run|prime|spin|hum|buzz|work|"
        r"turn)|mute|silence|as the grave|dumb|no (?:whirr|whir|tick|click|murmur|action|activity)|not (?:a|"
        r"any) (?:noise|hum|buzz|whirr|murmur|whisper|tick|peep|sausage|dicky bird)|hear(?:s)? (?:nothing|nowt)|nowt|"
        r"stone dead|lifeless|not running|not (?:turning|working|come on|coming on|spinning|kick in|kicking in)|"
        r"does not (?:kick in|come on|wake|start up|make)|no longer (?:runs|works|makes)|no (?:pump )?(?:sound|"
        r"noise)|"
        r"cannot hear|dead as",
    "loud": r"loud\w*|nois\w+|scream\w*|whin\w+|howl\w*|growl\w*|groan\w*|moan\w*|screech\w*|squeal\w*|wail\w*|"
        r"shriek\w*|grinding|coffee grinder|drone|droning|singing|like a (?:bee|wasp|hair ?dryer|jet|siren|banshee|"
        r"dentist|circular saw)|buzz(?:es|ing)? (?:like|loud\w*)|groaning|graunch\w*|grumbl\w*|rumbl\w*|rasp\w*|"
        r"gravelly|clatter\w*|rattl\w*|roar\w*|harsh|rough|dry|like (?:a |an )?(?:old door|bag of|angry|food mixer|"
        r"blender|vacuum cleaner|hoover|drill|sander|saw|marbles|gravel|hornet)|hear it (?:over|from|in|across)|"
        r"louder|racket|din|complaining|tortured",
    "whine": r"scream\w*|whin\w+|howl\w*|screech\w*|squeal\w*|wail\w*|shriek\w*|siren|banshee|high pitched|"
        r"dentist\w*|sing(?:s|ing)|whist\w+|keening|high pitch|mosquito|turbine|jet engine|dentist|kettle",
    "wet": r"wet\w*|damp\w*|leak\w*|weep\w*|wept|seep\w*|ooz\w+|sweat\w*|soak\w*|moist|stain\w*|drip\w*|dribbl\w*|"
        r"spray\w*|squirt\w*|piss\w*|spurt\w*|pour\w*|trickl\w*|beads?|drops of|droplets?|lets by|letting by|"
        r"glisten\w*|shiny|damp|sopping|drip|weep(?:y|ing)|tear|bead\w*|sweat|soggy|slick|greasy|lets? (?:fuel|"
        r"petrol|"
        r"gas)|coming out|comes out|came out|runs? out|ran out|pouring|escap\w+|losing (?:any )?(?:fuel|petrol|"
        r"gas)|loses fuel|crust\w*|"
        r"tide mark|puddle under",
    "dry": r"dry|bone dry|no (?:leaks?|drips?|puddles?|wet(?:ness)?|damp|weeps?|stains?|seep\w*|"
        r"signs? of (?:a )?(?:leak|fuel|wet)\w*)|not (?:leak\w*|wet|damp|weep\w*|drip\w*)|tight|leak free|"
        r"free of leaks|clean|clear(?! (?:hose|pipe|line|tube))|sound|no (?:leaks?|weeps?|damp|wet)|"
        r"not a (?:drop|drip|spot|trace|sign|bead|tear)|"
        r"nothing (?:leaking|dripping|wet|weeping|coming out)|all tight|no (?:sign|trace|hint) of|without a leak|"
        r"nice and dry|dried",
    "drip": r"drip\w*|drops of|puddles?|pools?|patch(?:es)?|dribbl\w*|trickl\w*|spots?|gush\w*|piss\w*|spot|spots|"
        r"wet patch|damp patch|puddle|(?:on|onto|under) (?:the )?(?:floor|drive|ground|cardboard)|leak\w*|pour(?:s|"
        r"ing|ed)?(?: out| down| onto)|lake|(?:fuel|petrol|gas) (?:is )?run(?:s|ning) (?:out|down|onto|on to)|"
        r"dripping|(?:fuel|petrol|juice|gas) (?:everywhere|all over)",
    "rich": r"rich\w*|over ?fuel\w*|loads? up|loading up|too much (?:fuel|petrol|gas)|four strok\w+|dumping fuel|"
        r"soot\w*|eye ?water\w*|eyes (?:water|burn|sting|stream)\w*|burns? (?:your|my|the) eyes|smells? rich|black|"
        r"sooty|over ?rich|fat|too rich|on choke|like (?:the )?choke|gassy|eyes|stings?|heavy mixture|eye watering|"
        r"rich mixture|hunting rich|smells? fuelly|dumps? fuel|dumping|over fuelling",
    "lean": r"lean\w*|weak(?: mixture)?|starv\w*|too little (?:fuel|petrol)|short of (?:fuel|petrol)|goes thin|"
        r"white as|too lean|leaned|lean ?ing|thin|weak mixture|running weak|on the weak side|white(?:r)?|chalk\w*|"
        r"bleached|blistered|pale|hungry|starved|under ?fuel\w*|fuel starv\w*",
    "black": r"black\w*|soot\w*|coal|carbon\w*|dark as|fluffy|like (?:coal|liquorice|soot)|sooted|chimney|"
        r"up a chimney|inside of a chimney|sweep\w*|velvet|like (?:the inside of|a coal|soot|velvet)|matt black|"
        r"dry black|thick with soot|caked|dirty|oily",
    "foul": r"foul\w*|wet\w*|soak\w*|drenched|dripping|swimming|damp|drowned|sopping|swimming|dripping|soaked|"
        r"fouled|wet through|come out wet|flooded|drenched",
    "warm": r"(?:too )?hot\w*|warm|melt\w*|burn(?:t|ed|s|ing)?|toast\w*|brown(?:ed)?|scorch\w*|cook\w*|char(?:red)?|"
        r"fried|discolou?red|blister\w*|distort\w*|singed|crispy|brittle|browned|gone brown|cooking|"
        r"smells? (?:of burning|burnt)|too hot to|roasting|red hot|smok\w*|soft and brown|melting|burn (?:you|your|"
        r"my)|bubbled|crisp|crisped|frazzled|singe\w*|glow\w*|heat\w* up",
    "crack": r"crack\w*|perish\w*|split\w*|swollen|soft|sticky|hard(?:ened)?|chaf\w*|rotten|brittle|spongy|gooey|"
        r"cra[zc]ed|worn through|rubbed through|bulg\w*|worn|knackered|aged|shot|perished|tired|crazed|hairline|"
        r"gone (?:hard|soft|off|sticky|gooey)|fray\w*|chafed|rub\w*|breaking up|crumbl\w*|deteriorat\w*|tacky",
    "kink": r"kink\w*|crush\w*|squash\w*|flat(?:tened)?|pinch\w*|crimp\w*|nipped|trapped|folded|bent|jacked|"
        r"squeez\w*|dented|doubled over|squashed|flattened|dented|bashed|crumpled|stove in|pinched|jack\w*|stood on|"
        r"run over|tight bend|folded over|nipped up",
    "good came": r"(?:and |then |just |straight |it |she |all |right |now |that )*(?:started?|fired?(?: right|"
        r" straight)?(?: up)?|fires|starts|runs?|ran|running|went|goes|works|worked|took off|sprang|burst|woke|wakes|"
        r"came (?:to life|alive|back|good|on)|comes (?:to life|alive|back|on)|hums|sings|sang|kicked in|kicks in|"
        r"cured?|fixed|fine|perfect|good as gold|right as rain|away|cured it|sorted)",
    "sudden air": r"hiss\w*|suck\w*|whoosh\w*|gasp\w*|rush(?:es|ing)?(?: of air)?|vacuum|inrush|gulps?|air (?:goes|"
        r"going|rushes|rushing) in|pfff\w*|sigh\w*|psss?h\w*|gasps?|hoover|gulp|sssh|breath\w*|big (?:suck|hiss|"
        r"whoosh|gasp|breath)|air (?:in|rush\w*)|woosh\w*|swoosh|hisses|drew in|draws? in|sucked in|implod\w*|"
        r"tank (?:is )?(?:sucked|collapsed|buckled)",
    "volts": r"volts?|voltage|supply|juice|power",
    "sound": r"sounds?|hum(?:s|ming)?|buzz\w*|prim\w*|noise|run(?:s|ning)?|hear|whirr?s?",
    "blown": r"blow\w*|blew|pop(?:s|ped|ping)?|burn(?:t|ed)|gone|went|dead|knackered|melt\w*|eats|eating|takes out|"
        r"shot|pops?|with a bang|bang|blown|goes (?:again|pop|bang|straight|as soon|the)|burned out|takes? out|fused|"
        r"open circuit|no continuity|fail\w*|open circuit|ruptured",
    "compression": r"compressions?",
    "dark": r"dark|off|not on|out|does not come",
    "dirty": r"dirt\w*|block\w*|clog\w*|chok\w*|packed|muck\w*|full of",
    "renewed": r"new|renewed|replac\w*|chang(?:ed|ing)|fitted|swapped|brand new|put (?:a|another)|stuck (?:a|"
        r"another)|rebuilt|overhauled|freshly|had (?:a|the)|just (?:had|done|did)|refitted|fresh|put in|put on|"
        r"stuck in|bunged in|threw (?:on|in)|just (?:fitted|changed|done|put)|this year|exchange|all new",
    "just": r"just|now|ever since|since|right after|yesterday|today|this morning|last (?:week|night)|"
        r"(?:a )?few miles|an hour",
    "stood long": r"(?:sat|stood|sit|stand|sitting|standing|parked|laid|stored|not (?:run|started|driven|used|"
        r"turned a wheel)|off the road|unused)(?: \w+){0,9} (?:years?|months?|winters?|decades?)|barn(?: find)?|"
        r"laid up|hibernat\w*|storage|mothball\w*|old (?:petrol|fuel|gas)|(?:last year|year old|months old|"
        r"years old)(?: is)? (?:petrol|fuel|gas)|cowshed|cow ?shed|shed|lock ?up|museum|under (?:a )?(?:tarp|sheet|"
        r"cover)|since the year before|(?:in|of) a (?:barn|shed|field|garage) (?:for|since)|(?:four|five|six|ten|two|"
        r"three|eight|twelve|twenty|several|some|a few|many) (?:years|months) (?:in|of|stood|sat|standing|parked|"
        r"unused|idle)|not (?:been )?(?:run|started|driven|used|on the road|moved|turned over) (?:for|since|in)|"
        r"dry stored|resting|sorn\w*|off the road|wintered|all winter|over (?:the )?winter|since (?:last )?(?:autumn|"
        r"september|october|november|summer)|(?:months?|years?) later",
    "racing": r"rac(?:e|ed|es|ing)(?: it| her)?|track (?:days?|car|use)|hill ?climb\w*|sprints?|autocross|rally\w*|"
        r"competition|drag strip|dragster|circuit|track|stage rally|rallied|hill ?climb(?:s|ing|er)?|sprints?|"
        r"drag (?:racing|race|car)|competition|autotest|race car|timed runs?|speed events?",
    "repeat": r"again|another|new|keeps?|every|each|second|next|straight away|one after|every one|each one|"
        r"one after (?:another|the other)|any (?:fuse|i put)|straight away|as soon as|i put in|over and over|"
        r"a box of|"
        r"through fuses|a third|fitted another|put in (?:a|another)|replacement|renewed|subsequent|repeatedly|"
        r"immediately",
    "worse": r"wors\w+|more often|acts? up|plays? up|happens|does it|trouble|problem|only|bad|hates?|not like|"
        r"does not like|plays? up|playing up|acts? up|gives? (?:me )?(?:trouble|grief|gyp|jip)|goes (?:to pot|wrong|"
        r"haywire|mad|off|all wrong|downhill)|all over the (?:shop|place)|to pot|falls? (?:apart|to bits)|"
        r"misbehav\w+|"
        r"gets? (?:bad|worse)|terrible|dreadful|awful|hopeless|poorly|sulks?|throws? a (?:fit|wobbly)|happens?|"
        r"does this|does it|comes? on|shows? up|starts? (?:up|playing)|symptom|only (?:when|with|in|on|if)|rotten|"
        r"wobbly|fault|commenc\w*|began|begins|symptoms?|issues?|complaint|concern|noticed|deteriorat\w*|poorer|"
        r"occurs?|present",
    "gone": r"absent|goes away|disappears?|vanish(?:es)?|not there|stops doing it|clears?(?: up)?|cured?",
    "refuses throttle": r"(?:will|does|did|can|would|could) not (?:take|accept|like|answer|respond to) (?:any |the |"
        r"much )?(?:throttle|gas|pedal|accelerator|revs)|no throttle response|throttle does nothing",
    "only then": r"only (?:bad|when|if|does it|ever does it|happens|at|on|in)|wors(?:e|t)",
    "no hum": r"(?:no|not a|not any) (?:hum|buzz|whirr?|whine|prime)\w*(?: \w+){0,3} (?:back|seat|tank|rear|"
        r"boot|trunk)",
    "body": r"(?:regulator )?(?:body|casting|housing)",
    "all time": r"all (?:the )?time|constantly|non ?stop|continuous\w*|permanently|day and night",
    "eyes": r"(?:burns?|stings?) (?:your|my|the|our) eyes|eyes? (?:water\w*|burn\w*|sting\w*|stream\w*)",
    "rising rate": r"rising ?rate|fmu|progressive (?:rate )?(?:regulator|reg)",
    "turn": r"till|until|unless|except(?: when| for)?|apart from|save when|other than",
    "noise": r"nois\w+|racket|din|(?:a )?(?:funny|strange|odd|weird) sound",
    "smokes": r"smok\w+",
    "much": r"(?:very |too |so )?much|a lot|loads|double|twice|heavily|a fortune|heavy",
    "stale": r"sour|stale|varnish\w*|paint\w*|old|off|rancid|turpentine|turps|cheesy|varnishy|like (?:paint|varnish|"
        r"turps|nail varnish|thinners|old paint|wd)|gone off|stinks of paint|sickly|stale petrol",
    "needle": r"needle|gauge|dial|trace|log",
    "rebuilt": r"rebuil\w*|overhaul\w*|reconditioned|new diaphragm|repair kit|from a kit|apart|new (?:diaphragm|"
        r"seal|spring|seat)|service kit|refurb\w*|stripped|stripping|had (?:it|the regulator) (?:apart|in bits)",
    "bigger": r"bigger|larger|uprated|high flow|race pump|big|high (?:flow|output|volume|pressure)|competition|"
        r"motorsport|upgraded|upgrade|monster|twin",
    "tap": r"tap\w*|hit\w*|thump\w*|knock(?:ed|ing)|bang\w*|whack\w*|bash\w*|belt\w*|clout\w*|kick\w*|thwack\w*|"
        r"beat(?:ing)? on|smack\w*|wallop\w*|rap(?:ped)?|clout|belted|fetched (?:it|the pump|her)|biff\w*|slap\w*|"
        r"percussive|mallet|hammer\w*|gave (?:it|the pump|the tank) a",
    "come down": r"com(?:e|es|ing) down|go(?:es)? (?:down|lower|below|under)|drop(?:s)?|lower|(?:bring|get|set|wind|"
        r"turn)(?: it| the pressure)?(?: any)? (?:down|lower|below|under)|fall|reduc\w+",
    "dim": r"dim\w*|faint|flicker\w*|fade\w*|yellow|go (?:low|down)|weak|brown",
    "stop": r"stop\w*|shut(?:s)? (?:off|up|down)|switch(?:es)? off|goes? off|go quiet|cut(?:s)? out",
    "unwell": r"(?:feel\w*|felt|makes? (?:me|us|him|her)|been|getting|gets?) (?:\w+ )?(?:sick|ill|dizzy|queasy|"
        r"giddy|faint|unwell|light ?headed|woozy)|headaches?|dizzy|nause\w+",
    "rev up": r"rac(?:es|ing)|revs? (?:right )?(?:up|high|itself|by itself|on its own)|revving|revs (?:hang|stay|"
        r"climb)|(?:idle|idles|idling|tickover) (?:is |at )?(?:too |very |far too |way too )?(?:fast|high)|(?:fast|"
        r"high) (?:idle|tickover)|screaming",
    "lit": r"illuminat\w*|light(?:s|ing)?(?: up)?|lit|glow\w*|come on|comes on|burns?",
    "click": r"click\w*|tick\w*|audible|heard|can be heard|pulsing|buzzing",
    "dilut": r"dilut\w*|contaminat\w*|mixed",
    "zero": r"zero|nought|nothing|0|dead|still",
}  # fmt: skip
