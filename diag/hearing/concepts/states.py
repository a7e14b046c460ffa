"""When, where and in which state of car and driver something happens. Data only; see ``diag.hearing.concepts``."""

from __future__ import annotations

STATES: dict[str, str] = {
    "idle": r"idl\w+|tick(?:ing)? ?over|at (?:the |every |each |a )?(?:\w+ )?(?:stop signs?|lights|junctions?|"
        r"(?:stop|stands?|standstill|halt|rest|idle))|standing still|(?:com\w+|came|roll\w*|pull\w*|slow\w*|draw\w*|"
        r"coast\w*)(?: \w+)? (?:to|up (?:at|to)|for|down for) (?:a |the |an? \w+ )?(?:\w+ )?(?:(?:stop|stands?|"
        r"standstill|halt|rest|idle)|lights|junctions?|stop lights?|red light|crossing|roundabout)|stationary|"
        r"in neutral|foot off|(?:when|whenever|as|every time|the moment|soon as) (?:i|you|it|we) stop\w*|lift off and|"
        r"off the throttle|off the gas|dip the clutch|clutch in|low revs|parking",
    "load": r"full (?:throttle|load|power|chat|bore|noise|beans|welly)|flat ?out|floor(?:s|ing|ed)? (?:it|her|"
        r"the throttle|the pedal|the gas|the loud pedal|the accelerator)?|wide open(?: throttle)?|\bwot\b|"
        r"foot (?:down|flat|to the floor|hard down|in)|(?:on|under|with|at|heavy|high|hard|any|real) (?:\w+ )?load|"
        r"(?:pull|work|push|press|driv|lean|rev|accelerat)\w* (?:it |her |on it )?hard|hard (?:pull|acceleration|"
        r"throttle)s?|(?:go|going|went|pull\w*|climb\w*|driv\w*|up|on|every|steep|long|a|the)(?: \w+){0,2} (?:hills?|"
        r"grades?|inclines?|banks?|slopes?|gradients?|pass|climb)|uphill|hills?|overtak\w+|(?:get|lean|got|getting|"
        r"step|stand|stood|am|be) (?:in|on|into|right on|hard on) (?:to )?it|give it (?:some|the) (?:stick|welly|"
        r"beans|berries|gas|boot|big)|hammer\w*|thrash\w*|caning it|in anger|joining the motorway|slip road|(?:top|"
        r"big|upper) end|high (?:rpm|revs)|red ?line|full noise|pulling (?:hard|a trailer|away hard)|towing|"
        r"trailer on|when i want power|asking for power|loud pedal down|pedal (?:to the metal|down)|accelerat\w*|"
        r"boot(?:ed|ing)? it|when pushed|pushing on|giving it|wrung out|at speed|mashed|(?:heavy|open|big|"
        r"more than half|past half) throttle|in the rev range|wants? to rev",
    "above": r"(?:past|above|over|beyond|after|at|about|around|until|till|up to|to|passes|gets to) (?:about |"
        r"around )*(?:\w+ (?:and a half )?(?:thousand|grand)|[2-9]\d{3}|half throttle|half way|mid ?range)(?: rpm|"
        r" revs)?",
    "snap": r"stab\w*|stamp\w* on|blip\w*|snap\w*|punch(?: it)?|crack(?:s|ed)? (?:open )?(?:the throttle|it open)|"
        r"tip ?in|nail(?:s|ed)? it|(?:whack|slam|flick|yank|jab|jerk|boot|mash|stand|tread|trod|jump|hit)(?:s|ed|"
        r"ing)? (?:on )?(?:it|the (?:throttle|gas|pedal|accelerator|loud pedal))(?: open)?|open(?:s|ing|ed)? (?:it|"
        r"(?:it|her|the throttle|the pedal|the gas|the loud pedal|the accelerator))? ?(?:up )?(?:quick\w*|fast|"
        r"suddenly|sharp\w*|hard|in a hurry)|put(?:s|ting)? (?:my|your|the|his|her) foot down|pull(?:s|ing)? (?:away|"
        r"off|out)|off the line|from a (?:standing start|stop|standstill)|set(?:s|ting)? off|moving off|"
        r"sudden throttle|(?:touch|press|push|squeeze|open)(?:s|ed|ing)? the (?:throttle|gas|pedal|accelerator)|"
        r"first (?:inch|touch|bit|half inch) of (?:throttle|pedal|travel)|initial throttle|dab of throttle|take up|"
        r"taking off|let the clutch (?:in|out)",
    "cruise": r"cruis\w+|(?:steady|constant|light|part|small|gentle|same) (?:speed|throttle|pedal|foot)|trickl\w+|"
        r"trundl\w*|potter\w*|(?:in|through|round|around) (?:slow )?(?:town|traffic)|motorway|freeway|highway|"
        r"dual carriageway|fifty|sixty|seventy miles|along(?! the)|in second|going steady|level road|on the flat|"
        r"on a (?:light|feather) (?:foot|throttle)|queue|walking pace|crawling",
    "boost": r"boost\w*|turbo (?:comes|spools|wakes|kicks)|on the turbo|spool\w*|positive pressure|blower comes|"
        r"supercharger",
    "lift": r"lift(?:s|ing|ed)? (?:off|my foot|my right foot)|over ?run|back(?:ing)? off the (?:throttle|gas)|"
        r"clos\w* the throttle|shut(?:ting)? (?:off )?the throttle|throttle shut|coming off (?:it|the throttle|"
        r"the gas)|down ?hill|let off",
    "cold": r"cold|first (?:thing|start)(?: in the morning| of the day)?|mornings?|over ?night|all night|"
        r"left it till|next day|(?:after|has) (?:sat|sitting|standing|stood)(?: \w+){0,3} (?:night|day|days|week|"
        r"weekend)|stood (?:since|all night|for a day|a day|a couple of days)|from stone cold|fridge cold|choke|"
        r"warming up|after work|since (?:yesterday|last night)",
    "hot": r"hot|warm(?:ed)?(?: up| through)?|temperature|heat ?soak\w*|heats up|up to (?:temp\w*|heat)|summer|"
        r"traffic|long run|thirty degrees|boiling|scorch\w*|sunny|heat ?wave|heat",
    "hot stop": r"hot soak\w*|heat ?soak\w*|(?:hot|warm) (?:re)?start\w*|(?:after|from) (?:a )?(?:short|quick|brief|"
        r"coffee|lunch|tea|fuel|petrol|gas|pit|comfort|shop) ?(?:stop|break|run)?\w*|after (?:lunch|shopping|dinner|"
        r"a coffee|the shops|the shop|paying|fuelling|filling)|(?:when|if|start\w*|fire\w*|crank\w*|go|start it|"
        r"get)(?: \w+){0,3} (?:hot|warm)|(?:hot|warm)(?: \w+){0,3} (?:start\w*|restart\w*|fire|crank\w*|long|ages)|"
        r"(?:stop|stopped|park|parked|switch(?:ed)? off|left|leave|sat|sits?|stood|stands?|standing|pop|popped|went|"
        r"run)(?: \w+){0,4} (?:for )?(?:(?:ten|five|fifteen|twenty|thirty|forty|a few|half an|quarter of an|"
        r"\d+) (?:minutes|mins|hour)|a bit|a while|shop|shops|store|post office|bank|coffee|tea|paper|milk|petrol|"
        r"fuel)|at the (?:gas|petrol|fuel) (?:pump|station)|filling station|half an hour after|hot and (?:parked|"
        r"stood|stopped)|once (?:it is )?(?:hot|warm)",
    "long": r"ages|forever|for ever|an (?:age|eternity)|long(?:er)?(?: time)?|(?:ten|eight|six|five|seven|twelve|"
        r"fifteen|twenty|thirty|several|lots of|\d+)(?: or \w+)?(?: good)? seconds|half a minute|a minute|on and on|"
        r"and (?:crank|churn|churns|cranks|spin|spins|turn|turns)|(?:three|four|five|six|several|a few|half a dozen|"
        r"many|lots of|two or three|umpteen|a bunch|\d) (?:of )?(?:goes|tries|attempts|turns of the key|cranks|times)|"
        r"a bunch|too long|a lot of (?:cranking|churning|starter)|reluctan\w+|hard (?:to (?:start|fire|get|light)|"
        r"start\w*|starting)|difficult\w*|(?:pig|bitch|devil|swine|sod|nightmare|bugger|bear) to (?:start|fire|get)|"
        r"trouble starting|slow to (?:start|catch|fire)|takes some starting|bad starter|poor starter|hates starting|"
        r"flattens? the battery|before (?:it|she) (?:fires|catches|starts|goes|will)",
    "seconds": r"(?:a |one |two |three |four |five |six |ten |couple of |few |\d+ )?(?:seconds?|secs?|heartbeats?)|"
        r"straight (?:away|off)|at once|right away|immediately|instantly|and then (?:dies|stops|cuts)|moment|breath|"
        r"promptly",
    "minutes": r"(?:been )?running(?: for)? a (?:while|bit)|(?:\w+ )?(?:minutes|mins|miles|kilometres|km|laps?)|"
        r"half an hour|an hour|a while|a bit|as it (?:gets|warms)|long run|quarter of an hour|third lap|"
        r"after a (?:run|drive|bit|while)|the longer|gets (?:hot|warm)",
    "rest": r"rest(?:s|ed|ing)?|wait\w*|cool(?:s|ed|ing)?(?: down| off)?|(?:sit|sits|sat|stand|stands|stood|leave|"
        r"left|give|gave)(?: \w+){0,2} (?:(?:for )?(?:ten|five|fifteen|twenty|a few|half an|\d+) (?:minutes|mins|"
        r"hour)|a while|a bit|a moment)|(?:ten|five|fifteen|twenty|a few|half an|\d+) (?:minutes|mins|"
        r"hour)(?: or so)? (?:later|after|on|rest|and it)|cup of tea|a smoke|quarter of an hour",
    "sudden": r"sudden\w*|without warning|out of (?:the blue|nowhere)|no warning|for no reason|at random|random\w*|"
        r"intermittent\w*|now and (?:then|again)|every so often|like (?:a|flicking a|turning off a|someone (?:turned|"
        r"switched|flicked)) ?(?:the )?(?:switch|light|key)?(?: off)?|as if (?:somebody|someone) (?:turned|switched)|"
        r"in an instant|going (?:down|along)|driving (?:down|along)|on the (?:move|motorway|highway|freeway|bypass)|"
        r"while driving|just drives? along",
    "corner": r"corner\w*|bends?|(?:left|right)s? ?(?:hand\w*|turns?)|(?:left|right)(?= hander)|hard (?:left|right|"
        r"turn|braking)|roundabouts?|hairpins?|chicanes?|round(?:ing)? (?:a )?(?:bend|corner)s?|braking|brakes?|"
        r"hard turns?|sweepers?|turning (?:left|right)|island|slalom|esses|on a (?:left|right|turn)|leaning over|"
        r"switchbacks?|(?:hard |racing )?launch\w*",
    "bump": r"bumps?|pot ?holes?|rough (?:road|track|ground|stuff|lane)s?|speed humps?|cattle grids?|kerbs?|curbs?|"
        r"level crossings?|rumble strips?|cobbles?|washboard|ruts?|railway|railroad|expansion joints?|manhole|jolts?|"
        r"over (?:a )?(?:bump|sleeping)|sleeping policem[ae]n",
    "low tank": r"(?:low|empty|nearly empty|quarter|third|near empty|last (?:quarter|bit|third|"
        r"gallon))(?: (?:of )?(?:a |the )?)?(?:tank|fuel|gas|petrol)?(?= |$)(?<!low )|(?:below|under|less than|"
        r"down to|past|at|about)(?: about| around)? (?:a |the )?(?:quarter|third|eighth|half)(?: (?:a |of a )?tank)?|"
        r"(?:low|short) (?:on|of) (?:fuel|petrol|gas)|gauge (?:near|on|in|by|at|getting)(?: the)? (?:e|empty|red|"
        r"bottom)|fuel light|needle(?: is)? (?:near|on|in) the (?:red|e|empty)|running low|tank(?: is| gets)? (?:low|"
        r"nearly empty|getting low|down)|not much in the tank|on fumes|reserve",
    "full tank": r"full tank|(?:tank|tanks) (?:is |was )?(?:full|brimmed|topped)|brimmed|brim ?full|"
        r"plenty of (?:fuel|petrol|gas)|tank full|full of fuel|with a full",
    "refuel": r"(?:re ?)?fuel(?:led|ed|ling|ing)(?: up)?|gass?ed up|fill(?:ed|ing|s)? (?:it |her |the car |"
        r"the tank |up )+|fill(?:ed|ing)?(?: it)? up|filled (?:up|it)|fill ?up|(?:tank|tankful|load|drop|lot|batch|"
        r"fill) of (?:fuel|petrol|gas|juice)|put (?:petrol|fuel|gas|juice) in|brimm\w+|topp\w+ (?:up|off)|(?:petrol|"
        r"gas|fuel|filling) station|last (?:fill|tank)|new petrol|cheap (?:petrol|fuel|gas)|supermarket (?:petrol|"
        r"fuel)|different (?:garage|station)",
    "rain": r"rain\w*|wet (?:out|weather|day|road)s?|damp(?: day| weather| morning)?|puddles?(?! (?:of|under))|ford|"
        r"(?:jet |pressure |car )?wash(?:ed|ing)?|steam clean\w*|hosed|storm|downpour|flooded road|fog|drizzl\w*|"
        r"soaked outside|hosing",
    "frost": r"frost\w*|freez\w*|froze\w*|ic[ey]|below (?:zero|freezing)|minus \w+(?: degrees)?(?! per)|snow\w*|"
        r"winter|sub ?zero|cold snap",
    "loads on": r"(?:head)?(?:lights?|lamps|headlamps?|headlights?)(?: are| is)? on|(?:fan|fans|heater|blower|"
        r"heated \w+|wipers|stereo|electrics|aircon|radio|everything|electrical)(?: \w+)? (?:on|running|kicks? in|"
        r"kicks? on|comes? on|cuts? in|going)|(?:turn|switch|put)(?: on)? the (?:lights?|lamps|fan|heater|blower|"
        r"wipers)(?: on)?|everything electrical|at night",
}  # fmt: skip
